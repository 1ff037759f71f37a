"""What happens in the fabric at one step of a lesson, told in a few sentences that follow from its numbers."""

from __future__ import annotations

import numpy as np

from fabricsim.cli.commands.lesson.words import group, longest_of, narrower_said, narrows, sag_of, spare_of
from fabricsim.cli.words.advice import HOURGLASS, SEEN, SPREAD, USUAL
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.pucker import PUCKER_WORDS, pucker_word
from fabricsim.cli.words.shares import SAID, percent, share_said, slack_words
from fabricsim.design.scene.rules import BAGGY
from fabricsim.lengths import fine, long
from fabricsim.study.forecast.sweep import Step, Sweep
from fabricsim.units import CENTINEWTON, MM

EQUAL, ALIKE = 0.05, 0.15
"""Parts by which two shares may differ and still be called about the same, or nearly the same (chosen)."""
SHORT_CUT = 0.003
"""Share by which a float's way must be shorter than its stitches laid flat to be worth a word (chosen)."""
COUNTS = 0.1
"""Part of what is missing from which a reason is worth a word (chosen)."""
MANY_TAUT = 0.5
"""Share of taut floats from which the pull is that of the whole fabric, not of a few (chosen)."""


def telling(step: Step, sweep: Sweep) -> list[str]:
    """Return what happens at ``step``, one of the ``sweep``, and why, a few sentences each."""
    if step.measures.pull.taut:
        return [_why(step, sweep), _gives_way(step), *_folds(step), _cure(step, sweep)]
    return [_rests(step, sweep), _right_or_loose(step, sweep)]


def uneven_told(both: tuple[Step, Step]) -> list[str]:
    """Return what comes of it that no hand carries all floats alike: ``both`` are of the same slack on average."""
    even, uneven = both
    slack_f = uneven.rest.mesh.floats.slack_f
    spread = float(slack_f.std())
    more = uneven.measures.widths.overall - even.measures.widths.overall
    said = (
        f"On the left every float is alike, with {slack_words(even.slack)}. On the right they have the same slack on "
        f"average, but two in three lie within {share_said(spread)} of it and the others further off, as hands usually "
        "carry them."
    )
    pull = uneven.measures.pull
    why = f"The {pull.taut:,} that come out short pull; the others can't push, so nothing makes up for it. "
    if more >= SAID:
        return [said, f"{why}The fabric is {percent(more, 1)} narrower than with every float alike."]
    return [said, f"{why}Here they are too few, or too loose, to narrow the fabric."]


def _why(step: Step, sweep: Sweep) -> str:
    """Say what the floats lack and which of them pull."""
    pull, table = step.measures.pull, step.rest.mesh.floats
    longest, short = longest_of(step), -spare_of(step)
    behind = count(int(table.gap_f[longest]), "stitch")
    said = (
        f"Each float holds {share_said(short)} less yarn than the distance that it bridges: the longest, behind "
        f"{behind}, has {fine(table.length_f[longest])} of yarn for {fine(table.span_f[longest])}."
        if short >= SAID
        else "The floats are not short, and still some pull."
    )
    cut = _short_cut(sweep)
    if cut is not None:
        said += f" Inside the tube a float cuts the corner, which saves it {share_said(cut)} on average: too little."
    most = "all" if pull.taut == len(table) else f"{pull.taut:,}"
    whose = (
        f"{most} of the {len(table):,} floats are taut" if pull.taut > 1 else f"1 of the {len(table):,} floats is taut"
    )
    hardest = pull.greatest / CENTINEWTON
    weight = f"about the weight of {hardest:.1f} g" if hardest >= 0.1 else "less than the weight of a tenth of a gram"
    return f"{said} So {whose}, and the hardest pulls with {hardest:.2f} cN, {weight}."


def _gives_way(step: Step) -> str:
    """Say how much the fabric narrows, and against what the floats lack."""
    measures, mesh, short = step.measures, step.rest.mesh, -spare_of(step)
    loss, widths = measures.widths.overall, measures.widths
    if not narrows(measures):
        return "Yarn does not stretch for them, but they are too few or too nearly long enough to narrow the fabric."
    said = (
        "One float's pull is small, but they pull side by side, and the stitches close up until the floats just "
        f"reach: {long(widths.plain)} become {long(widths.width)}, {percent(loss, 1)} narrower"
        if measures.pull.taut >= MANY_TAUT * mesh.floats.length_f.size
        else f"The stitches behind them close up: {long(widths.plain)} become {long(widths.width)}, "
        f"{percent(loss, 1)} narrower"
    )
    said += _against(loss, short, step)
    if loss >= HOURGLASS:
        return f"{said} From about {share_said(HOURGLASS)} it looks like an hourglass beside plain fabric."
    return f"{said} From about {share_said(SEEN)} it is seen beside plain fabric." if loss >= SEEN else said


def _against(loss: float, short: float, step: Step) -> str:
    if short <= 0.0:
        return "."
    if loss > (1.0 + EQUAL) * short:
        return f", which is more than the {share_said(short)} that each float lacks."
    if loss >= (1.0 - EQUAL) * short:
        return f": about the {share_said(short)} that each float lacks."
    if loss >= (1.0 - ALIKE) * short:
        return f": nearly all of the {share_said(short)} that the floats lack."
    reasons = _reasons(step)
    return (
        f": less than the {share_said(short)} that the floats lack{', as ' + ' and '.join(reasons) if reasons else ''}."
    )


