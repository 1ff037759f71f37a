"""What was measured held against the scene, and against itself: what can't be, is refused before anything is solved."""

from __future__ import annotations

from math import hypot
from pathlib import Path

from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.of_scene import floats_of_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import MOST_UNEVEN
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import InputError
from fabricsim.units import CM

GAUGE_OFF = 0.15
"""Share by which a plain section may differ from the scene's gauge (chosen: beyond, it is another gauge)."""
WIDER = 0.05
"""Share by which colourwork may be wider than plain by the scene's gauge (chosen: floats never push, so that is another
gauge than that of the swatch)."""
UNSURE = 2.0
"""How many times what a tape may be off colourwork may be wider than a plain part that was measured too (chosen: by
chance 1 in 20 is)."""
NARROWEST = 0.30
"""Share of the width that colourwork may lose (chosen: half as much again as beginners do, 20 %, memory; floats any
tighter crumple the fabric, and such may find no rest)."""
HEAVIER = 1.6
"""Factor by which a swatch may be lighter or heavier than reckoned (chosen: beyond, it is another piece)."""
FLOAT_SLACKS = (-0.5, 1.0)
"""Slacks between which a measured float must lie (chosen: far beyond any hand)."""


def check_measured(scene: Scene, measured: Measured, path: Path) -> None:
    """Raise ``InputError``, naming the file ``path`` and the key, for what can't be a swatch of ``scene``."""
    if not measured.tells:
        raise InputError(
            path,
            "nothing that tells how the floats lie",
            "colourwork.width_cm, colourwork.pucker_mm, stretched.width_cm, weighed.grams or [[floats]]",
            "fill in what you measured, and take the # from the front of its line",
        )
    if not floats_of_repeat(scene):
        raise InputError(scene.where("chart"), "a chart without floats", "two yarns in a row", "nothing can be learnt")
    width, height = scene.gauge.stitch_width / CM, scene.gauge.row_height / CM
    plain, colourwork, stretched = measured.plain, measured.colourwork, measured.stretched
    if plain.stitches is not None and plain.width_cm is not None:
        width = _near_gauge(path, "plain.width_cm", plain.width_cm, plain.stitches, width)
    for name, part in (("plain", plain), ("colourwork", colourwork)):
        if part.rows is not None and part.height_cm is not None:
            _near_gauge(path, f"{name}.height_cm", part.height_cm, part.rows, height)
    at_rest = width
    if colourwork.stitches is not None and colourwork.width_cm is not None:
        plain_cm = colourwork.stitches * width
        off = WIDER * plain_cm
        if plain.stitches is not None and plain.width_cm is not None:
            off = UNSURE * hypot(colourwork.uncertain_cm, plain.uncertain_cm * colourwork.stitches / plain.stitches)
        _between(
            path,
            "colourwork.width_cm",
            colourwork.width_cm,
            (plain_cm * (1.0 - NARROWEST), plain_cm + off),
            f"cm, as {colourwork.stitches} stitches are {plain_cm:.1f} cm in plain knitting and floats only draw in",
            "measure again, and count the stitches",
        )
        at_rest = colourwork.width_cm / colourwork.stitches
    if stretched.stitches is not None and stretched.width_cm is not None:
        least = stretched.stitches * (width if stretched.section == "plain" else at_rest)
        if stretched.width_cm <= least:
            raise InputError(
                f"{path}: stretched.width_cm",
                f"{stretched.width_cm:g}",
                f"more than the {least:.1f} cm that {stretched.stitches} stitches are at rest",
                "measure it while the weight pulls, and count the stitches",
            )
    if measured.weighed.grams is not None:
        reckoned = sum(one.mass for one in yarn_amounts(scene).yarns) * 1000.0
        _between(
            path,
            "weighed.grams",
            measured.weighed.grams,
            (reckoned / HEAVIER, reckoned * HEAVIER),
            f"g for the piece that the scene describes, reckoned at {reckoned:.1f} g",
            "weigh the whole swatch, or correct the scene: its size or its yarns",
        )
    for number, one in enumerate(measured.floats, 1):
        span = (one.gap + 1) * width
        lengths, key, unit, by = (
            ((one.yarn_cm,), "yarn_cm", "cm", 1.0) if one.yarn_mm is None else (one.yarn_mm, "yarn_mm", "mm", 10.0)
        )
        for length in lengths:
            assert length is not None
            _between(
                path,
                f"floats (no. {number}).{key}",
                length,
                (by * span * (1.0 + FLOAT_SLACKS[0]), by * span * (1.0 + FLOAT_SLACKS[1])),
                f"{unit} behind {one.gap} stitches, which bridges {by * span:.1f} {unit}",
                f"count the stitches it passes, and give its length in {unit}",
            )
        uneven = one.spread_mm / (10.0 * span)
        if uneven > MOST_UNEVEN:
            raise InputError(
                f"{path}: floats (no. {number}).yarn_mm",
                f"lengths that differ by {100.0 * uneven:.0f} %",
                f"up to {100.0 * MOST_UNEVEN:.0f} % (two in three that near their mean)",
                "list floats that pass behind the same number of stitches, and measure them again",
            )
        if one.yarn is not None and one.yarn not in scene.symbols:
            raise InputError(
                f"{path}: floats (no. {number}).yarn",
                f"'{one.yarn}'",
                f"the symbol of a yarn ({', '.join(scene.symbols)})",
                "name a yarn of the scene, or leave it out",
            )


def _near_gauge(path: Path, key: str, cm: float, count: int, each: float) -> float:
    """Return the size of one stitch or row, cm; raises ``InputError`` where it is not that of the scene's gauge."""
    expected = count * each
    _between(
        path,
        key,
        cm,
        (expected * (1.0 - GAUGE_OFF), expected * (1.0 + GAUGE_OFF)),
        f"cm, as {count} of them are {expected:.1f} cm at the scene's gauge",
        "measure again, or write your own gauge in the scene",
    )
    return cm / count


def _between(path: Path, key: str, given: float, ends: tuple[float, float], why: str, todo: str) -> None:
    if not ends[0] <= given <= ends[1]:
        raise InputError(f"{path}: {key}", f"{given:g}", f"{ends[0]:.1f} to {ends[1]:.1f} {why}", todo)
