"""What ``stretch`` says to a knitter."""

from __future__ import annotations

from pathlib import Path

from fabricsim.cli.commands.stretch.data import grams, loads_told
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, row_word
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.stretching import PRETENSION, STRIP, Along
from fabricsim.lengths import long_plain
from fabricsim.study.stretch.stretching import Range, Stretching, Way

LONGER: dict[Along, str] = {"across": "wider", "up": "taller"}
SHOWN = 5e-4
"""Stretch below which there is none: half of the last digit printed."""


def tell(page: Page, scene: Scene, found: Stretching, plots: Path | None = None) -> None:
    """Print the answer."""
    mesh = found.rest.mesh
    page.say(scene.title, bold=True, wrap=True)
    rows = count(mesh.rows, row_word(scene))
    page.say(
        f"Seen as the chart without end, {count(mesh.stitches, 'stitch')} x {rows}, pulled one way and free the "
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
    weight = f" ({_grams(load)} g hung from each {long_plain(STRIP)} of width)" if along == "across" else ""
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
        f"g on {long_plain(STRIP)}": [],
        f"{LONGER[along]} %": [],
        "likely %": [],
        f"{other} %": [],
        "floats taut %": [],
        "plain fabric %": [],
        f"from {PRETENSION:g} N/m %": [],
    }
    for load in loads_told(found):
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


def _notes(found: Stretching) -> list[str]:
    stiffness = found.rest.stiffness
    notes = []
    if found.across.others:
        slack = f", and slack {100.0 * found.slack_off:.2g} % less and more" if found.across.curve.floats else ""
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
