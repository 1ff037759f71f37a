"""A small fixed part of the fuzz, and that it sees what is wrong."""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest

from tests.fuzz.case import case_of
from tests.fuzz.deep import SAID, ended
from tests.fuzz.outcome import outcome
from tests.fuzz.questions import SCENE, Words
from tests.fuzz.spoiling import spoil_values


@pytest.mark.parametrize("first", range(0, 60, 20))
def test_a_fixed_part(first: int) -> None:
    found = [outcome(seed) for seed in range(first, first + 20)]
    assert [fault for one in found for fault in one.faults] == []
    assert any(one.answered for one in found)
    assert any(one.refused for one in found)


def test_a_seed_is_one_case() -> None:
    assert case_of(7) == case_of(7)
    assert case_of(7) != case_of(8)


def test_a_number_too_large_for_any_float_can_be_spoilt_too() -> None:
    tables = [{"n": 10**400} for _ in range(30)]
    for seed, table in enumerate(tables):
        spoil_values(Random(seed), table, 1)
    assert sum(table != {"n": 10**400} for table in tables) > 15


def _raises(_: Words) -> int:
    raise ZeroDivisionError("division by zero")


def _two_lines(_: Words) -> int:
    print("fabricsim: something\nis wrong", file=sys.stderr)
    return 2


def _fault(_: Words) -> int:
    return 1


def _no_number(_: Words) -> int:
    print("draw-in nan %")
    return 0


def _control(_: Words) -> int:
    print("\x1b[31mred")
    return 0


def _overwrites(_: Words) -> int:
    Path(SCENE).write_text("gone", encoding="utf-8")
    return 0


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (_raises, "raised ZeroDivisionError"),
        (_two_lines, "is not one line"),
        (_fault, "ended with 1"),
        (_no_number, "holds no number"),
        (_control, "would upset a terminal"),
        (_overwrites, SCENE),
    ],
)
def test_it_sees_what_no_command_may_do(ask: object, said: str) -> None:
    faults = outcome(3, ask=ask).faults  # type: ignore[arg-type]
    assert any(said in fault for fault in faults)


@pytest.mark.parametrize("seed", [0, 1, 2, 3])
def test_extreme_fabrics_end_as_they_may(seed: int) -> None:
    assert ended(seed) in SAID
