"""What ``slack`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.design.floats.in_the_hand import extra_yarn, inside_out_gain, sag
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.whole import is_whole
from fabricsim.study.forecast.aiming import aim_of, stitches_for
from fabricsim.study.forecast.loosening import HowLoose
from fabricsim.units import CM, MM

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = ("stitches_passed", "floats", "span_cm", "yarn_cm", "extra_yarn_mm", "hangs_off_mm")
"""Of the table for spreadsheets: keys of every line."""


def lines(found: HowLoose) -> list[dict[str, float]]:
    """Return a line for each length of float, for a spreadsheet: what it takes at the slack to aim at."""
    aim, width = max(aim_of(found).slack, 0.0), found.rest.mesh.stitch_width
    gaps = sorted({one.gap for one in found.rest.floats if one.gap > 0})
    return [
        {
            "stitches_passed": gap,
            "floats": sum(one.gap == gap for one in found.rest.floats),
            "span_cm": (gap + 1) * width / CM,
            "yarn_cm": (gap + 1) * width * (1.0 + aim) / CM,
            "extra_yarn_mm": extra_yarn((gap + 1) * width, aim) / MM,
            "hangs_off_mm": sag((gap + 1) * width, aim) / MM,
        }
        for gap in gaps
    ]


def for_programs(scene: Scene, found: HowLoose) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    mesh, band, aim = found.rest.mesh, found.for_width, aim_of(found)
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "slack",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "case": mesh.case,
        **({"whole": True} if is_whole(mesh) else {}),
        "may_lose_percent": 100.0 * found.most_lost,
        "stretch_percent": 100.0 * found.stretch,
        "slack_for_width_percent": None
        if found.any_will_do
        else {"low": 100.0 * band.low, "nominal": 100.0 * band.nominal, "high": 100.0 * band.high},
        "slack_for_stretch_percent": 100.0 * found.for_stretch,
        "least_slack_percent": 100.0 * found.slack,
        "aim_percent": 100.0 * aim.slack,
        "must_be_wider_percent": 100.0 * aim.wider,
        "stitches_as_wide": stitches_for(scene, aim)[1] if aim.wider else None,
        "inside_out_gain_percent": 100.0
        * inside_out_gain(mesh.thickness, len(scene.piece_rows()[0]) * mesh.stitch_width)
        if scene.worked == "round"
        else None,
        "trials": [{"slack_percent": 100.0 * one.slack, "draw_in_percent": 100.0 * one.lost} for one in found.trials],
        "floats": lines(found),
    }
