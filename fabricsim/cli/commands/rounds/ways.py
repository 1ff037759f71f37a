"""Rows around the chart in words: rib, adjusting round, plain rows, crown; short, or in full words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from fabricsim.cli.commands.rounds.rows import SHORT
from fabricsim.cli.words.counts import count
from fabricsim.design.counted.rounds import WorkedRow
from fabricsim.design.piece.model import PieceRow, PieceSection, Rib
from fabricsim.design.sizes.crown import CrownRound
from fabricsim.design.sizes.spread import Spread

NAMED = {"rib": "Rib", "adjusting": "Next", "rib above": "Upper rib"}
"""How rows are called that are not counted with those of the chart."""
STAR = re.compile(r"(?:(?P<lead>.*?), )?\*(?P<unit>.*); rep from \* (?P<how>[^,]*)(?:, (?P<tail>.*))?")
SPELT = (
    (re.compile(r"\bk(\d+)tog\b"), r"knit \1 together"),
    (re.compile(r"\bm1\b"), "make 1"),
    (re.compile(r"\bk(\d+)\b"), r"knit \1"),
    (re.compile(r"\bp(\d+)\b"), r"purl \1"),
)
"""Short forms, and what they are in full."""


class Row(NamedTuple):
    """A row, or several alike, as it is written: what it is called, and what to do in it."""

    head: str
    todo: str

    @property
    def text(self) -> str:
        return f"{self.head}: {self.todo}"


def way_of(row: PieceRow) -> str:
    """Return what is done in a row around the chart, its yarn left out: ``*k8, k2tog; rep from * to end``."""
    work = row.work
    assert not isinstance(work, WorkedRow)
    if isinstance(work, Rib):
        return _rib_way(work, row)
    if isinstance(work, Spread | CrownRound):
        return work.way()
    return f"{'p' if row.wrong_side else 'k'} all"


def _rib_way(rib: Rib, row: PieceRow) -> str:
    """Return a row of rib; flat and by a steek it has its knits once more, so that both edges are alike."""
    right, left = rib.beside
    if right and row.after == right + rib.knits + left:
        return f"k{row.after}"
    if right:
        return f"k{right}, *k{rib.knits}, p{rib.purls}; rep from * to last {rib.knits + left} sts, k{rib.knits + left}"
    first, second = f"k{rib.knits}", f"p{rib.purls}"
    if row.wrong_side:
        first, second = f"p{rib.knits}", f"k{rib.purls}"
    over = row.after % (rib.knits + rib.purls)
    if over == 0:
        return f"*{first}, {second}; rep from * to end"
    if row.after == over:
        return first
    last = "last st" if over == 1 else f"last {over} sts"
    return f"*{first}, {second}; rep from * to {last}, {first}"


def short_rows(section: PieceSection, called: Mapping[int, str], unit: str) -> list[str]:
    """Return the rows of a section around the chart as patterns write them, those alike together."""
    return [
        _short(list(group), section, called, unit)
        for _, group in groupby(section.rows, key=lambda row: _alike(row, flat=unit == "row"))
    ] if not _turns(section) else _both_sides(section, called, unit)  # fmt: skip


def _turns(section: PieceSection) -> bool:
    """Return whether it is a rib whose rows differ by their side."""
    return section.kind in ("rib", "rib above") and any(row.wrong_side for row in section.rows)


def _alike(row: PieceRow, *, flat: bool) -> tuple[object, ...]:
    """Return what rows told together share."""
    if row.work is None:  # worked flat, both sides are told at once
        return (None, row.after)
    return (row.work, row.after, row.number if isinstance(row.work, Spread | CrownRound) or flat else 0)


def _short(rows: Sequence[PieceRow], section: PieceSection, called: Mapping[int, str], unit: str) -> str:
    first, yarn = rows[0], called[rows[0].yarn]
    head, total = _head(rows, section, SHORT[unit], sides=unit == "row"), _total(rows)
    if len(rows) > 1 and any(row.wrong_side for row in rows):
        return f"{head}: all {yarn}, k RS rows, p WS rows. {total}"
    way = way_of(first)
    return f"{head}: {way} {yarn}. {total}" if first.work is None else f"{head}: {way}, all {yarn}. {total}"


def _both_sides(section: PieceSection, called: Mapping[int, str], unit: str) -> list[str]:
    """Return a rib worked flat: its right-side rows at once, and its wrong-side rows."""
    said = []
    name, last = f"{NAMED[section.kind]} {SHORT[unit]}s", section.rows[-1].number
    for wrong_side, what in ((False, "odd, RS"), (True, "even, WS")):
        rows = [row for row in section.rows if row.wrong_side is wrong_side]
        said.append(f"{name} 1-{last} ({what}): {way_of(rows[0])}, all {called[rows[0].yarn]}. {_total(rows * 2)}")
    return said


def _head(rows: Sequence[PieceRow], section: PieceSection, word: str, *, sides: bool) -> str:
    first = rows[0]
    named = NAMED.get(section.kind)
    side = f" ({'WS' if first.wrong_side else 'RS'})" if sides and len(rows) == 1 else ""
    if section.kind == "adjusting":
        return f"{named} {word}{side}"
    name = f"{named} {word}" if named is not None else word.capitalize()
    if len(rows) == 1:
        return f"{name} {first.number}{side}"
    return f"{name}s {first.number}-{rows[-1].number}"


def _total(rows: Sequence[PieceRow]) -> str:
    stitches = rows[0].after
    return f"[{stitches}] {'st' if stitches == 1 else 'sts'}{' each' if len(rows) > 1 else ''}."


# ---- in full -------------------------------------------------------------------------------------


def full_rows(section: PieceSection, named: Mapping[int, str], unit: str) -> list[Row]:
    """Return the rows of a section around the chart, each by itself and in full words."""
    return [Row(_full_head(row, section, unit), _full(row, named)) for row in section.rows]


def _full_head(row: PieceRow, section: PieceSection, unit: str) -> str:
    called = NAMED.get(section.kind)
    head = f"{called} {unit}" if called is not None else unit.capitalize()
    head += "" if section.kind == "adjusting" else f" {row.number}"
    return head + ("" if unit == "round" else f", {'wrong' if row.wrong_side else 'right'} side")


def _full(row: PieceRow, named: Mapping[int, str]) -> str:
    yarn = named[row.yarn]
    if row.work is None:
        return f"{'Purl' if row.wrong_side else 'Knit'} all {count(row.after, 'stitch')} with {yarn}."
    said = spelt(way_of(row))
    return f"{said} All with {yarn}. {count(row.after, 'stitch')} in all."


def spelt(way: str) -> str:
    """Return a short way of working a row in full words."""
    found = STAR.fullmatch(way)
    if found is None:
        return f"{_capital(_words(way))}."
    lead, unit, how, tail = (found[part] for part in ("lead", "unit", "how", "tail"))
    said = [f"{_capital(_words(lead))}."] if lead else []
    said.append(f"{_capital(_how_often(how))}: {_words(unit)}.")
    if tail:
        said.append(f"Then {_words(tail)}.")
    return " ".join(said)


def _how_often(how: str) -> str:
    if how == "once more":
        return "work twice"
    if more := re.fullmatch(r"(\d+) more times", how):
        return f"work {int(more[1]) + 1} times"
    end = re.sub(r"to last (\d+) sts", r"to the last \1 stitches", how).replace("to last st", "to the last stitch")
    return "work over and over " + end.replace("to end", "to the end")


def _words(way: str) -> str:
    for form, full in SPELT:
        way = form.sub(full, way)
    return way


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
