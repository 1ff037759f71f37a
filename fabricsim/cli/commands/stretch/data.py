"""What ``stretch`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.stretching import PRETENSION, STRIP, Along
from fabricsim.study.stretch.pulling import Curve, Point
from fabricsim.study.stretch.stretching import Range, Stretching, Way
from fabricsim.units import CM, GRAM, GRAVITY

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def grams(load: float) -> float:
    """Return the grams hung from a strip 5 cm wide that make a ``load`` (N/m)."""
    return load * STRIP / GRAVITY / GRAM


def loads_told(found: Stretching) -> list[float]:
    """Return the loads that are told, N/m: the pretension and those asked for."""
    return sorted({PRETENSION, *found.loads})


def for_programs(scene: Scene, found: Stretching) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "stretch",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "case": found.rest.mesh.case,
        "floats": found.across.curve.floats,
        "pretension_N_per_m": PRETENSION,
        "strip_cm": STRIP / CM,
        **{along: _way(found, along, way) for along, way in found.ways.items()},
    }


def _way(found: Stretching, along: Along, way: Way) -> dict[str, Any]:
    half = way.curve.half_taut
    return {
        "size_at_rest_cm": way.curve.relaxed[0 if along == "across" else 1] / CM,
        "first_float_taut_percent": _range(way.first_taut),
        "half_the_floats_taut_percent": None if half is None else 100.0 * half,
        "at": [
            {
                "load_N_per_m": load,
                "grams_on_strip": grams(load),
                "stretch_percent": _range(way.at(load)),
                "from_pretension_percent": 100.0 * way.curve.from_pretension(load),
                "other_way_percent": 100.0 * way.curve.other_at(load),
                "floats_taut_percent": 100.0 * way.curve.taut_at(load),
                "plain_stretch_percent": 100.0 * way.plain.at(load),
            }
            for load in loads_told(found)
        ],
    }


def lines(found: Stretching) -> list[dict[str, object]]:
    """Return the points of the curves, up to the greatest load asked for, for a spreadsheet."""
    most = max(found.loads)
    return [
        _line(along, fabric, one)
        for along, way in found.ways.items()
        for fabric, curve in (("with floats", way.curve), ("plain", way.plain))
        for one in _up_to(curve, most)
    ]


def _up_to(curve: Curve, most: float) -> list[Point]:
    return [one for one in curve.points if one.load <= most]


def _line(along: Along, fabric: str, one: Point) -> dict[str, object]:
    return {
        "pulled": along,
        "fabric": fabric,
        "load_N_per_m": one.load,
        "grams_on_5_cm": grams(one.load),
        "stretch_percent": 100.0 * one.strain,
        "other_way_percent": 100.0 * one.other,
        "floats_taut_percent": 100.0 * one.taut,
    }


def _range(found: Range) -> dict[str, float | None]:
    return {
        end: None if share is None else 100.0 * share
        for end, share in (("low", found.low), ("nominal", found.nominal), ("high", found.high))
    }
