"""What ``chart`` says to programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from fabricsim.design.scene.read import scene_hash

if TYPE_CHECKING:
    from fabricsim.render.chart.layout import SheetLayout
from typing import Any

from fabricsim.design.floats.on_paper import Charted
from fabricsim.design.scene.model import Scene

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def for_programs(
    scene: Scene, chart: Charted, layout: SheetLayout, files: list[Path], *, piece: bool
) -> dict[str, Any]:
    """Return what was charted and how it is laid out, units in the keys; ``piece``: whether it is the whole of it."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "chart",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "counted": "piece" if piece else "repeat",
        "rows": len(chart.yarn_ij),
        "stitches": len(chart.yarn_ij[0]),
        "floats_over_limit": chart.long,
        "strands_from_below": [scene.symbols[yarn] for yarn in scene.strands_from_below],
        "catches": sum(map(sum, chart.caught_ij)),
        "files": [str(file) for file in files],
        "sheets": len(layout.tiles),
        "sheets_across": layout.across,
        "sheets_up": layout.up,
        "sheet_mm": list(layout.sheet),
        "square_width_mm": layout.wide,
        "square_height_mm": layout.tall,
    }
