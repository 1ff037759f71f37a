"""Messages both ways: one schema, typed, and whatever is none of them refused."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from pydantic import ValidationError

from fabricsim.table.messages.asked import ASKED, AnyAsked
from fabricsim.table.messages.frames import frame, unframed
from fabricsim.table.messages.schema import messages_schema
from fabricsim.table.messages.told import AnyTold

SCHEMA = Path(__file__).parent / "messages.schema.json"
"""What the page's types are made from and tested against; written by ``python -m tests.table``."""


def models(choice: Any) -> list[Any]:
    """Return the models of a choice that is told apart by its kind."""
    return list(get_args(get_args(choice)[0]))


def test_the_schema_beside_the_tests_is_that_of_today() -> None:
    assert json.loads(SCHEMA.read_text(encoding="utf-8")) == messages_schema(), "run: python -m tests.table"


@pytest.mark.parametrize("choice", [AnyAsked, AnyTold])
def test_every_message_has_a_kind_of_its_own_and_a_word_about_it(choice: Any) -> None:
    kinds = [get_args(one.model_fields["kind"].annotation)[0] for one in models(choice)]
    assert len(kinds) == len(set(kinds))
    assert [one.__name__ for one in models(choice) if not one.__doc__] == []


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"kind":"other"}',
        '{"kind":"paint"}',
        '{"kind":"paint","squares":[]}',
        '{"kind":"paint","squares":[[0,0]]}',
        '{"kind":"paint","squares":[[0,0,-1]]}',
        '{"kind":"paint","squares":[[0,0,"1"]]}',
        '{"kind":"paint","squares":[[0,0,1]],"more":1}',
        '{"kind":"undo","stroke":1}',
        '{"kind":"look","steps":1000}',
        '{"kind":"look","case":"tube"}',
        '{"kind":"set","values":{}}',
        '{"kind":"open","files":[{"name":"a","data":"","path":"/etc"}]}',
    ],
)
def test_what_is_no_message_is_refused(text: str) -> None:
    with pytest.raises(ValidationError):
        ASKED.validate_json(text)


HEAD = {
    "revision": 3,
    "which": "first",
    "case": "repeat",
    "rest": True,
    "apart": False,
    "step": 0,
    "topology": 7,
    "thickness_mm": 2.0,
    "stitch_mm": (5.0, 4.0),
    "window_mm": None,
}


def test_a_frame_is_read_back_as_it_was() -> None:
    arrays = {
        "point": np.arange(9, dtype=np.float32).reshape(3, 3),
        "normal": np.array([[1, -2, 3, 4]], dtype=np.int8),
        "yarn": np.array([1, 2, 255], dtype=np.uint8),
        "first": np.array([0, -1, 2**31 - 1], dtype=np.int32),
    }
    data = frame(HEAD, arrays)
    head, back = unframed(data)
    assert (head.revision, head.window_mm, head.stitch_mm) == (3, None, (5.0, 4.0))
    assert {name: array.tolist() for name, array in back.items()} == {n: a.tolist() for n, a in arrays.items()}
    begins = 4 + int.from_bytes(data[:4], "little")
    assert begins % 4 == 0
    assert all((begins + one.offset) % 4 == 0 for one in head.arrays)
