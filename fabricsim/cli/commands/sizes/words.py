"""Sizes in tables and sentences, for people."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fabricsim.cli.commands.sizes.rounds import between, tell_depths
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed
from fabricsim.cli.words.knitter import hands_used
from fabricsim.cli.words.needles import needles_used
from fabricsim.cli.words.shares import share_said
from fabricsim.design.counted.yarn_weights import Mismatch, mismatches
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.items import KINDS
from fabricsim.design.scene.rules import BAGGY
from fabricsim.design.sizes.every_size import Counted, Size, Sizes
from fabricsim.design.sizes.going_on import BEYOND_SLACK, PLAIN_LEAST, PLAIN_MOST
from fabricsim.design.sizes.plan import Plan
from fabricsim.lengths import gauge_number, gauge_over, long, long_number, long_unit

NONE = "-"
SNAGS = f"Slack beyond {100.0 * BAGGY:.0f} % is no way out: such floats hang in loops and snag."
TABLES_DIFFER = 0.035
"""How far tables of bodies differ from one another at most, m (seen in them)."""
SOURCES = {
    "seen": "seen in tables, which differ by up to {}",
    "memory": "from memory, unchecked",
}
"""Marks of where a body's size comes from, in words."""


def tell(page: Page, found: Sizes, pieces: Mapping[str, WholePiece], why_not: Mapping[str, str]) -> None:
    """Print all of it; ``why_not``: of the sizes whose piece can't be worked, by their names."""
    plan = found.plan
    page.say(plan.scene.title, bold=True, wrap=True)
    for sentence in _gauge_words(found):
        page.say(sentence, wrap=True)
    page.say("")
    page.table(_counts(found))
    page.table(_widths(found))
    for sentence in _below_the_table(found):
        page.say(sentence, wrap=True)
    counted = [(one, one.counted) for one in found.sizes if one.counted is not None]
    if counted:
        page.say("")
        page.table(_going_on(plan, counted))
        for sentence in _stretch_words(plan):
            page.say(sentence, wrap=True)
        for sentence in _lacking(plan, counted):
            page.say(sentence, wrap=True)
        page.say("")
        if pieces:
            tell_depths(page, plan, pieces)
        for name, why in why_not.items():
            page.say(f"{name} can't be worked so: {why}.", wrap=True)
        for sentence in between(plan, [one for one in counted if one[0].body.name in pieces], pieces):
            page.say(sentence, wrap=True)
    if KINDS[plan.item].baby or any(one.body.wearer == "baby" for one in found.sizes):
        page.say("")
        page.say(CAUTION, wrap=True)


def _share(share: float) -> str:
    return f"{round(100.0 * share, 1) + 0.0:+.1f}"


def _gauge_words(found: Sizes) -> list[str]:
    """Return what the widths are reckoned from."""
    scene = found.plan.scene
    plain = f"that of plain stockinette, {_stitches(scene.gauge.stitches)} to {gauge_over()},"
    if found.measured and scene.gauge.colourwork is not None:
        coloured = f"{_stitches(scene.gauge.colourwork.stitches)} to {gauge_over()}"
        said = [f"By the gauge that you measured in the colourwork: {coloured}, nothing forecast."]
    elif found.forecast:
        said = [f"By the gauge that the floats will leave: {plain} and what they draw in at each count."]
    else:
        said = [f"By the plain gauge: {plain} as if floats drew nothing in."]
    said += [*hands_used(scene), *([needles] if (needles := needles_used(scene)) else [])]
    names: dict[tuple[int, int], list[Mismatch]] = {}
    for one in mismatches(scene):
        names.setdefault((one.low, one.high), []).append(one)
    for (low, high), those in names.items():
        way = "looser" if those[0].looser else "tighter"
        yarns = listed([f"{one.yarn} ({one.metres:.0f} m to 100 g)" for one in those])
        said.append(
            f"Check the gauge: {those[0].stitches:.3g} stitches to 4 inches is {way} than usual for {yarns}. "
            f"The Craft Yarn Council's standard says {low} to {high} for yarn of that sort."
        )
    return said


