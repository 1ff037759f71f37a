"""The whole pattern in words, from cast-on to the last stitch: short, as patterns are, or in full words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from fabricsim.cli.commands.rounds.finishing import cast_on, ending, finishing, needed
from fabricsim.cli.commands.rounds.rows import IN_FULL, SHORT, hanging, passage_text, row_in_words
from fabricsim.cli.commands.rounds.ways import Row, full_rows, short_rows
from fabricsim.cli.shell.page import Page
from fabricsim.cli.words.bands import bands_said
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.joins import either_end_said, join_said
from fabricsim.cli.words.leads import leads_to_catch
from fabricsim.cli.words.left_out import left_out
from fabricsim.cli.words.measures import measures, size_words
from fabricsim.cli.words.needles import needles_used
from fabricsim.cli.words.steeks import steek_said
from fabricsim.cli.words.strands import strands_said
from fabricsim.cli.words.thumbs import thumb_place
from fabricsim.design.counted.rounds import WorkedRow, passages
from fabricsim.design.piece.model import PieceSection, WholePiece
from fabricsim.design.piece.used import carries_of, rows_around
from fabricsim.design.scene.made import Made
from fabricsim.design.sizes.spread import Spread
from fabricsim.lengths import long

CATCH = "Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it."
NUMBERED = ("chart", "plain")
"""Parts of a hand that may hold the place of a thumb."""
MAKE_ONE = (
    "make 1 = lift the strand between two stitches onto the left needle and knit it through the back, a stitch more"
)
TOGETHER = "knit 2 together: a stitch less"
SHAPING: dict[Made, str] = {
    "ssk": "ssk = slip two stitches one by one as if to knit, knit them together through the back: a stitch less",
    "cdd": (
        "cdd = centred double decrease: slip two stitches together as if to knit, knit one, pass the slipped ones over "
        "it: two stitches less"
    ),
    "m1l": "m1l = lift the strand between two stitches from the front, knit it through the back: a stitch more",
    "m1r": "m1r = lift the strand between two stitches from the back, knit it through the front: a stitch more",
}
"""What the short forms of shaping mean."""
NARROW = (
    "When the stitches no longer reach round your needle, go on with double-pointed needles, two circulars, or one "
    "long one with its cord pulled out in a loop."
)


def letters(piece: WholePiece) -> dict[int, str]:
    """Return what the yarns in use are called for short: MC the first of them, CC the other, or CC1, CC2 and so on."""
    used = sorted({yarn for row in piece.rows for yarn in row.made_y})
    others = used[1:]
    return {used[0]: "MC", **{yarn: f"CC{at if others[1:] else ''}" for at, yarn in enumerate(others, start=1)}}


def names(piece: WholePiece) -> dict[int, str]:
    """Return the names of the yarns, with their symbols where two share a name."""
    known = [yarn.name for yarn in piece.scene.yarns]
    return {
        at: yarn.name if known.count(yarn.name) == 1 else f"{yarn.name} ({yarn.symbol})"
        for at, yarn in enumerate(piece.scene.yarns)
    }


def title(piece: WholePiece) -> str:
    """Return what the pattern is called, with its size."""
    return f"{piece.scene.title}, {piece.size}" if piece.size else piece.scene.title


def comings_and_goings(piece: WholePiece, called: Mapping[int, str], word: str) -> list[str]:
    """Return where each yarn is joined and broken, if not at the first and last row: ``CC: join in rnd 6.``"""
    yarn_ij, carried = piece.scene.piece_rows(), carries_of(piece)
    below, above = rows_around(piece)

    def named(row: int) -> str:
        if row < 0:
            return "the rib" if not piece.section("adjusting").rows else f"the {word} after the rib"
        return f"{word} {row + 1}"

    said = []
    for yarn in letters(piece):
        rows = [row for row, yarn_j in enumerate(yarn_ij) if yarn in yarn_j]
        main = yarn == piece.last.yarn
        breaks = [one for one in carried if one.yarn == yarn and one.advice == "break and rejoin"]
        if not rows:
            continue
        ways = [
            f"join in {word} {rows[0] + 1}" if rows[0] > 0 and not (below and main) else "",
            "join in " + f"{word} 1" if rows[0] == 0 and below and not main else "",
            *(f"break after {named(one.from_row)}, join again in {named(one.to_row)}" for one in breaks),
            f"break after {word} {rows[-1] + 1}" if (rows[-1] < len(yarn_ij) - 1 or above) and not main else "",
            f"break after {word} {rows[-1] + 1}" if main and not above and rows[-1] < len(yarn_ij) - 1 else "",
        ]
        if any(ways):
            said.append(f"{called[yarn]}: {', '.join(way for way in ways if way)}.")
    return said


def tell(page: Page, piece: WholePiece) -> None:
    """Print the key, then row after row as patterns write them, to the last stitch."""
    page.say(title(piece), bold=True, wrap=True)
    for sentence in (size_words(piece), *measures(piece), *left_out(piece), *needed(piece), *key(piece), ""):
        page.say(sentence, wrap=True)
    for one in pattern(piece):
        if one.heading:
            page.say("")
            page.say(one.text, bold=True, wrap=True)
        elif one.row:
            for line in hanging(one.text, page.width):
                page.say(line)
        else:
            page.say(one.text, wrap=True)


def tell_in_full(page: Page, piece: WholePiece) -> None:
    """Print every row by itself in full"""
    page.say(title(piece), bold=True, wrap=True)
    for sentence in before_reading(piece):
        page.say(sentence, wrap=True)
    for one in in_full(piece):
        page.say("")
        for line in hanging(one.text, page.width):
            page.say(line)


# ---- short ---------------------------------------------------------------------------------------


class PatternLine(NamedTuple):
    """A line of the pattern: a row to work (``row``), a ``heading``, or a remark."""

    text: str
    row: bool = False
    heading: bool = False


def pattern(piece: WholePiece) -> list[PatternLine]:
    """Return all that is worked, from the cast-on to the ends, with headings where a piece has several parts."""
    called, headed, held = letters(piece), len(piece.sections) > 1, thumb_place(piece)
    said = [PatternLine(f"Cast on: {cast_on(piece, called)}", row=True)]
    for section in piece.sections:
        if headed:
            said.append(PatternLine(heading(piece, section, called), heading=True))
        if section.kind == "crown" and piece.scene.worked == "round":
            said.append(PatternLine(NARROW))
        if held is not None and section.kind in NUMBERED and held[0] in {row.number for row in section.rows}:
            said.append(PatternLine(held[1]))
        said += [PatternLine(text, row=True) for text in _rows(piece, section, called)]
    if headed and piece.end == "draw together":
        said.append(PatternLine("The last stitches", heading=True))
    said.append(PatternLine(": ".join(ending(piece, called)), row=True))
    if headed:
        said.append(PatternLine("Finishing", heading=True))
        said += [PatternLine(text) for text in finishing(piece, called)]
    return said


def heading(piece: WholePiece, section: PieceSection, called: Mapping[int, str]) -> str:
    """Return what stands above a section."""
    scene, unit = piece.scene, row_word(piece.scene)
    high = long(piece.height(section.kind))
    yarn = called[section.rows[0].yarn]
    if section.kind in ("rib", "rib above"):
        assert piece.makeup.rib is not None
        knits, purls = piece.makeup.rib
        above = "Upper rib" if section.kind == "rib above" else "Rib"
        return (
            f"{above}, {knits} x {purls}: {count(len(section.rows), unit)} ({high}), on needles a size or two smaller"
        )
    if section.kind == "adjusting":
        return f"From rib to chart: {count(len(section.rows), f'plain {unit}')} on the needles of your gauge"
    if section.kind == "plain":
        said = "From chart to rib" if isinstance(section.rows[0].work, Spread) else "Plain"
        return f"{said}: {count(len(section.rows), unit)} ({high})"
    if section.kind == "crown":
        assert piece.crown is not None
        each = f"{piece.crown.wedges} wedges of {count(piece.crown.wedge, 'stitch')}"
        return f"Crown, all {yarn}: {each}, {count(len(section.rows), unit)} ({high})"
    chart, tall = scene.chart, len(scene.chart_rows())
    plain = [
        f"{number} plain {where}"
        for number, where in ((chart.plain_below, "below"), (chart.plain_above, "above"))
        if number
    ]
    often = f"{count(tall, unit)} of the chart" + (f" {count(chart.up, 'time')} up" if chart.up > 1 else "")
    straight = "" if piece.section("adjusting").rows or piece.makeup.rib is None else ", on the needles of your gauge"
    return f"Chart: {', '.join([often, *plain])} ({high}){straight}"


def _rows(piece: WholePiece, section: PieceSection, called: Mapping[int, str]) -> list[str]:
    unit = row_word(piece.scene)
    if section.kind != "chart":
        return short_rows(section, called, unit)
    return [passage_text(passage, called, unit) for passage in passages(piece.scene, worked(piece))]


def worked(piece: WholePiece) -> list[WorkedRow]:
    """Return the rows of the piece's scene, edge stitches and all."""
    return [row.work for row in piece.section("chart").rows if isinstance(row.work, WorkedRow)]


