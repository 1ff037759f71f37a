"""A look at a fabric on its way to rest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property

from fabricsim.fabric.equilibrium import Equilibrium


@dataclass(frozen=True, eq=False)
class Look:
    """A fabric seen on its way to rest.

    ``step``: steps taken so far; ``force``: the largest force left on a stitch, as a share of the force that doubles a
    stitch's width; ``settled``: whether it is at rest, which is proven of the last look alone; ``make`` makes its
    fabric, when that is first asked for: looks that nobody draws cost nothing.
    """

    step: int
    force: float
    settled: bool
    make: Callable[[], Equilibrium] = field(repr=False)

    @cached_property
    def fabric(self) -> Equilibrium:
        """The fabric as it lies, to be measured and drawn like any equilibrium, and to start from again."""
        return self.make()

    def through(self, turn: Callable[[Equilibrium], Equilibrium]) -> Look:
        """Return the same look, its fabric turned into another, such as the chart as it was typed."""
        return replace(self, make=lambda: turn(self.fabric))


Onlooker = Callable[[Look], None]
"""Handed every look: one before the first step, one after each, and the settled one."""