def _source(mark: str) -> str:
    """Return where a body's size comes from, in words."""
    return SOURCES[mark].format(long(TABLES_DIFFER)) if mark in SOURCES else mark


def _stitches(stitches: float) -> str:
    """Return a gauge's stitches in words."""
    said = gauge_number(stitches)
    return f"{said} stitch" if said == "1" else f"{said} stitches"


def _beside(plan: Plan) -> str:
    """Return what else is in the counts: stitches that go into a seam, or are cut."""
    if not plan.chart.edges:
        return ""
    return f" and {plan.chart.edges} for the {'steek' if any(plan.makeup.steek) else 'seam'}"


def _counts(found: Sizes) -> Table:
    """Return the table of counts."""
    plan = found.plan
    ribbed = plan.sizing.knits_and_purls is not None
    heads = ["size", *(["rib"] if ribbed else []), "repeats", "stitches", *(["crown"] if plan.crown else [])]
    lines = []
    for one in found.sizes:
        known, line = one.counted, {"size": one.body.name}
        line["rib"] = str(known.rib) if known and known.rib is not None else NONE
        line["repeats"] = str(known.repeats) if known else NONE
        line["stitches"] = str(known.stitches) if known else "no count fits"
        line["crown"] = f"{known.crown.wedges} x {known.crown.wedge}" if known and known.crown else NONE
        lines.append([line[head] for head in heads])
    return Table(
        f"Counts: whole repeats of {count(plan.chart.repeat, 'stitch')}{_beside(plan)}",
        {head: "left" if head == "size" else "right" for head in heads},
        lines,
    )


def _widths(found: Sizes) -> Table:
    """Return the table of widths."""
    lines, unit = [], long_unit()
    for one in found.sizes:
        known = one.counted
        line = {
            "size": one.body.name,
            f"body {unit}": long_number(one.worn_at),
            f"wanted {unit}": long_number(one.wanted),
        }
        line["draw-in %"] = f"{100.0 * known.lost.nominal:.1f}" if known else NONE
        line[f"finished {unit}"] = long_number(known.finished) if known else NONE
        line[f"likely {unit}"] = f"{long_number(known.narrowest)} to {long_number(known.widest)}" if known else NONE
        line[f"off {unit}"] = long_number(one.off, signed=True) if one.off is not None else NONE
        line["ease %"] = _share(one.ease) if one.ease is not None else NONE
        if not found.forecast:
            del line["draw-in %"], line[f"likely {unit}"]
        lines.append(line)
    return Table(
        f"Widths, {found.plan.fit.at}",
        {head: "left" if head == "size" else "right" for head in lines[0]},
        [list(line.values()) for line in lines],
        bold={number for number, one in enumerate(found.sizes) if one.unusual},
    )


def _below_the_table(found: Sizes) -> list[str]:
    """Return what to know about the steps between sizes, and the ways out where they are too coarse."""
    plan = found.plan
    fit, ends = plan.fit, f"{_percent(plan.fit.least)} to {_percent(plan.fit.most)} %"
    said = [
        f"One repeat more or less makes {long(found.sizes[-1].step)}.",
        f"Ease is finished over body, less 1. Wanted: {_percent(plan.aim)} %, within {ends} ({fit.owner}).",
        f"Body sizes: {_sources(found)}.",
    ]
    if plan.lining_takes:
        said.append(
            f"It is lined: that makes it {long(plan.lining_takes)} narrower inside (derived), which is allowed for."
        )
    together: dict[int, list[str]] = {}
    for one in found.sizes:
        if one.counted is not None:
            together.setdefault(one.counted.stitches, []).append(one.body.name)
    for stitches, names in together.items():
        if len(names) > 1:
            said.append(f"{listed(names)} come to the same {stitches} stitches.")
    return said + [_way_out(one) for one in found.sizes if one.unusual]


def _percent(share: float) -> str:
    return f"{round(100.0 * share, 1) + 0.0:g}"


