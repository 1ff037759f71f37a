"""What a handout says of each fabric and of how to carry yarn, from the numbers."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.words.advice import SPREAD, USUAL
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, limit_words
from fabricsim.cli.words.fabric import straight_said
from fabricsim.cli.words.pucker import PUCKER_WORDS, pucker_word
from fabricsim.cli.words.shares import SAID, slack_words
from fabricsim.cli.words.strands import strands_said
from fabricsim.design.floats.faults import FloatFault
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import BAGGY
from fabricsim.fabric.measures import Measures
from fabricsim.fabric.mesh import FloatTable, Mesh
from fabricsim.lengths import fine, gauge_said, long, long_number
from fabricsim.study.forecast.sweep import Step
from fabricsim.units import CENTINEWTON


def heading(name: str, slack: float) -> str:
    """Return the heading of a fabric: what its floats are called, and what that means."""
    return f"{name}: {slack_words(slack).split(':')[0]}"


def figures(step: Step) -> tuple[tuple[str, str], ...]:
    """Return the numbers of one fabric, (label, value)."""
    measures, widths = step.measures, step.measures.widths
    pull = measures.pull
    lost = widths.overall
    width = f"{long(widths.width)}"
    width += f", {100 * lost:.1f} % narrower" if lost >= SAID else ", none lost"
    word = pucker_word(measures.pucker.peak_to_valley)
    floats = len(pull.taut_f)
    pulls = f"{pull.taut:,} of {floats:,} floats taut" if pull.taut else f"none of {count(floats, 'float')}"
    if pull.taut:
        pulls += f", hardest {pull.greatest / CENTINEWTON:.2f} cN"
    table = step.rest.mesh.floats
    longest = int(table.span_f.argmax())
    yarn = f"{long(table.length_f[longest])} in the longest float"
    return (
        ("Width", width),
        ("Pucker", f"{fine(measures.pucker.peak_to_valley)}, {word.word}"),
        ("Pull", pulls),
        ("Yarn", yarn),
    )


def verdict(step: Step) -> str:
    """Return in a sentence or two what this slack does to this fabric."""
    measures = step.measures
    if measures.pull.taut == 0:
        if step.slack > BAGGY:
            return "Nothing pulls, but floats this long hang in loops and snag."
        return f"Nothing pulls: the fabric keeps its width, and stretches {_stretch(measures)} before floats go taut."
    said = "The fabric is longer than the floats behind it and must give way: "
    ways = []
    if measures.widths.overall >= SAID:
        ways.append("it draws in")
    pucker = measures.pucker.peak_to_valley
    if pucker >= PUCKER_WORDS[1].least:
        ways.append("it puckers" if pucker >= PUCKER_WORDS[2].least else "it ripples faintly")
    return said + (" and ".join(ways) if ways else "hardly to be seen yet") + "."


def _stretch(measures: Measures) -> str:
    return f"{100 * max(0.0, float(measures.pull.spare_f.min())):.0f} %"


def about(scene: Scene, mesh: Mesh) -> str:
    """Return the line under the title: how large, how it is seen, at which gauge."""
    seen = {
        "repeat": f"one repeat of {count(mesh.stitches, 'stitch')} x {count(mesh.rows, 'row')}, endlessly repeated",
        "swatch": f"a swatch of {count(mesh.stitches, 'stitch')} x {count(mesh.rows, 'row')}, flat on a table",
        "round": f"a tube of {count(mesh.stitches, 'stitch')} x {count(mesh.rows, 'round')}, floats inside",
    }[mesh.case]
    gauge = scene.gauge
    said = f"The same chart at three slacks: {seen}; {gauge_said(gauge.stitches, gauge.rows)}."
    return " ".join(filter(None, (said, straight_said(scene))))


def ways(scene: Scene, table: FloatTable, over: Sequence[FloatFault]) -> tuple[str, ...]:
    """Return how to carry yarn so that floats come out right, step by step."""
    longest = int(table.span_f.argmax())
    gap, span = int(table.gap_f[longest]), float(table.span_f[longest])
    below = strands_said(scene)
    said = [
        f"Before each change of colour spread the last {SPREAD} stitches on the right needle to their full width, as "
        "wide as they will lie in the finished piece.",
        "Lay the new yarn behind them without pulling, and knit. It lies along the spread stitches; the usual aim is "
        f"{100 * USUAL[0]:.0f} to {100 * USUAL[1]:.0f} % more yarn than fabric. The longest float here passes behind "
        f"{count(gap, 'stitch')}: {long(span)} from stitch to stitch, so it takes "
        f"{long_number((1 + USUAL[0]) * span)} to {long((1 + USUAL[1]) * span)} of yarn.",
        "After some stitches pull the fabric sideways. If it won't stretch to the width of plain knitting, the floats "
        "are too short; if they hang in loops that catch a finger, they are too long.",
    ]
    if below:
        said.append(f"{below} The yarn that lies below stands out more.")
    if over:
        said.append(
            f"Catch what is too long to hang free: {count(len(over), 'float')} here "
            f"{'passes' if len(over) == 1 else 'pass'} your limit of {limit_words(scene)}. "
            "Twist the two yarns round each other once, in the middle of the gap."
        )
    if scene.worked == "round":
        said.append(
            "Floats still come out short? Knit with the floats on the outside of the tube, where they have the longer "
            "way to go, and turn it when it is done."
        )
    return tuple(said)


def foot() -> tuple[str, ...]:
    """Return what to know of the numbers, and the caution."""
    return (
        "The shapes are computed, not drawn by hand; the mechanics is checked against exact solutions, not against "
        "hand-knits. Every float is taken alike; real ones are uneven, which draws in more: knit a swatch. 1 cN is "
        "about the weight of a gram.",
        CAUTION,
    )
