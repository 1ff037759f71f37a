"""Small curves of a lesson, as the numbers of an SVG: one measure against slack, a dot a step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

WIDE, TALL = 340.0, 190.0
"""Size of a curve in its own units (chosen: text of 11 units is then as large as the page's small print)."""
LEFT, RIGHT, TOP, BOTTOM = 40.0, 24.0, 16.0, 38.0
"""What is kept for numbers and words round it (chosen)."""
TICKS = 4
"""Most steps of the upright scale (chosen)."""


@dataclass(frozen=True)
class Mark:
    """A place on a scale and what stands there."""

    at: float
    text: str


@dataclass(frozen=True)
class Dot:
    """A step of the lesson on the curve."""

    x: float
    y: float
    said: str


@dataclass(frozen=True)
class LessonCurve:
    """A curve ready to draw: ``title``, ``alt`` for who can't see it, dots in the order of the steps, both scales."""

    title: str
    alt: str
    dots: tuple[Dot, ...]
    across: tuple[Mark, ...]
    up: tuple[Mark, ...]
    wide: float = WIDE
    tall: float = TALL

    @property
    def path(self) -> str:
        """The line through all dots, as an SVG path."""
        return "M" + "L".join(f"{dot.x:.1f} {dot.y:.1f}" for dot in self.dots)

    @property
    def floor(self) -> float:
        """Where the curve's bottom line lies."""
        return self.tall - BOTTOM

    @property
    def right(self) -> float:
        """Where its lines end."""
        return self.wide - RIGHT


def curve(title: str, unit: str, slacks: Sequence[float], values: Sequence[float], least_top: float) -> LessonCurve:
    """Return the curve of ``values`` (in ``unit``) over ``slacks`` (shares, rising); its scale reaches ``least_top`` at
    least, so that next to nothing looks like it."""
    low, high = slacks[0], slacks[-1]
    step = _round_step(max(least_top, *values) / TICKS)
    top = step * max(1, ceil(max(least_top, *values) / step - 1e-9))
    floor_y = TALL - BOTTOM

    def x(slack: float) -> float:
        return LEFT + (slack - low) / (high - low) * (WIDE - LEFT - RIGHT)

    def y(value: float) -> float:
        return floor_y - max(0.0, value) / top * (floor_y - TOP)

    named = [f"{value:.1f} {unit} at {_per_cent(slack)}" for slack, value in zip(slacks, values, strict=True)]
    return LessonCurve(
        title=title,
        alt=f"{title} against slack: {', '.join(named)}.",
        dots=tuple(Dot(x(s), y(v), said) for s, v, said in zip(slacks, values, named, strict=True)),
        across=tuple(Mark(x(at), _per_cent(at)) for at in _across(low, high)),
        up=tuple(Mark(y(step * k), f"{step * k:g}") for k in range(round(top / step) + 1)),
    )


def _across(low: float, high: float) -> list[float]:
    """Return round slacks between the two."""
    step = _round_step((high - low) / 6.0)
    return [step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


def _round_step(at_least: float) -> float:
    """Return the least of 1, 2 and 5 times a power of ten that isn't less than ``at_least``."""
    power = 10.0 ** floor(log10(at_least) + 1e-12)
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= at_least * (1.0 - 1e-9))


def _per_cent(slack: float) -> str:
    per_cent = round(100.0 * slack, 1)
    return f"{per_cent:+g} %".replace("-", "\N{MINUS SIGN}") if per_cent else "0 %"
