"""What ``vary`` says to a knitter."""

from __future__ import annotations

from collections import Counter
from math import exp
from pathlib import Path

from fabricsim.cli.commands.vary.data import OUTPUT_WORDS, Quantity, quantities
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.shares import share_said
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine, fine_number, fine_per_unit, fine_unit, in_inches, long_per_unit, long_unit
from fabricsim.study.hands.prior import EVEN, OWNERS, Hands, hands_of
from fabricsim.study.vary.shares import Shares
from fabricsim.study.vary.variation import Variation
from fabricsim.units import CM, MM

SURE = 2.0
"""Standard errors from which a difference is told (common practice)."""
HEADINGS = ("1 in 20 under", "1 in 4 under", "middle", "1 in 4 over", "1 in 20 over")
"""What the quantiles are called."""
PARTS = {
    0.95: "nearly all",
    0.8: "four fifths",
    0.75: "three quarters",
    0.667: "two thirds",
    0.6: "three fifths",
    0.5: "half",
    0.4: "two fifths",
    0.333: "a third",
    0.25: "a quarter",
    0.2: "a fifth",
    0.1: "a tenth",
}
"""Shares in words; the nearest is said."""


def input_words(scene: Scene) -> dict[str, str]:
    """Return what each input is called."""
    unit = row_word(scene)
    return {
        "slack": "slack of all floats alike",
        "rows": f"slack from {unit} to {unit}",
        "floats": "slack from float to float",
        "unevenness": "how uneven the floats are",
        "short": "how much every float falls short",
        "gauge": "gauge",
        "stretch": "how far the fabric gives",
        "bending": "how stiff it is to bend",
    }


def input_sentences(scene: Scene) -> dict[str, str]:
    """Return what each input is called in a sentence."""
    unit = row_word(scene)
    return {
        "slack": "how slack all your floats are",
        "rows": f"how slack differs from {unit} to {unit}",
        "floats": "how slack differs from float to float",
        "unevenness": "how uneven your floats are",
        "short": "how much your floats fall short",
        "gauge": "your gauge",
        "stretch": "how far the fabric gives",
        "bending": "how stiff it is to bend",
    }


def tell(page: Page, found: Variation, plots: Path | None = None) -> None:
    """Print the answer, and where its ``plots`` are."""
    scene, mesh = found.fabric.scene, found.fabric.mesh
    page.say(scene.title, bold=True, wrap=True)
    page.say(seen_as(scene, mesh), wrap=True)
    page.table(_quantity_table(found))
    for sentence in (*_width(found), *_worst(found), *_stopped(found), *_case(found)):
        page.say(sentence, wrap=True)
    if found.shares is not None:
        page.table(_share_table(scene, found.shares))
        for sentence in _matters(scene, found.shares):
            page.say(sentence, wrap=True)
    elif found.asked.pairs is not None:
        page.say("What matters most can't be told: too many pieces came to no rest.", wrap=True)
    page.table(_varied_table(scene, found.asked.hands))
    page.say(
        "These are estimates: put your own in their place (see --help). The mechanics is checked against exact "
        "solutions, not against hand-knits: knit a swatch.",
        wrap=True,
    )
    page.say(CAUTION, wrap=True)
    if plots is not None:
        page.say(f"Drawn in {plots}.")


def _quantity_table(found: Variation) -> Table:
    lines = [
        [
            label,
            _number(written * times, digits),
            *(
                _with_error(value * times, None if error is None else error * times, digits)
                for value, error in zip(came.quantiles, came.errors, strict=True)
            ),
        ]
        for one, written, came in quantities(found)
        for label, times, digits in [_spoken(one)]
    ]
    headings = ("floats alike", *HEADINGS)
    title = f"What {count(len(found.outcomes), 'piece')} came to, from hands that vary"
    return Table(title, {"": "left", **dict.fromkeys(headings, "right")}, lines)


