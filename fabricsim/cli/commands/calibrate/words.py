"""What ``calibrate`` says to a knitter."""

from __future__ import annotations

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.counts import count
from fabricsim.cli.words.fabric import CASE_WORDS
from fabricsim.cli.words.knitter import SURE, factor_said, short_said, slack_said, uneven_said
from fabricsim.design.scene.knitter import Knitter, LearntShare
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine
from fabricsim.study.calibrate.learning import Calibration, Fitted
from fabricsim.study.calibrate.misfit import SECOND

DOUBTFUL = 2.5
"""Uncertainties off from which a measurement is called doubtful (chosen: 1 in 100 by chance)."""

SAID = {
    "plain.width_cm": "width, plain",
    "plain.height_cm": "height, plain",
    "colourwork.width_cm": "width, colourwork",
    "colourwork.height_cm": "height, colourwork",
    "colourwork.pucker_mm": "pucker, from peak to valley",
    "stretched.width_cm": "width, stretched",
    "weighed.grams": "weight of the swatch",
}


def tell(page: Page, scene: Scene, found: Calibration) -> None:
    """Print what was learnt, what wasn't, and how well everything that was measured fits."""
    page.say(scene.title, bold=True, wrap=True)
    page.say(f"The swatch is seen as {CASE_WORDS[found.case]}.", wrap=True)
    if found.second is not None:
        page.say(f"Beside it counts a swatch of {found.second}, knitted by the same hands.", wrap=True)
    page.say("")
    for sentence in learnt(scene, found):
        page.say(sentence, wrap=True)
    page.say("")
    page.table(
        Table(
            "What was measured, and what such hands would measure",
            {"": "left", "measured": "right", "give or take": "right", "fits": "right", "off": "left"},
            [_line(one) for one in found.fitted],
            bold={number for number, one in enumerate(found.fitted) if abs(one.off) > DOUBTFUL},
        )
    )
    for sentence in _trust(found):
        page.say(sentence, wrap=True)
    if lines := scene_lines(found.knitter):
        page.say("")
        page.say("To use it without the file, write into a scene:", wrap=True)
        page.say("")
        for line in lines:
            page.say(f"    {line}")


def scene_lines(hands: Knitter) -> list[str]:
    """Return what was learnt of floats as lines of a scene file; none where nothing was."""
    told = []
    if hands.slack.known == "measured":
        told.append(f"slack = {hands.slack.value:.3f}")
    if hands.unevenness is not None and hands.unevenness.known == "measured":
        told.append(f"unevenness = {hands.unevenness.value:.3f}")
    if hands.short_mm is not None and hands.short_mm.known == "measured":
        told.append(f"short_mm = {hands.short_mm.value:.2f}")
    return ["[floats]", *told] if told else []


def learnt(scene: Scene, found: Calibration) -> list[str]:
    """Return what the swatch tells of slack, stiffness and weight, and what it doesn't."""
    hands = found.knitter
    said = [_slack(hands, found)]
    if found.wider:
        said.append(
            "The colourwork was measured wider than plain knitting, which no floats make it. That is put down to the "
            "measuring, and tells only that your floats don't draw in: measure both again, or the yarn of a few floats."
        )
    said += [f"Those of {name} come out {slack_said(one)}." for name, one in hands.slack_by_yarn.items()]
    said += [*_unevenness(scene, hands.unevenness), *_short(scene, hands, found)]
    tried = {one.measurement.key.split(".")[0] for one in found.fitted}
    for what, one, how in (
        ("stretch", hands.stretch, "hang a weight on a plain part and measure how wide it gets"),
        ("bending", hands.bending, "only colourwork that puckers can: measure from peak to valley"),
    ):
        if one.known == "not told":
            said.append(f"How stiff your fabric is against {what} can't be told from this: {how}.")
        else:
            said.append(
                f"Against {what} your fabric is {one.value:.2g} times as stiff as was assumed "
                f"({one.low:.2g} to {one.high:.2g}, {SURE})."
            )
    if "weighed" in tried:
        said.append(
            f"It weighs {factor_said(hands.weight)} what was reckoned from the yarns."
            if hands.weight.known != "not told"
            else "Its weight tells nothing new: the scales are no surer than the label."
        )
    if found.left_out:
        said.append(f"Left out here, since it is what is sought: {', '.join(found.left_out)} under [fabric].")
    if scene.knitter is not None:
        said.append(f"The scene's knitter's file, {scene.knitter}, is left out here too.")
    return said