def _reasons(step: Step) -> list[str]:
    """Return why a fabric may narrow less than its floats lack, as far as it is so here."""
    mesh = step.rest.mesh
    unit = row_word(step.rest.scene)
    bare = mesh.rows - len(np.unique(mesh.row_n[mesh.floats.node_f2]))
    reasons = []
    if mesh.case == "round":
        reasons.append("inside a tube they cut the corner")
    if _in_waves(step) >= COUNTS * (-spare_of(step) - step.measures.widths.overall):
        reasons.append("waves take up a part of it")
    if bare and mesh.case != "round":
        reasons.append(f"{count(bare, unit)} without floats {'holds' if bare == 1 else 'hold'} against them")
    return reasons


def _in_waves(step: Step) -> float:
    """Return the share of the fabric's width that its waves take up: half the mean square of their slope (derived)."""
    pucker = step.measures.pucker
    return 0.0 if pucker.wave_across is None else 2.0 * (np.pi * pucker.rms / pucker.wave_across) ** 2


def _folds(step: Step) -> list[str]:
    """Say whether the fabric still lies flat."""
    pucker, measures = step.measures.pucker, step.measures
    word = pucker_word(pucker.peak_to_valley)
    if word is PUCKER_WORDS[0]:
        said = f"It still lies flat, within {fine(max(pucker.peak_to_valley, 0.1 * MM))}."
    else:
        wave = pucker.wave_across or pucker.wave_up
        waves = "" if wave is None else f", in waves about {long(wave)} long"
        rest = step.rest
        if rest.mesh.case == "swatch" and rest.stiffness.curls:
            why = "Its edges are not pinned and roll, whatever its floats do: it is"
        else:
            why = "Floats lie behind the stitches, so they do not only draw in, they also bend the fabric: it is"
        said = f"{why} {word.word}, {fine(pucker.peak_to_valley)} from peak to valley{waves}."
    if measures.touching:
        touch = "touches" if measures.touching == 1 else "touch"
        said += f" It even folds onto itself ({count(measures.touching, 'stitch')} {touch})."
    return [said]


def _cure(step: Step, sweep: Sweep) -> str:
    """Say what to do at the needles, and what that would give back."""
    said = (
        f"The cure: before each change of colour spread the last {SPREAD} stitches on the right needle to their full "
        "width, then let the new strand lie along them without pulling it."
    )
    free = [other for other in sweep.steps if not other.measures.pull.taut]
    if not free:
        return said
    tightest = min(free, key=lambda other: other.slack)
    back = tightest.measures.widths.width - step.measures.widths.width
    gives = f" and gives back {long(back)}" if back >= 0.5 * MM else ""
    return f"{said} With {slack_words(tightest.slack).split(':')[0]} nothing pulls any more{gives}."


def _rests(step: Step, sweep: Sweep) -> str:
    """Say why nothing pulls."""
    spare, table = spare_of(step), step.rest.mesh.floats
    longest = longest_of(step)
    has = f"{fine(table.length_f[longest])} of yarn for {fine(table.span_f[longest])}"
    cut = _short_cut(sweep)
    corner = "" if cut is None else f" Inside the tube it needs {share_said(cut)} less still, as it cuts the corner."
    if spare < -SAID:
        return (
            f"Each float holds {share_said(-spare)} less yarn than what it bridges ({has} in the longest), "
            f"and yet nothing pulls.{corner}"
        )
    if spare < SAID:
        return f"Each float holds just as much yarn as the distance that it bridges ({has} in the longest).{corner}"
    return (
        f"Each float holds {share_said(spare)} more yarn than what it bridges ({has} in the longest).{corner} "
        f"So it lies there without pulling, and the fabric is {narrower_said(step.measures)}."
    )


def _right_or_loose(step: Step, sweep: Sweep) -> str:
    """Say how much there is to spare, and whether that is too much."""
    room, aim = float(step.measures.pull.spare_f.min()), f"{100 * USUAL[0]:.0f} to {share_said(USUAL[1])}"
    stretch = (
        f"It stretches {share_said(room)} across before the first float goes taut."
        if room >= SAID
        else ("There is nothing to spare: at the least stretch the first floats go taut.")
    )
    if step.slack > USUAL[1] + 1e-9:
        hangs = (
            "in loops that snag on fingers and buttons" if step.slack > BAGGY + 1e-9 else "low enough to catch a finger"
        )
        return (
            f"But it is more than the usual aim of {aim}: the spare yarn has to go somewhere. The longest float sags "
            f"{fine(sag_of(step), 0)} from its straight way, {hangs}. Work the floats a little tighter: the "
            "fabric stays as wide."
        )
    if group(step.slack) == "right":
        return f"{stretch} This is within the usual aim of {aim}: it gives when it is pulled on, and nothing hangs far."
    return (
        f"{stretch} Nobody's floats are all alike, and some would come out shorter than this: so aim higher. Usual is "
        f"a slack of {aim}."
    )


def _short_cut(sweep: Sweep) -> float | None:
    """Return by how much the ways of the floats in the plain tube are shorter than their stitches, on average, if that
    is worth a word; None too where no step of the ``sweep`` is plain."""
    plain = next((one for one in sweep.steps if not one.measures.pull.taut), None)
    if plain is None or plain.rest.mesh.case != "round":
        return None
    cut = 1.0 - float(np.mean(plain.rest.way_f / plain.rest.mesh.floats.span_f))
    return cut if cut >= SHORT_CUT else None
