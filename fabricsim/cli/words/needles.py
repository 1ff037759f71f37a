"""Needles, in a knitter's words."""

from __future__ import annotations

from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.shares import percent
from fabricsim.design.counted.needles import LEAST_MOVED, MOST_MOVED, moved, sizes_larger, usual_needles
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.row_bands import MOST_SIZES

ONE_SIZE_SAID = f"one size widens by {100.0 * LEAST_MOVED:.0f} to {percent(MOST_MOVED)}, though 0 to 25 is reported"


def larger_needle(scene: Scene, lost: float) -> str | None:
    """Return which needle makes good a share ``lost`` of the width; None where it is too little for another size, or
    more than needles mend."""
    sizes = sizes_larger(lost) if lost < 1.0 else MOST_SIZES + 1
    if not 1 <= sizes <= MOST_SIZES:
        return None
    unit, plain = row_word(scene), scene.gauge.needle_mm
    coloured = scene.gauge.colourwork.needle_mm if scene.gauge.colourwork is not None else None
    now = coloured if coloured is not None else plain
    if now is None:
        low, high = usual_needles(scene.gauge.stitches)
        which = (
            f"{count(sizes, 'size')} larger than yours ({low:g} to {high:g} mm are usual for this gauge, by the Craft "
            "Yarn Council's standard)"
        )
        back = "your own"
    else:
        larger = moved(now, sizes)
        if larger is None:
            return None
        which, back = f"{larger:g} mm in place of {now:g}", "your own" if plain is None else f"{plain:g} mm"
    return (
        f"Work the {unit}s with floats on larger needles, {which}: {ONE_SIZE_SAID}. Go back to {back} for plain "
        f"{unit}s, and one or two sizes below that for rib. Swatch it."
    )


def needles_used(scene: Scene) -> str | None:
    """Return which needles the scene says are used for what; None where it says nothing."""
    plain = scene.gauge.needle_mm
    coloured = scene.gauge.colourwork.needle_mm if scene.gauge.colourwork is not None else None
    if plain is None and coloured is None:
        return None
    unit = row_word(scene)
    if coloured is None or coloured == plain:
        return f"Needles: {plain:g} mm."
    others = f"{plain:g} mm for plain {unit}s, " if plain is not None else ""
    return f"Needles: {others}{coloured:g} mm for {unit}s of two colours and more."
