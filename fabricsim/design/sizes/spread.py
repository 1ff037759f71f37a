"""Increases or decreases spread evenly over a round or row, and how a pattern says it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from fabricsim.design.scene.made import even_groups

Change = Literal["m1", "k2tog"]
"""Make one, or knit two together."""

TIMES = {2: "twice"}
USES: dict[Change, int] = {"m1": 0, "k2tog": 2}
"""Stitches of the round before that a change takes up itself."""


@dataclass(frozen=True)
class Spread:
    """One adjusting round or row, from ``before`` to ``after`` stitches.

    ``plain`` counts the stitches knitted before each change, ``tail`` those after the last (none in the round, half a
    group at the end of a row). ``change`` is None where nothing changes.
    """

    before: int
    after: int
    change: Change | None
    plain: tuple[int, ...]
    tail: int

    @property
    def groups(self) -> tuple[int, ...]:
        """Stitches of the round before that each change comes to, its own among them."""
        return tuple(one + USES[self.change] for one in self.plain) if self.change else ()

    def words(self) -> str:
        """Return the round in words: ``*(k8, m1) twice, k9, m1; rep from * to end. [112 sts]``."""
        return f"{self.way()}. [{self.after} sts]"

    def way(self) -> str:
        """Return what is done in it, without the count."""
        if self.change is None:
            return f"k{self.before}"
        if self.tail == 0:
            return said_in_turn([_steps(one, self.change) for one in self.plain], to_end=True)
        first, *inner = [_steps(one, self.change) for one in self.plain]
        between = [said_in_turn(inner)] if inner else []
        return ", ".join([first, *between, f"k{self.tail}"])


def spread(before: int, after: int, *, flat: bool = False, beside: tuple[int, int] = (0, 0)) -> Spread:
    """Return the round from ``before`` to ``after`` stitches, its changes spread evenly.

    ``beside``: stitches of a steek at its beginning and its end, in which nothing changes; what lies between is spread
    as if ``flat``.

    Of k changes over n stitches the i-th group has floor(i n/k) - floor((i - 1) n/k) stitches; ``flat``, half a group
    is left at each edge (common practice). Raises ``ValueError`` where a group has no room for its change: more than
    doubled, or more than halved.
    """
    if any(beside):
        between = spread(before - sum(beside), after - sum(beside), flat=True)
        first = (between.plain[0] + beside[0], *between.plain[1:]) if between.plain else ()
        return Spread(before, after, between.change, first, between.tail + sum(beside[bool(first) :]))
    if not can_spread(before, after):
        raise ValueError(f"{before} to {after} stitches takes more than one round")
    k = abs(after - before)
    if k == 0:
        return Spread(before, after, None, (), before)
    change: Change = "m1" if after > before else "k2tog"
    plain = [one - USES[change] for one in even_groups(before, k)]
    if not flat:
        return Spread(before, after, change, tuple(plain), 0)
    lead = plain[-1] // 2
    return Spread(before, after, change, (lead, *plain[:-1]), plain[-1] - lead)


def can_spread(before: int, after: int) -> bool:
    """Return whether one round can lead from ``before`` to ``after`` stitches: at most doubled, at most halved."""
    return before >= 1 and before <= 2 * after and after <= 2 * before


def said_in_turn(steps: Sequence[str], *, to_end: bool = False) -> str:
    """Return steps one after the other, in as few words as patterns do: what repeats stands between * and ;.

    ``to_end``: nothing follows, so the repeat runs to the end of the round.
    """
    period = next(p for p in range(1, len(steps) + 1) if len(steps) % p == 0 and _repeats(steps, p))
    again = len(steps) // period - 1
    unit = ", ".join(_several(one, len(list(run))) for one, run in groupby(steps[:period]))
    if again == 0:
        return unit
    how_far = "to end" if to_end else "once more" if again == 1 else f"{again} more times"
    return f"*{unit}; rep from * {how_far}"


def _repeats(steps: Sequence[str], period: int) -> bool:
    return all(one == steps[number % period] for number, one in enumerate(steps))


def _several(step: str, times: int) -> str:
    if times == 1:
        return step
    return f"({step}) {TIMES.get(times, f'{times} times')}"


def _steps(plain: int, change: Change) -> str:
    return f"k{plain}, {change}" if plain else change
