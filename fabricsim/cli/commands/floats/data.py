"""What ``floats`` says to programs and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fabricsim import units
from fabricsim.cli.words.counts import chart_row
from fabricsim.cli.words.float_keys import FLOAT_KEYS, float_keys, limits
from fabricsim.design.catches.plan import as_catches, catches_of
from fabricsim.design.floats.carry_ups import CarryUp
from fabricsim.design.floats.faults import FloatFault
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = (*FLOAT_KEYS, "chart_row", "over_stitches", "over_cm")
"""Of the table for spreadsheets: keys of every line."""


def for_programs(
    scene: Scene,
    found: Sequence[Float],
    carried: Sequence[CarryUp],
    over: Sequence[FloatFault],
    *,
    repeat: bool,
) -> dict[str, Any]:
    """Return all of it for JSON: rows and stitches from 1 as knitters count, units in the keys."""
    fault_of = {id(one.float): one for one in over}
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "floats",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "counted": "repeat" if repeat else "piece",
        "limits": limits(scene),
        "summary": {
            "floats": len(found),
            "over_limit": len(over),
            "longest_gap_stitches": max((one.counted_gap for one in found), default=0),
            "longest_gap_cm": max((one.counted_width for one in found), default=0.0) / units.CM,
        },
        "floats": [
            {
                **float_keys(scene, one),
                "chart_row": chart_row(scene, one.row, repeat=repeat),
                "over_stitches": (fault := fault_of.get(id(one))) is not None and fault.too_many_stitches,
                "over_cm": fault is not None and fault.too_many_cm,
            }
            for one in found
        ],
        "carry_ups": [
            {
                "yarn": scene.yarns[one.yarn].symbol,
                "from_row": one.from_row + 1,
                "to_row": one.to_row + 1,
                "rows_idle": one.idle,
                "height_cm": one.height / units.CM,
                "across_cm": one.across / units.CM,
                "length_cm": one.length / units.CM,
                "over_limit": one.over_limit,
                "waits_at_other_edge": one.other_edge,
                "usual": one.advice,
            }
            for one in carried
        ],
        "catches": _catches(scene),
    }


def _catches(scene: Scene) -> list[dict[str, Any]]:
    """Return the catches of the chart, counted as everywhere from the bottom right."""
    return [one.model_dump() for one in as_catches(scene, catches_of(scene))]