def _sources(found: Sizes) -> str:
    """Return where the bodies' numbers come from."""
    names: dict[str, list[str]] = {}
    for one in found.sizes:
        names.setdefault(_source(one.body.source), []).append(one.body.name)
    if len(names) == 1:
        return next(iter(names))
    return "; ".join(f"{listed(whose)} {source}" for source, whose in names.items())


def _way_out(one: Size) -> str:
    """Return what else could be done for a size that no count fits well."""
    if one.off is None:
        trouble = f"no count fits: {one.why_not}, {long(one.wanted)} is wanted"
    else:
        trouble = f"{long(abs(one.off))} {'wider' if one.off > 0.0 else 'narrower'} than wanted"
    ways = [
        f"{other.stitches} stitches at a gauge of {gauge_number(round(other.stitches_per_10_cm, 1))} to {gauge_over()}"
        for other in one.gauges
    ]
    extra = one.spacers
    if extra is not None:
        ways.append(
            f"{count(extra.spacers, 'plain stitch')} after each of {count(extra.repeats, 'repeat')}, "
            f"{extra.stitches} stitches, {long(extra.finished)}"
        )
    out = f"Would fit: {'; or '.join(ways)}" if ways else "Try a narrower chart or another yarn"
    return f"{one.body.name}: {trouble}. {out}."


def _going_on(plan: Plan, counted: Sequence[tuple[Size, Counted]]) -> Table:
    """Return the table that says whether it goes on."""
    lines = []
    for one, known in counted:
        place = known.weakest
        stretch = (place.needed, place.easy, place.most)
        lines.append([one.body.name, place.name, *(f"{100.0 * share:.0f}" for share in stretch), place.answer])
    return Table(
        f"Does it go over {plan.fit.over}? Stretch, %",
        {
            "size": "left",
            "weakest place": "left",
            "needed": "right",
            "with ease": "right",
            "at most": "right",
            "goes on": "left",
        },
        lines,
        bold={number for number, (_, known) in enumerate(counted) if known.weakest.answer in ("no", "can't say")},
    )


def _stretch_words(plan: Plan) -> list[str]:
    """Return where the stretch comes from."""
    said = [
        "Colourwork stretches with ease until its floats are taut: reckoned here from its slack and draw-in alone, so "
        "the forecast of one fabric, in which floats take short cuts, may find a little more. At most it stretches "
        f"{share_said(BEYOND_SLACK)} farther (from memory)."
    ]
    if plan.sizing.knits_and_purls:
        said.append(
            f"Rib stretches {100.0 * PLAIN_LEAST:.0f} to {share_said(PLAIN_MOST)} beyond the plain width of its "
            "stitches (from memory), if cast on loosely."
        )
    return said


def _lacking(plan: Plan, counted: Sequence[tuple[Size, Counted]]) -> list[str]:
    """Return what to do where it lacks stretch, or may: width first, then slack as far as it may be."""
    lacking = [(one, known) for one, known in counted if known.weakest.needed > known.weakest.most]
    if not lacking:
        return []
    said = []
    if any(known.weakest.answer == "can't say" for _, known in lacking):
        said.append(
            f"Can't say: the way over {plan.fit.over} is reckoned from a usual body (memory). Measure it (widest_cm of "
            "a body under [sizes]), and try it on."
        )
    wider = [f"{one.body.name} {known.passes_from}" for one, known in lacking if known.passes_from > known.stitches]
    if wider:
        said.append(
            "First more stitches, or a larger needle, which makes it wider with the same ones. By this reckoning the "
            f"colourwork passes from so many stitches on: {', '.join(wider)}. Or knit that part in one colour."
        )
    elif any(known.weakest.name == "rib" for _, known in lacking):
        said.append("The rib lacks stretch: more stitches or a larger needle there, or a looser cast-on.")
    slack = min(plan.scene.slack_of_yarns)
    said.append(
        f"Slacker floats help too, up to {100.0 * BAGGY:.0f} %: beyond that they hang in loops and snag."
        if slack < BAGGY
        else SNAGS
    )
    return said
