"""What ``stretch`` says, to a knitter, a program and a spreadsheet."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fabricsim.cli.shell.page import Page, Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, row_word
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.stiffness import GRAVITY
from fabricsim.fabric.stretching import PRETENSION, STRIP, Along
from fabricsim.study.forecast.doubt import SLACK_DOUBT
from fabricsim.study.stretch.pulling import Curve, Point
from fabricsim.study.stretch.stretching import Range, Stretching, Way
from fabricsim.units import CM, GRAM

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
LONGER: dict[Along, str] = {"across": "wider", "up": "taller"}
SHOWN = 5e-4
"""Stretch below which there is none: half of the last digit printed."""


def grams(load: float) -> float:
    """Return the grams hung from a strip 5 cm wide that make a ``load`` (N/m)."""
    return load * STRIP / GRAVITY / GRAM


def tell(page: Page, scene: Scene, found: Stretching, plots: Path | None = None) -> None:
    """Print the answer."""
    mesh = found.rest.mesh
    page.say(scene.title, bold=True, wrap=True)
    rows = count(mesh.rows, row_word(scene))
    page.say(
        f"Seen as the chart over and over, {count(mesh.stitches, 'stitch')} x {rows}, pulled one way and free the "
        "other: the middle of a strip, far from its edges.",
        wrap=True,
    )
    page.say("")
    for along, way in found.ways.items():
        page.say(_sentence(found, along, way), wrap=True)
    page.say("")
    for along, way in found.ways.items():
        page.table(_table(found, along, way))
    for note in _notes(found):
        page.say(note, wrap=True)
    if plots is not None:
        page.say(f"The curves are in {plots}.")
    page.say(CAUTION, wrap=True)


def _sentence(found: Stretching, along: Along, way: Way) -> str:
    """Return how far it gives along a direction, and what stops it."""
    curve, load = way.curve, max(found.loads)
    weight = f" ({_grams(load)} g hung from each {STRIP / CM:g} cm of width)" if along == "across" else ""
    longer = f"by {load:g} N/m{weight} it is {_percent(curve.at(load))} {LONGER[along]}"
    where, plain = along.capitalize(), f"plain fabric would be {_percent(way.plain.at(load))}"
    if curve.floats == 0:
        return f"{where}, {longer}."
    first, half = curve.first_taut, curve.half_taut
    if first is None or first > curve.at(load):
        return f"{where}, its floats stay slack: {longer}; {plain}."
    if first > 0.0:
        more = f" (half of them by {_percent(half)})" if half is not None and half > first + SHOWN else ""
        return (
            f"{where}, it stretches {_percent(first)} before the first floats go taut{more}; {longer}. "
            f"{plain.capitalize()}."
        )
    number = round(curve.points[0].taut * curve.floats)
    taut = "all its floats" if number == curve.floats else f"{number} of its {curve.floats} floats"
    but = "which holds it back" if curve.taut_at(load) > 0.0 else "but go slack as it narrows"
    return f"{where}, {taut} are taut as it lies, {but}: {longer}; {plain}."


def _table(found: Stretching, along: Along, way: Way) -> Table:
    other = "narrower" if along == "up" else "shorter"
    columns: dict[str, list[str]] = {
        "pull N/m": [],
        f"g on {STRIP / CM:g} cm": [],
        f"{LONGER[along]} %": [],
        "likely %": [],
        f"{other} %": [],
        "floats taut %": [],
        "plain fabric %": [],
        f"from {PRETENSION:g} N/m %": [],
    }
    for load in _loads(found):
        cells = (
            f"{load:g}",
            _grams(load),
            _number(way.curve.at(load)),
            _likely(way.at(load)),
            _number(-way.curve.other_at(load)),
            f"{100.0 * way.curve.taut_at(load):.0f}",
            _number(way.plain.at(load)),
            _number(way.curve.from_pretension(load)),
        )
        for column, cell in zip(columns.values(), cells, strict=True):
            column.append(cell)
    if not way.others:
        del columns["likely %"]
    if way.curve.floats == 0:
        del columns["floats taut %"], columns["plain fabric %"]
    return Table(f"Pulled {along}", dict.fromkeys(columns, "right"), list(zip(*columns.values(), strict=True)))


def _loads(found: Stretching) -> list[float]:
    """Return the loads that are told, N/m: the pretension and those asked for."""
    return sorted({PRETENSION, *found.loads})


def _notes(found: Stretching) -> list[str]:
    stiffness = found.rest.stiffness
    notes = []
    if found.across.others:
        slack = f", and slack {100.0 * SLACK_DOUBT:.0f} % less and more" if found.across.curve.floats else ""
        notes.append(f"'Likely' is the range for fabric half and twice as stiff as reckoned{slack}.")
    notes.append(
        f"The pull is on each metre of the width as it lay. Strip tests count stretch from a slight pull of "
        f"{PRETENSION:g} N/m, as the last column does. How well it springs back is not reckoned."
    )
    most = {along: way.at(max(found.loads)) for along, way in found.ways.items()}
    lock = {"across": stiffness.lock_across, "up": stiffness.lock_up}
    past = [along for along, one in most.items() if one.high is None or one.high > lock[along]]
    if past:
        where = " or ".join(f"{100.0 * lock[along]:.0f} % {along}" for along in past)
        notes.append(f"Past {where} loops are pulled straight; how stiff they are there is a guess.")
    notes.append(
        "The mechanics is checked against exact solutions, not against hand-knits: hang a weight from your swatch and "
        "measure."
    )
    return notes


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
            for load in _loads(found)
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


def _grams(load: float) -> str:
    weight = grams(load)
    return f"{weight:.0f}" if weight >= 10.0 else f"{weight:.1f}"


def _number(share: float) -> str:
    """Return a share as a per cent of one digit, never a minus nought."""
    return f"{round(100.0 * share, 1) + 0.0:.1f}"


def _percent(share: float) -> str:
    return f"{_number(share)} %" if share < 0.0995 else f"{100.0 * share:.0f} %"


def _likely(found: Range) -> str:
    low, high = (None if end is None else _number(end) for end in (found.low, found.high))
    return f"{low} to {high or 'more'}"
