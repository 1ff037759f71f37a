"""What ``change`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.commands.change.words import ChangeTold
from fabricsim.cli.shell.answer import head_of
from fabricsim.design.catches.plan import as_catches
from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.design.counted.edits import changed
from fabricsim.study.change.aims import TriedScene
from fabricsim.study.change.found_ways import ChangeWay
from fabricsim.units import CENTINEWTON, MM

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""
RESULTS = ("draw_in_percent", "pucker_mm", "floats_over_limit")
COLUMNS = ("way", "changes", "stitches", "catches", "percent_looser", *RESULTS)
"""Of the table for spreadsheets: keys of every line, one a way."""


def for_programs(told: ChangeTold) -> dict[str, Any]:
    """Return all of it for JSON: rows and stitches of the chart from 1, from the bottom right."""
    scene, found = told.scene, told.found
    aims = found.aims
    return {
        **head_of("change", SCHEMA_VERSION, scene),
        "wanted": {
            "no_float_over_limit": aims.within,
            "draw_in_at_most_percent": None if aims.may_lose is None else 100.0 * aims.may_lose,
            "pucker_at_most_mm": None if aims.pucker is None else aims.pucker / MM,
            "goes_over": aims.over,
            "size": aims.size,
        },
        "symmetry_kept": found.kept,
        "stopped": found.stopped,
        "as_it_is": {**_result(found.now), "misses": list(found.needed)},
        "ways": [_way(told, way) for way in found.ways],
    }


def lines(told: ChangeTold) -> list[dict[str, object]]:
    """Return a line for every way that was found, for a spreadsheet."""
    made: list[dict[str, object]] = []
    for number, way in enumerate(told.found.ways, start=1):
        if way.proposal is None or way.tried is None:
            continue
        one, result = way.proposal, _result(way.tried)
        cells = (number, one.counts, len(one.edit), len(one.holds), one.looser)
        made.append(dict(zip(COLUMNS, (*cells, *(result[name] for name in RESULTS)), strict=True)))
    return made


def _result(tried: TriedScene) -> dict[str, Any]:
    measures = tried.forecast.measures
    return {
        "draw_in_percent": 100.0 * measures.widths.overall,
        "pucker_mm": measures.pucker.peak_to_valley / MM,
        "hardest_pull_cN": measures.pull.greatest / CENTINEWTON,
        "floats_over_limit": tried.over,
        "opens_too_little_percent": 100.0 * tried.lacking,
    }


def _way(told: ChangeTold, way: ChangeWay) -> dict[str, Any]:
    scene, one, tried = told.scene, way.proposal, way.tried
    nearest = None if way.nearest is None else _result(way.nearest)
    if one is None or tried is None:
        return {"kind": way.kind, "found": False, "nearest_tried": nearest}
    wide = scene.stitches_per_repeat
    chart_ij = changed(tuple(tuple(row) for row in scene.chart_rows()), one.edit)
    return {
        "kind": way.kind,
        "found": True,
        "changes": one.counts,
        "stitches": [
            {"row": row + 1, "stitch": wide - column, "yarn": scene.symbols[yarn]} for (row, column), yarn in one.edit
        ],
        "catches": [catch.model_dump(exclude_none=True) for catch in as_catches(scene, one.holds)],
        "percent_looser": one.looser,
        "bands": [band.model_dump() for band in one.bands],
        "chart": printed_rows(chart_ij, scene.symbols),
        **_result(tried),
        "misses": list(tried.misses(told.found.aims)),
        "nearest_tried": nearest,
    }
