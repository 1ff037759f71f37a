"""What washing and blocking do to a piece, in words and to programs."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.words.shares import SAID, percent
from fabricsim.lengths import long
from fabricsim.study.washed.washing import PLAIN_MOVES, STRANDED_GAINED, Washed
from fabricsim.units import CM

NO_SINGLE_REST = (
    "Knitted fabric has no single width at rest: its loops rub, and keep some of how they were last pulled. Plain "
    f"swatches moved by up to {percent(PLAIN_MOVES)} by wetting and drying alone; what is said here lies amid that."
)


def washed_figures(found: Washed) -> list[tuple[str, str]]:
    """Return the labelled lines that tell how a piece comes out of the wash, and of its pins."""
    before, after = found.before.widths.width, found.measured.widths.width
    floats = len(found.after.mesh.floats)
    lines = [
        (
            "Washed",
            f"plain fabric comes out {_change(found.wider, 'wider', 'narrower')} and "
            f"{_change(found.taller, 'taller', 'shorter')}; this {_change(found.follows, 'wider', 'narrower')}: "
            f"{long(before)} to {long(after)}"
            + (f", {found.measured.pull.taut:,} of {floats:,} floats taut then" if floats else ""),
        )
    ]
    if found.first is not None and found.half is not None:
        lines.append(
            (
                "Follows",
                f"pulled on, its first floats are straight at {long(found.first)} and half of them at "
                f"{long(found.half)}; beyond that a board pulls on yarn that hardly gives",
            )
        )
    if found.pinned is not None and found.springs is not None:
        lines.append(("Blocked", _blocked(found, found.pinned, found.springs)))
    return lines


def _blocked(found: Washed, pinned: float, springs: tuple[float, float]) -> str:
    own = found.measured.widths.width
    low, high = springs
    if abs(pinned / own - 1.0) < SAID:
        return f"pinned to {long(pinned)}, as wide as it lies"
    said = f"pinned to {long(pinned)}, {_change(pinned / own - 1.0, 'wider', 'narrower')} than it lies; once the pins "
    said += f"are out between {long(low)} (it springs back whole) and {long(high)} (it keeps all)"
    if found.half is not None and pinned > found.half:
        said += "; so wide its floats are straight, and loops or ends give way first"
    if pinned / own - 1.0 > STRANDED_GAINED:
        said += f"; the most reported to have stayed in stranded work is {percent(STRANDED_GAINED, 1)}"
    return said


def _change(share: float, more: str, less: str) -> str:
    if abs(share) < SAID:
        return f"no {more}"
    return f"{percent(abs(share), 1)} {more if share > 0.0 else less}"


def washed_for_programs(found: Washed) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    springs = found.springs
    return {
        "plain_wider_percent": 100.0 * found.wider,
        "plain_taller_percent": 100.0 * found.taller,
        "width_before_cm": found.before.widths.width / CM,
        "width_cm": found.measured.widths.width / CM,
        "wider_percent": 100.0 * found.follows,
        "draw_in_percent": 100.0 * found.measured.widths.overall,
        "floats_taut": found.measured.pull.taut,
        "first_floats_straight_at_cm": None if found.first is None else found.first / CM,
        "half_the_floats_straight_at_cm": None if found.half is None else found.half / CM,
        "pinned_cm": None if found.pinned is None else found.pinned / CM,
        "unpinned_low_cm": None if springs is None else springs[0] / CM,
        "unpinned_high_cm": None if springs is None else springs[1] / CM,
        "plain_moves_percent": 100.0 * PLAIN_MOVES,
    }
