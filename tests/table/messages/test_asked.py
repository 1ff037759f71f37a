"""What the page may ask: what is usual where it says nothing, and the least and the most of each number."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from fabricsim.design.scene.limits import LARGEST_FILE
from fabricsim.table.messages.asked import ASKED, LONGEST_MESSAGE, MOST_SQUARES, AnyAsked

BOX = {"row": 0, "column": 0, "rows": 1, "columns": 1}
FILE = {"name": "a.txt", "data": ""}
LEAST: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "hello": ({"secret": ""}, {"tab": ""}),
    "paint": ({"squares": ((0, 0, 0),)}, {"stroke": 0}),
    "chart": ({"rows": ((0,),)}, {"stroke": 0}),
    "motif": ({"do": "turn", "box": BOX}, {"to": None, "by": None, "quarters": 2, "stroke": 0}),
    "size": ({"rows": 1, "stitches": 1}, {"yarn": 0, "keep": ("bottom", "right"), "across": None, "stroke": 0}),
    "set": ({"values": {"title": ""}}, {"stroke": 0}),
    "add yarn": ({"name": "", "colour": ""}, {}),
    "take yarn away": ({"yarn": 0, "instead": 0}, {}),
    "undo": ({}, {}),
    "redo": ({}, {}),
    "advice": ({"id": ""}, {}),
    "seek": ({"what": "costs"}, {"may_lose": 3.0, "flat": False}),
    "leave": ({}, {}),
    "take": ({"id": 0}, {}),
    "second": ({"id": None}, {}),
    "look": ({}, {"case": None, "steps": 12, "section_row": None}),
    "open": ({}, {"files": ()}),
    "drop": ({"file": FILE}, {"stroke": 0}),
    "keep": ({}, {"over": False}),
    "text": ({}, {}),
    "resume": ({"id": None}, {}),
    "job": ({"command": ""}, {"options": {}}),
    "stop": ({"job": 0}, {}),
}
"""Of each kind what it must say, and what is taken where it says no more."""


def read(kind: str, **said: Any) -> AnyAsked:
    return ASKED.validate_python({"kind": kind, **LEAST[kind][0], **said})


@pytest.mark.parametrize("kind", LEAST)
def test_what_a_message_does_not_say_is_usual(kind: str) -> None:
    least, usual = LEAST[kind]
    assert read(kind).model_dump() == {"kind": kind, **least, **usual}
    for name in least:
        with pytest.raises(ValidationError):
            ASKED.validate_python({"kind": kind, **{key: value for key, value in least.items() if key != name}})
    with pytest.raises(ValidationError):
        read(kind, more=0)


@pytest.mark.parametrize(
    ("kind", "name", "least", "most", "step"),
    [
        ("motif", "quarters", 1, 3, 1),
        ("motif", "stroke", 0, 2**53, 1),
        ("size", "rows", 1, 1_000_000, 1),
        ("size", "stitches", 1, 1_000_000, 1),
        ("size", "across", 1, 1_000_000, 1),
        ("size", "yarn", 0, 1_000_000, 1),
        ("seek", "may_lose", 0.0, 50.0, 0.5),
        ("look", "steps", 4, 40, 1),
        ("look", "section_row", 0, 1_000_000, 1),
    ],
)
def test_numbers_have_a_least_and_a_most(kind: str, name: str, least: float, most: float, step: float) -> None:
    for value in (least, most):
        assert getattr(read(kind, **{name: value}), name) == value
    for value in (least - step, most + step, float("nan")):
        with pytest.raises(ValidationError):
            read(kind, **{name: value})


@pytest.mark.parametrize(
    ("kind", "name", "some", "most"),
    [
        ("open", "files", lambda count: [FILE] * count, 4),
        ("set", "values", lambda count: {f"k{number}": 0 for number in range(count)}, 100),
        ("add yarn", "name", lambda count: "a" * count, 200),
        ("drop", "file", lambda count: FILE | {"data": "a" * count}, 4 * LARGEST_FILE // 3 + 4),
        ("paint", "squares", lambda count: [(0, 0, 0)] * count if count > 1 else [], None),
        ("chart", "rows", lambda count: [[0]] * count if count > 1 else [], None),
    ],
)
def test_there_is_a_most_of_everything(kind: str, name: str, some: Any, most: int | None) -> None:
    for count in [] if most is None else [most]:
        read(kind, **{name: some(count)})
    with pytest.raises(ValidationError):
        read(kind, **{name: some(0 if most is None else most + 1)})


def test_parts_are_shifted_either_way_and_boxes_have_a_square() -> None:
    far = 1_000_000
    assert read("motif", do="shift", by=(-far, far)).by == (-far, far)  # type: ignore[union-attr]
    for wrong in (
        {"by": (-far - 1, 0)},
        {"by": (0, far + 1)},
        {"box": BOX | {"rows": 0}},
        {"box": BOX | {"columns": 0}},
    ):
        with pytest.raises(ValidationError):
            read("motif", **wrong)


def test_the_largest_file_goes_into_a_message() -> None:
    coded = 4 * -(-LARGEST_FILE // 3)
    assert coded + 500_000 < LONGEST_MESSAGE < coded + 2_000_000  # room for its name, and little more
    assert coded <= 4 * LARGEST_FILE // 3 + 4
    assert MOST_SQUARES == 1_000_000