def key(piece: WholePiece) -> list[str]:
    """Return the sentences that say what the short forms mean, those that occur."""
    scene, called, unit = piece.scene, letters(piece), row_word(piece.scene)
    yarns = [
        f"{short} = {scene.yarns[yarn].name} ({scene.yarns[yarn].symbol} in the chart)"
        for yarn, short in called.items()
    ]
    every = "; ".join(one.text for one in pattern(piece) if one.row)
    forms = ["k = knit", *(["p = purl"] if scene.worked == "flat" or " p" in every else [])]
    if re.search(r"\bm1\b", every):
        forms.append(MAKE_ONE.replace("make 1 =", "m1 = make 1:"))
    if "k2tog" in every:
        forms.append(f"k2tog = {TOGETHER}")
    forms += [said for form, said in SHAPING.items() if form in every]
    if unit == "round":
        forms.append("rnd = round")
    else:
        forms.append("RS = right side, WS = wrong side")
    forms += [*(["rep from * = repeat what stands after the star"] if "*" in every else []), "sts = stitches"]
    said = [f"{', '.join(yarns)}.", f"{', '.join(forms)}."]
    if scene.worked == "flat":
        said.append("Odd rows are right-side rows, read from right to left on the chart; even rows from left to right.")
    return [*said, *_to_know(piece, called), *comings_and_goings(piece, called, SHORT[unit])]


