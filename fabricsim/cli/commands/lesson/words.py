"""What a lesson says of the fabric at each slack: every word follows from what was measured there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from fabricsim.cli.words.advice import USUAL
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.fabric.measures import Measures
from fabricsim.lengths import fine, long
from fabricsim.render.yarn.float_path import end_slope
from fabricsim.study.forecast.sweep import Step
from fabricsim.units import CENTINEWTON


def group(slack: float) -> str:
    """Return the word for how a knitter would call floats of this slack; none for what is neither."""
    if slack < 0.0:
        return "tight"
    if slack > USUAL[1] + 1e-9:
        return "loose"
    return "right" if slack >= USUAL[0] - 1e-9 else ""


def figures(step: Step) -> tuple[tuple[str, str], ...]:
    """Return the numbers of a step, each with what it is."""
    measures, table = step.measures, step.rest.mesh.floats
    widths, pull, pucker = measures.widths, measures.pull, measures.pucker.peak_to_valley
    longest = longest_of(step)
    lost = widths.plain - widths.width
    narrower = f"{percent(widths.overall, 1)} narrower ({long(lost)})" if narrows(measures) else "as plain fabric"
    per_repeat = " in one repeat" if step.rest.mesh.case == "repeat" else ""
    return (
        ("Width, all round" if step.rest.mesh.case == "round" else "Width", f"{long(widths.width)}, {narrower}"),
        ("Pucker", f"{fine(pucker)}, {pucker_word(pucker).word}"),
        ("Taut floats", f"{pull.taut:,} of {len(table):,}{per_repeat}"),
        ("Greatest pull of a float", f"{pull.greatest / CENTINEWTON:.2f} cN" if pull.taut else "none"),
        (
            "Yarn in the longest float",
            f"{fine(table.length_f[longest])} to bridge {fine(table.span_f[longest])}",
        ),
    )


def verdict(step: Step) -> str:
    """Return in one line what this slack does."""
    measures, word = step.measures, pucker_word(step.measures.pucker.peak_to_valley).word
    if measures.crossing:
        return "So tight that the fabric passes through itself here: don't trust this step."
    if not measures.pull.taut:
        sag = sag_of(step)
        if step.slack > USUAL[1] + 1e-9:
            return f"Nothing pulls, but the longest float hangs {fine(sag, 0)} off the back."
        return f"Nothing pulls: {narrower_said(measures)} and {word}."
    if not narrows(measures):
        return "A few floats are taut; the width hardly changes."
    return f"The floats pull: {percent(measures.widths.overall, 1)} narrower and {word}."


def narrower_said(measures: Measures) -> str:
    """Return the width in a few words, for who hears the slider."""
    return f"{percent(measures.widths.overall, 1)} narrower" if narrows(measures) else "as wide as plain fabric"


def narrows(measures: Measures) -> bool:
    """Return whether any loss of width shows in what is printed."""
    return measures.widths.overall >= SAID


def longest_of(step: Step) -> int:
    """Return the number of the float with the most yarn."""
    return int(step.rest.mesh.floats.length_f.argmax())


def spare_of(step: Step) -> float:
    """Return the yarn of the floats over what they bridge, less 1: their slack, and more if worked inside out."""
    table = step.rest.mesh.floats
    return float(np.mean(table.length_f / table.span_f)) - 1.0


def sag_of(step: Step) -> float:
    """Return how far the longest float sags from its straight way, m: a parabola of its length."""
    longest = longest_of(step)
    chord = float(step.rest.chord_f[longest])
    excess = np.array([step.rest.mesh.floats.length_f[longest] / max(chord, 1e-12) - 1.0])
    return float(end_slope(excess)[0]) / 4.0 * chord


def summary(said: Mapping[str, Any]) -> Sequence[str]:
    """Return what was made, in words."""
    page, *others = said["files"]
    lines = [
        f"{said['title']}: a lesson of {len(said['steps'])} steps is in {page['path']} ({_size(page['bytes'])}).",
        *(f"The fabric in 3-D is in {other['path']} ({_size(other['bytes'])})." for other in others),
        "Open it in any browser; it needs no network, and prints on two sheets.",
    ]
    lost = said["no_rest"]
    if lost:
        slacks = ", ".join(f"{one['slack_percent']:g} %" for one in lost)
        lines.append(f"No rest was found at a slack of {slacks}; the page says so.")
    return lines


def _size(size: int) -> str:
    return f"{size / 1e6:.1f} MB"
