"""What is said of the colours of a scene to programs and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, get_args

from fabricsim.design.floats.meeting import with_motifs_below
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.render.basics.eyes import Eye
from fabricsim.render.chart.telling_apart import CLEAR, LOST, MUDDY, Compared

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(scene: Scene, found: Sequence[Compared]) -> list[dict[str, object]]:
    """Return a line for each two yarns that meet, for a spreadsheet."""
    return [_line(scene, one) for one in found]


def for_programs(scene: Scene, found: Sequence[Compared]) -> dict[str, Any]:
    """Return all of it for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "colours",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "scales": {
            "lightness": "CIELAB L*, 0 to 100",
            "contrast": "WCAG 2.2 contrast ratio, 1 to 21",
            "difference": "CIE 1976",
            "clear_in_grey_from_gap": CLEAR,
            "muddy_in_grey_under_gap": MUDDY,
            "hard_to_tell_under_difference": LOST,
        },
        "strands_from_below": [scene.symbols[yarn] for yarn in scene.strands_from_below],
        "advised_from_below": [
            scene.symbols[yarn] for yarn in with_motifs_below(scene.strands_from_below, [one.meeting for one in found])
        ],
        "pairs": [
            {
                "yarns": [scene.symbols[one.meeting.one], scene.symbols[one.meeting.other]],
                "names": [scene.yarns[one.meeting.one].name, scene.yarns[one.meeting.other].name],
                "touch_side_by_side": one.meeting.beside,
                "touch_one_above_other": one.meeting.above,
                "rows_with_both": one.meeting.together,
                "lightness": list(one.lightness),
                "lightness_gap": one.usual.gap,
                "in_grey": one.verdict,
                "contrast_ratio": one.contrast,
                "difference": one.usual.difference,
                "colour_blind": {
                    eye: {"lightness_gap": left.gap, "difference": left.difference, "hard_to_tell": left.lost}
                    for eye, left in one.blind.items()
                },
                "carried_below": _symbol(scene, one.meeting.below),
                "makes_the_motif": _symbol(scene, one.meeting.motif),
            }
            for one in found
        ],
    }


COLUMNS = (
    "yarn",
    "other_yarn",
    "touch",
    "lightness",
    "other_lightness",
    "lightness_gap",
    "in_grey",
    "contrast_ratio",
    "difference",
    *(f"{eye}_{what}" for eye in get_args(Eye) for what in ("lightness_gap", "difference")),
    "carried_below",
    "makes_the_motif",
)
"""Of the table for spreadsheets: keys of every line."""


def _line(scene: Scene, one: Compared) -> dict[str, object]:
    """Return two yarns as a line of a spreadsheet."""
    line: dict[str, object] = {
        "yarn": scene.yarns[one.meeting.one].name,
        "other_yarn": scene.yarns[one.meeting.other].name,
        "touch": one.meeting.beside + one.meeting.above,
        "lightness": round(one.lightness[0], 1),
        "other_lightness": round(one.lightness[1], 1),
        "lightness_gap": round(one.usual.gap, 1),
        "in_grey": one.verdict,
        "contrast_ratio": round(one.contrast, 2),
        "difference": round(one.usual.difference, 1),
    }
    for eye, left in one.blind.items():
        line |= {f"{eye}_lightness_gap": round(left.gap, 1), f"{eye}_difference": round(left.difference, 1)}
    below, motif = one.meeting.below, one.meeting.motif
    line["carried_below"] = scene.yarns[below].name if below is not None else ""
    line["makes_the_motif"] = scene.yarns[motif].name if motif is not None else ""
    return line


def _symbol(scene: Scene, yarn: int | None) -> str | None:
    return None if yarn is None else scene.symbols[yarn]