def _to_know(piece: WholePiece, called: Mapping[int, str]) -> list[str]:
    """Return what holds for many rows."""
    said = []
    if sum(piece.edges):
        right, left = piece.edges
        what = "that go into the seam" if piece.makeup.seam else "of the selvedge"
        said.append(
            f"The chart lies between edge stitches {what}, {right} at the right and {left} at the left. "
            "They are in all counts here; each takes the colour of the chart's stitch beside it."
        )
        if not piece.makeup.seam:
            said.append("For an even edge slip the first stitch of every row as if to purl; it counts as worked.")
    several = any(len(set(yarn_j)) > 1 for yarn_j in piece.scene.piece_rows())
    if piece.scene.worked == "flat" and several:
        said.append(
            "At both edges every yarn of a row of several colours is held: catch those not in use behind the chart's "
            "first stitch and behind its last."
        )
    said += [*steek_said(piece.scene), *join_said(piece), *either_end_said(piece, row_word(piece.scene))]
    said += [one for one in (needles_used(piece.scene), strands_said(piece.scene, called)) if one]
    said += bands_said(piece.scene)
    leading = leads_to_catch(piece, called)
    if leading or any(run.caught for one in worked(piece) for run in one.line.runs):
        said.append(CATCH)
    said += leading
    return said


# ---- in full -------------------------------------------------------------------------------------


def before_reading(piece: WholePiece) -> list[str]:
    """Return what to know before the rows, in full words."""
    named = names(piece)
    used = [named[yarn] for yarn in letters(piece)]
    said = [size_words(piece).replace(" x ", " by "), *measures(piece), *left_out(piece), *needed(piece)]
    if (held := thumb_place(piece)) is not None:
        said.append(held[1])
    said.append(f"{'Yarns' if used[1:] else 'Yarn'}: {listed(used)}.")
    if piece.scene.worked == "flat":
        said.append("Right-side rows are knitted, wrong-side rows are purled.")
    every = " ".join(one.todo for section in piece.sections for one in _full_rows(piece, section, named))
    if re.search(r"[Mm]ake 1\b(?! (left|right))", every):
        said.append(f"{MAKE_ONE[0].upper()}{MAKE_ONE[1:]}.")
    for form, meaning in SHAPING.items():
        if IN_FULL[form].lower() in every.lower():
            words = meaning.split(" = ", 1)[1]
            said.append(f"{IN_FULL[form][0].upper()}{IN_FULL[form][1:]}: {words}.")
    return [*said, *_to_know(piece, named), *comings_and_goings(piece, named, row_word(piece.scene))]


def in_full(piece: WholePiece) -> list[Row]:
    """Return all that is worked, every row by itself and in full words."""
    named = names(piece)
    said = [Row("Cast on", cast_on(piece, named, full=True))]
    for section in piece.sections:
        said += _full_rows(piece, section, named)
    head, todo = ending(piece, named, full=True)
    said.append(Row(head, todo))
    if len(piece.sections) > 1:
        said.append(Row("Finishing", " ".join(finishing(piece, named))))
    return said


def _full_rows(piece: WholePiece, section: PieceSection, named: Mapping[int, str]) -> list[Row]:
    unit = row_word(piece.scene)
    if section.kind != "chart":
        return full_rows(section, named, unit)
    return [Row(*row_in_words(one, named, unit)) for one in worked(piece)]
