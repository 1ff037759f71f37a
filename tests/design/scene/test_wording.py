"""Titles, names and symbols: whatever can be seen may stand in them, and nothing else."""

from __future__ import annotations

import sys
import tomllib
import unicodedata

import pytest
from pydantic import TypeAdapter, ValidationError

from fabricsim.design.scene.wording import FileName, Label, Name, Story, Symbol, Title, quoted, unseen

KINDS = [Name, Title, Label, Story, FileName]
SEEN = [
    "Grün & Rosé, nº 5",
    "e\u0301toile",  # an accent written after its letter
    "зелёный",
    "πράσινο",
    "ירוק",
    "الأخضر",
    "می\u200cخواهم",  # Persian, a joiner kept apart
    "क्\u200dष",  # Hindi
    "緑の毛糸",
    "เขียว",
    "👩\u200d🌾",  # an emoji of two, joined
    'a "quoted" \\name',
]
UNSEEN = [
    "\x00",
    "\x1b[2J",
    "a\x7f",
    "\x85",
    "a\u202eb",
    "\u2066a",
    "\ufeffa",
    "a\u200d",
    "\u200ca",
    "a\u2028b",
    "\u2029",
    "\ue000",
]


def accepted(kind: object, text: str) -> bool:
    try:
        return TypeAdapter(kind).validate_python(text) == text
    except ValidationError:
        return False


@pytest.mark.parametrize("kind", KINDS)
def test_any_script_may_stand(kind: object) -> None:
    assert [one for one in SEEN if not accepted(kind, one)] == []


@pytest.mark.parametrize("kind", KINDS)
def test_what_cannot_be_seen_is_refused(kind: object) -> None:
    assert [one for one in [*UNSEEN, "\ud800"] if accepted(kind, one)] == []


def test_lines_may_be_broken_in_a_story_and_nowhere_else() -> None:
    assert [accepted(kind, "one\n\ttwo\r\n") for kind in KINDS] == [kind is Story for kind in KINDS]
    assert [accepted(kind, "") for kind in KINDS] == [kind in (Label, Story) for kind in KINDS]


def test_symbols_stand_by_themselves() -> None:
    assert all(accepted(Symbol, one) for one in "A.#\"\\'■緑ж☃")
    assert not any(
        accepted(Symbol, one) for one in ["", " ", "\u00a0", "AB", "\u0301", "\u200d", "\x07", "\ue000", "\u202e"]
    )


def test_a_terminal_never_gets_anything_to_obey() -> None:
    """Of all characters none that is let through by itself moves a cursor, turns the text or breaks the line."""
    through = [sign for sign in map(chr, range(sys.maxunicode + 1)) if unseen(sign) is None]
    assert {unicodedata.category(sign)[0] for sign in through} == set("LMNPSZ")
    assert [sign for sign in through if sign.splitlines() != [sign]] == []


@pytest.mark.parametrize("text", [*SEEN, '"', "\\", "'", "\x7f\x00\n", '"""', "\\u0041"])
def test_what_is_quoted_is_read_back(text: str) -> None:
    assert tomllib.loads(f"x = {quoted(text)}") == {"x": text}


def test_lengths_are_bounded() -> None:
    for kind, most in ((Name, 100), (Title, 200), (Label, 200), (Story, 20_000), (FileName, 4096)):
        assert accepted(kind, "a" * most)
        assert not accepted(kind, "a" * (most + 1))
