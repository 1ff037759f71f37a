"""What is sent of a fabric from a change to its rest."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from fabricsim.errors import StoppedError
from fabricsim.table.solving.order import Order, Outcome
from fabricsim.table.solving.settling import Settling
from fabricsim.table.solving.shape import Shape
from tests.support.little import RINGS, little


class Hearing:
    """A wire that keeps what is told, and calls an order overtaken after so many shapes, when asked so often again."""

    def __init__(self, most: int = 1000, later: int = 0) -> None:
        self.told: list[Outcome] = []
        self._most, self._later = most, later

    @property
    def shapes(self) -> list[Shape]:
        return [what for what in self.told if isinstance(what, Shape)]

    def overtaken(self, order: Order) -> bool:
        if len(self.shapes) < self._most:
            return False
        self._later -= 1
        return self._later < 0

    def tell(self, order: Order, what: Outcome) -> None:
        self.told.append(what)


def order(revision: int, slack: float, rows: tuple[str, ...] = RINGS) -> Order:
    text = little(rows, floats=f"slack = {slack}")
    return Order("first", revision, revision, text, Path("x.toml"), "repeat", 12)


def nothing(*what: Any, **how: Any) -> Any:
    """Stands for what is said."""


def settled(settling: Settling, asked: Order, most: int = 1000, later: int = 0) -> list[Shape]:
    wire = Hearing(most, later)
    with suppress(StoppedError):
        settling(asked, wire, nothing)
    return wire.shapes


def carried(one: Shape, other: Shape) -> bool:
    """Whether the yarn of one is that of the other: drawn anew its frames turn with it."""
    return np.array_equal(one.arrays["normal"], other.arrays["normal"])


def test_the_first_look_after_a_rest_takes_the_yarn_along_and_the_rest_is_laid_anew() -> None:
    settling = Settling()
    before = settled(settling, order(1, -0.02))
    assert [shape.head["apart"] for shape in before[-2:]] == [False, True]
    after = settled(settling, order(2, -0.06))
    first, *_, rest, apart = after
    assert not first.head["rest"]
    assert carried(first, before[-1])
    assert not np.array_equal(first.arrays["point"], before[-1].arrays["point"])
    assert not np.array_equal(first.arrays["pull"], before[-1].arrays["pull"])
    assert rest.head["rest"]
    assert not carried(rest, before[-1])
    assert not carried(apart, before[-1])


def test_a_hand_that_goes_on_sees_its_floats_laid_anew() -> None:
    """Where the last order was overtaken, yarn has been taken along already: its floats would never be seen to grow."""
    settling = Settling()
    before = settled(settling, order(1, -0.02))
    first = settled(settling, order(2, -0.06), most=1)
    second = settled(settling, order(3, -0.1), most=1)
    assert [len(first), len(second)] == [1, 1]
    assert carried(first[0], before[-1])
    assert not carried(second[0], first[0])


def test_yarn_that_isn_t_kept_apart_yet_goes_along_too() -> None:
    """A change comes while the yarn is being kept apart."""
    many = len(settled(Settling(), order(1, -0.02)))
    settling = Settling()
    rest = settled(settling, order(1, -0.02), most=many - 1, later=3)[-1]
    assert (rest.head["rest"], rest.head["apart"]) == (True, False)
    assert carried(settled(settling, order(2, -0.06))[0], rest)


def test_other_stitches_are_laid_anew() -> None:
    settling = Settling()
    settled(settling, order(1, -0.02))
    painted = ("..b...", ".b.b..", "b...bb", ".b.b..", "..b...")
    first = settled(settling, order(2, -0.02, painted))[0]
    assert len(first.arrays["first"]) > 1
    assert first.head["topology"] != settled(Settling(), order(1, -0.02))[0].head["topology"]
