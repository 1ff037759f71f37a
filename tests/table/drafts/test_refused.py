"""What can't be done with a draft, each in its one line; and parts of a chart that are moved by nothing."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.errors import InputError
from fabricsim.table.drafts.changes import changed
from fabricsim.table.drafts.keys import with_keys
from tests.table.test_drafts import SMALL, ask, draft

BOX = {"row": 0, "column": 0, "rows": 2, "columns": 3}


@pytest.mark.parametrize(
    ("asked", "line"),
    [
        ({"do": "copy"}, "given a copy to nowhere; allowed: the square where it goes; say where it goes"),
        (
            {"do": "turn", "quarters": 1},
            "given a quarter turn of 2 rows of 3 stitches; allowed: as many rows as stitches, or half a turn; "
            "choose a square part",
        ),
        (
            {"do": "turn", "box": BOX | {"columns": 4}},
            "given 2 rows of 4 stitches; allowed: at most the whole chart: 2 rows of 3; choose a smaller part",
        ),
        (
            {"do": "turn", "box": BOX | {"rows": 3}},
            "given 3 rows of 3 stitches; allowed: at most the whole chart: 2 rows of 3; choose a smaller part",
        ),
    ],
)
def test_what_cannot_be_done_with_a_part_is_said(asked: dict[str, Any], line: str) -> None:
    with pytest.raises(InputError) as refused:
        changed(draft(), ask(kind="motif", **{"box": BOX, **asked}))
    assert str(refused.value) == f"motif: {line}"


def test_a_part_that_is_shifted_by_nothing_stays() -> None:
    assert changed(draft(), ask(kind="motif", do="shift", box=BOX)).text == SMALL


@pytest.mark.parametrize(
    ("values", "line"),
    [
        (
            {"k" * 70: 1},
            f"{'k' * 60}: given a key that the table does not set; allowed: keys of a scene; write it in the file",
        ),
        (
            {"yarns.7.name": "none"},
            "yarns.7.name: given a key where there is none; allowed: keys of this scene; add what it is of",
        ),
    ],
)
def test_keys_that_cannot_be_set_are_said(values: dict[str, Any], line: str) -> None:
    with pytest.raises(InputError) as refused:
        with_keys(draft(), values)
    assert str(refused.value) == line


def test_keys_in_an_unusual_place_are_said_and_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fabricsim.table.drafts.keys.tomlkit.dumps", lambda document: SMALL)
    with pytest.raises(InputError) as refused:
        with_keys(draft(), {"title": "Other", "units": "inch"})
    line = "title, units: given keys in an unusual place; allowed: plain tables; change them in the file"
    assert str(refused.value) == line