def _spoken(one: Quantity) -> tuple[str, float, int]:
    """Return, in the unit spoken, what a quantity is called, what its value is multiplied by, and its digits."""
    for unit, spoken, times in (("cm", long_unit(), CM / long_per_unit()), ("mm", fine_unit(), MM / fine_per_unit())):
        if in_inches() and one.label.endswith(f", {unit}"):
            return f"{one.label.removesuffix(unit)}{spoken}", times, 2
    return one.label, 1.0, one.digits


def _number(value: float, digits: int) -> str:
    return f"{round(value, digits) + 0.0:.{digits}f}"  # never -0


def _with_error(value: float, error: float | None, digits: int) -> str:
    if error is None:
        return _number(value, digits)
    return f"{_number(value, digits)} ±{_number(error, digits)}"


def _width(found: Variation) -> list[str]:
    lost = found.of(lambda one: 100.0 * one.lost)
    low, least, _, most, high = (_number(one, 1) for one in lost.quantiles)
    said = [
        f"Half of all pieces come out {least} to {most} % narrower; 1 in 20 less than {low} %, 1 in 20 more than "
        f"{high} %. The ± is how well a figure is known from so many pieces (its standard error).",
    ]
    assert found.even.outcome is not None
    more = lost.mean - 100.0 * found.even.outcome.lost
    if lost.error is not None and more > max(SURE * lost.error, 0.1):
        said.append(
            f"On average they are {_number(more, 1)} % narrower than with every float alike: tight floats draw in "
            "more than loose ones let out."
        )
    return said


def _worst(found: Variation) -> list[str]:
    """Return where the hardest pull is."""
    hardest = [one.hardest for one in found.outcomes if one.hardest >= 0]
    if not hardest:
        return ["In none of them any float pulls while the fabric lies."]
    unit, floats = row_word(found.fabric.scene), found.fabric.floats
    (row, yarn), times = Counter((floats[one].row, floats[one].yarn) for one in hardest).most_common(1)[0]
    name = found.fabric.scene.yarns[yarn].name
    chart = "of the chart" if found.fabric.mesh.case == "repeat" else "of the piece"
    return [
        f"The float that pulls hardest is most often one of {name} in {unit} {row + 1} {chart}: in {times:,} of "
        f"{count(len(found.outcomes), 'piece')}."
    ]


def _stopped(found: Variation) -> list[str]:
    """Return why it ended, and what is left out."""
    error, asked = found.of(lambda one: 100.0 * one.lost).error, 100.0 * found.asked.error
    lost = len(found.pieces) - len(found.outcomes)
    said = []
    if found.reached:
        said.append(
            f"It took {count(len(found.pieces), 'piece')} to know the mean draw-in to ±{error:.2g} %; you asked for "
            f"±{asked:g} %."
        )
    else:
        known = "can't be said to be known" if error is None else f"is known to ±{error:.2g} %"
        said.append(
            f"After {count(len(found.pieces), 'piece')}, as many as you allowed, the mean draw-in {known}; you asked "
            f"for ±{asked:g} %. More --runs bring it nearer."
        )
    if lost:
        are = "is" if lost == 1 else "are"
        said.append(
            f"{lost:,} of {count(len(found.pieces), 'piece')} came to no rest and {are} left out of all figures."
        )
    return said


def _case(found: Variation) -> list[str]:
    if found.fabric.mesh.case != "repeat":
        return []
    return [
        "In endless repeats the same uneven floats come back in every repeat. A whole piece evens out more: "
        "--case round or swatch knits all of it."
    ]


def _share_table(scene: Scene, shares: Shares) -> Table:
    words = input_words(scene)
    lines = [
        [words[name], *(_share(shares, output, number) for output in range(len(shares.outputs)))]
        for number, name in enumerate(shares.inputs)
    ]
    together = [_number(100.0 * _together(shares, output), 0) for output in range(len(shares.outputs))]
    headings = [f"{OUTPUT_WORDS[name]}, %" for name in shares.outputs]
    return Table(
        "Where the uncertainty comes from",
        {"": "left", **dict.fromkeys(headings, "right")},
        [*lines, ["several of these together", *together]],
    )