def _slack(hands: Knitter, found: Calibration) -> str:
    slack = hands.slack
    if slack.known == "not told":
        return (
            "How slack your floats are can't be told from this: measure the width of the colourwork and of a plain "
            "part, or the yarn of a few floats."
        )
    if slack.known == "at least":
        least = f"{-100 * slack.low:.0f} % too short" if slack.low < -0.005 else f"{abs(100 * slack.low):.0f} % slack"
        return (
            f"What was measured can't tell how loose your floats are: anything from {least} upwards fits, since floats "
            "that are long enough draw nothing in. Measure the yarn of a few floats for that."
        )
    return f"Your floats come out {_sure(slack_said(slack))}."


def _unevenness(scene: Scene, uneven: LearntShare | None) -> list[str]:
    written = scene.floats.unevenness
    if uneven is None:
        return [] if written is None else [f"How uneven they are is taken as the scene says, {100.0 * written:.2g} %."]
    if uneven.known == "not told":
        return [
            "How uneven they are can't be told from this, widths tell nothing of it: measure the yarn of eight floats "
            "or more that pass behind as many stitches, each in a row of its own."
        ]
    return [f"They differ by {_sure(uneven_said(uneven))}."]


def _short(scene: Scene, hands: Knitter, found: Calibration) -> list[str]:
    short = hands.short_mm
    written = scene.floats.short_mm
    if short is None:
        return [] if written is None else [f"That each falls short by {written:g} mm is taken as the scene says."]
    if short.known != "not told":
        return [f"Beside that they fall short by {_sure(short_said(short))}, however far they reach."]
    if hands.slack.known != "measured":
        return []
    motif = "one motif" if found.second is None else "two motifs that draw in so alike"
    return [
        f"How much of that is slack, and how much each float falls short however far it reaches, {motif} can't tell "
        f"apart: {100.0 * short_of(found):.0f} % more slack and 1 mm more that they fall short would fit alike. "
        "For motifs with much shorter floats that matters: measure a second one with --motif, or short floats beside "
        "long ones."
    ]


def short_of(found: Calibration) -> float:
    """Return how much more slack goes with floats that fall short by 1 mm more, a fraction."""
    return 0.0 if found.knitter.slack_goes is None else found.knitter.slack_goes.with_short_mm


def _sure(said: str) -> str:
    return f"{said.removesuffix(')')}, {SURE})"


def _line(one: Fitted) -> list[str]:
    key, unit = one.measurement.key, one.measurement.unit
    digits = 0 if key.endswith("pucker_mm") else 1
    return [
        _said_of(key),
        f"{one.measurement.value:.{digits}f} {unit}",
        f"{one.measurement.uncertain:.2g}",
        f"{one.fitted:.{digits}f} {unit}",
        "" if abs(one.off) <= DOUBTFUL else "doubtful: measure again",
    ]


def _said_of(key: str) -> str:
    """Return the words for the key of a measurement."""
    if key.startswith(SECOND):
        return f"second: {_said_of(key.removeprefix(SECOND))}"
    number = key.split("no. ")[-1].split(")")[0]
    if key.endswith("spread_mm"):
        return f"how floats {number} differ"
    return SAID.get(key, f"yarn of float{'s' if key.endswith('yarn_mm') else ''} {number}")


def _trust(found: Calibration) -> list[str]:
    prior = found.prior
    doubtful = [one for one in found.fitted if abs(one.off) > DOUBTFUL]
    said = []
    if doubtful:
        said.append(
            f"{count(len(doubtful), 'measurement')} can't be made to fit the others; don't trust the answer until that "
            "is cleared up."
        )
    said.append(
        f"Before anything was measured, slack was taken as {100 * prior.slack:.0f} % give or take "
        f"{100 * prior.slack_doubt:.0f} %, floats as uneven by {100 * prior.unevenness:.2g} % up to "
        f"{prior.unevenness_doubt:g} times more or less and as {fine(prior.short)} short give or take "
        f"{fine(prior.short_doubt)}, and stiffness as known to a factor of {prior.stiffness:g}. What comes "
        "out is the knitter and the yarn of this one swatch, by a mechanics that is checked against exact solutions, "
        "not against hand-knits: knit another swatch and see whether it comes out so."
    )
    return said
