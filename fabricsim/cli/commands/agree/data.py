"""What ``agree`` says to programs and spreadsheets."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from fabricsim.cli.commands.agree.words import AgreeTold
from fabricsim.cli.shell.answer import head_of
from fabricsim.design.catches.plan import as_catches
from fabricsim.study.change.band_pieces import AgreeWay, PieceTried, does
from fabricsim.units import CM, MM

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
COLUMNS = (
    *("way", "first_row", "last_row", "percent_looser", "needle_sizes", "catches"),
    *("draw_in_percent", "width_cm", "apart_percent", "floats_over_limit"),
)
"""Of the table for spreadsheets: keys of every line, one a band of a way; way 0 is the piece as it is."""


def for_programs(told: AgreeTold) -> dict[str, Any]:
    """Return all of it for JSON: rows of chart and piece from 1, from the bottom."""
    found = told.found
    likely = found.likely
    return {
        **head_of("agree", SCHEMA_VERSION, told.scene),
        "case": found.case,
        "floats_carried": "all alike",
        "within_percent": 100.0 * found.within,
        "bands": [{"first_row": band.first + 1, "last_row": band.last + 1} for band in found.bands],
        "agrees": found.agrees,
        "stopped": found.stopped,
        "as_it_is": _result(told, found.now),
        "likely_by_hand": None
        if likely is None
        else {
            "draw_in_percent": [_percents(one) for one in likely.lost_k],
            "steps_percent": [_percents(one) for one in likely.step_s],
            "apart_percent": _percents(likely.apart),
            "row_width_cm": [[low / CM, high / CM] for low, high in likely.width_i],
        },
        "ways": [_way(told, way) for way in found.ways],
    }


def _percents(ends: tuple[float, float]) -> list[float]:
    return [100.0 * one for one in ends]


def _result(told: AgreeTold, tried: PieceTried) -> dict[str, Any]:
    measures, lost_k = tried.forecast.measures, tried.bands.lost_k
    return {
        "draw_in_percent": [100.0 * one for one in lost_k],
        "width_cm": [told.width(one) / CM for one in lost_k],
        "steps_percent": [100.0 * (above - below) for below, above in pairwise(lost_k)],
        "apart_percent": 100.0 * tried.apart,
        "draw_in_overall_percent": 100.0 * measures.widths.overall,
        "pucker_mm": measures.pucker.peak_to_valley / MM,
        "floats_over_limit": tried.over,
        "row_width_cm": (measures.widths.width_i / CM).tolist(),
    }


def _way(told: AgreeTold, way: AgreeWay) -> dict[str, Any]:
    if way.tried is None:
        return {"kind": way.kind, "found": False}
    return {
        "kind": way.kind,
        "found": True,
        "percent_looser": list(way.looser_k),
        "needle_sizes": list(way.sizes_k),
        "catches": [catch.model_dump(exclude_none=True) for catch in as_catches(told.scene, way.holds)],
        **_result(told, way.tried),
        "agrees": does(way.tried, told.found.within),
    }


def lines(told: AgreeTold) -> list[dict[str, object]]:
    """Return a line for every band of the piece as it is and of every way that was found."""
    found = told.found
    none = (0,) * len(found.bands)
    states: list[tuple[int, tuple[int, ...], tuple[int, ...], AgreeWay | None, PieceTried]]
    states = [(0, none, none, None, found.now)]
    for number, way in enumerate(found.ways, start=1):
        if way.tried is not None:
            states.append((number, way.looser_k, way.sizes_k, way, way.tried))
    made: list[dict[str, object]] = []
    for number, looser_k, sizes_k, of_way, tried in states:
        for k, (band, lost) in enumerate(zip(found.bands, tried.bands.lost_k, strict=True)):
            catches = 0 if of_way is None else sum(band.holds(hold.row) for hold in of_way.holds)
            cells = (number, band.first + 1, band.last + 1, looser_k[k], sizes_k[k], catches)
            results = (100.0 * lost, told.width(lost) / CM, 100.0 * tried.apart, tried.over)
            made.append(dict(zip(COLUMNS, (*cells, *results), strict=True)))
    return made