def _share(shares: Shares, output: int, number: int) -> str:
    """Return a share as a person reads it: none is less than nothing."""
    share, error = shares.alone[output, number], shares.alone_error[output, number]
    return _with_error(100.0 * min(max(share, 0.0), 1.0), 100.0 * error, 0)


def _together(shares: Shares, output: int) -> float:
    """Return the share of what none does by itself."""
    alone = shares.alone[output]
    return max(0.0, 1.0 - float(alone.clip(0.0).sum())) if alone.any() else 0.0


def _matters(scene: Scene, shares: Shares) -> list[str]:
    """Return which input matters most for what, in words."""
    said = [_matters_for(scene, shares, output) for output in range(len(shares.outputs))]
    said.append(
        f"These shares took {count(shares.pieces, 'piece')} more ({count(shares.samples, 'pair')} of hands); "
        "more --share-pairs make them surer."
    )
    if shares.lost:
        said.append(f"{count(shares.lost, 'pair')} left out, as a piece came to no rest.")
    return said


def _matters_for(scene: Scene, shares: Shares, output: int) -> str:
    words, what = input_sentences(scene), OUTPUT_WORDS[shares.outputs[output]]
    alone, error = shares.alone[output], shares.alone_error[output]
    order = sorted(range(len(alone)), key=lambda one: -alone[one])
    first, second = order[0], order[1] if len(order) > 1 else None
    named = words[shares.inputs[first]]
    if not alone.any():
        return f"The {what} hardly varies at all."
    if alone[first] < max(min(PARTS), SURE * error[first]):
        return f"No single one of these stands out for {what}."
    part = part_said(float(alone[first]))
    said = f"{part[0].upper()}{part[1:]} of the uncertainty in {what} comes from {named}"
    if second is None or alone[second] < max(min(PARTS), SURE * error[second]):
        return f"{said}."
    return f"{said}, {part_said(float(alone[second]))} from {words[shares.inputs[second]]}."


def part_said(share: float) -> str:
    """Return a share in words: ``four fifths``."""
    return PARTS[min(PARTS, key=lambda part: abs(part - share))]


def whose(scene: Scene, hands: Hands, name: str) -> str:
    """Return whose figure one of what is known of ``hands`` is."""
    value = getattr(hands, name)
    if value not in (getattr(hands_of(scene), name), getattr(hands_of(scene, other_slack=True), name)):
        return "yours"
    rules, learnt = scene.floats, scene.hands
    if name in ("floats", "rows", "unevenness_log") and rules.unevenness is not None:
        return "the scene"
    if name == "short" and rules.short_mm is not None:
        return "the scene"
    if learnt is not None and name == "slack" and scene.slack_is_learnt and value == hands_of(scene).slack:
        return "the knitter's file"
    if learnt is not None and name == "bending_factor" and value is not None:
        return "the knitter's file"
    return OWNERS[name]


def _varied_table(scene: Scene, hands: Hands) -> Table:
    words = input_words(scene)
    low, high = (max(0.0, hands.short + sign * hands.short_spread / EVEN) for sign in (-1.0, 1.0))
    short = f"{fine_number(low)} to {fine(high)}" if high > low else fine(high)
    told = [
        ("slack", "slack", f"within ±{share_said(hands.all_slack / EVEN)}"),
        ("rows", "rows", f"two in three within ±{share_said(hands.rows)}"),
        ("floats", "floats", f"two in three within ±{share_said(hands.floats)}"),
        ("unevenness", "unevenness_log", _times(hands.unevenness_log)),
        ("short", "short", short),
        ("gauge", "gauge", f"within ±{share_said(hands.gauge / EVEN)}" if hands.gauge else "as written"),
        ("stretch", "factor", _times(hands.stretch)),
        ("bending", "factor" if hands.bending_factor is None else "bending_factor", _times(hands.bending)),
    ]
    lines = [[words[name], said, whose(scene, hands, field)] for name, field, said in told]
    return Table("What was varied", {"": "left", "how far": "left", "whose figure": "left"}, lines)


def _times(log: float) -> str:
    """Return up to how many times more or less, given the standard deviation of the logarithm."""
    return f"up to {exp(log / EVEN):.2g} times" if log else "as written"
