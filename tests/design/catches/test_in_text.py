"""Catches written into a scene's own text: nothing else of it changes."""

from __future__ import annotations

import tomllib

import pytest

from fabricsim.design.catches.in_text import catches_line, text_with_catches
from fabricsim.design.scene.rules import Catch

CATCHES = (Catch(row=1, stitch=2), Catch(row=1, stitch=9), Catch(row=3, stitch=4))
LISTED = [{"row": 1, "stitch": 2}, {"row": 1, "stitch": 9}, {"row": 3, "stitch": 4}]
HEAD = 'title = "a [floats] b"\nstory = """\n[floats]\ncatches = "planned"\n"""  # why\n'

TEXTS = {
    "planned": ("[floats]\nslack = 0.1 # mine\ncatches = \"planned\"   # to do\n[chart]\nrows = ['.']\n", "catches ="),
    "none": ("[floats]\ncatches='none'\nslack = 0.1\n", "catches="),
    "a list on one line": ("[ floats ]\n  catches = [{row = 1, stitch = 1}] # one ]\nlongest_gap = 3\n", "catches"),
    "a list on several": (
        "[floats]\ncatches = [\n  # ] not here\n  { row = 1, stitch = 1 },\n]\nslack = 0.1\n",
        "catches",
    ),
    "beside plan_catches": (
        "[floats]\nplan_catches = true\ncatches = [{row = 1, stitch = 1}]\nslack = 0.2\n",
        "catches",
    ),
    "plan_catches alone": ("[floats]\nplan_catches = true\nslack = 0.2\n", "plan_catches"),
    "no key": ("[floats] # rules\nslack = 0.1\n[gauge]\nrows = 3\n", ""),
    "head and no more": ("[gauge]\nrows = 3\n[floats]", ""),
    "no table": ("[gauge]\nrows = 3", ""),
    "dotted": ("floats.slack = 0.1\nfloats.catches = 'planned'\n[gauge]\nrows = 3\n", "floats.catches"),
    "windows": ("[floats]\r\ncatches = 'none'\r\nslack = 0.1\r\n", "catches"),
}


@pytest.mark.parametrize("name", TEXTS)
def test_only_the_catches_change(name: str) -> None:
    text = HEAD + TEXTS[name][0] if name != "windows" else TEXTS[name][0]
    before = tomllib.loads(text)
    changed = text_with_catches(text, CATCHES)
    assert changed is not None
    after = tomllib.loads(changed)
    assert after["floats"].pop("catches") == LISTED
    before.setdefault("floats", {}).pop("catches", None)
    before["floats"].pop("plan_catches", None)
    assert after == before
    for line in text.splitlines():  # comments too
        if "#" in line and "not here" not in line:
            assert line.partition("#")[2] in changed
    assert ("\n" in changed.replace("\r\n", "")) == (name != "windows")


@pytest.mark.parametrize(
    "text", ["floats = { slack = 0.1, catches = 'planned' }\n", "[[floats.catches]]\nrow = 1\nstitch = 1\n"]
)
def test_what_cannot_be_changed_for_sure_is_left(text: str) -> None:
    assert text_with_catches(text, CATCHES) is None


def test_strands_and_repeats_are_written_where_they_are_named() -> None:
    named = (Catch(row=1, stitch=2, yarn='"'), Catch(row=1, stitch=9, repeat="last"))
    assert tomllib.loads(catches_line(named))["catches"] == [
        {"row": 1, "stitch": 2, "yarn": '"'},
        {"row": 1, "stitch": 9, "repeat": "last"},
    ]


def test_no_catches_are_none() -> None:
    assert catches_line(()) == 'catches = "none"'
    assert text_with_catches("[floats]\ncatches = 'planned'\n", ()) == '[floats]\ncatches = "none"\n'
