"""What ``agree`` says to a designer."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.bands import needles_said, rows_said
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.fabric import CASE_WORDS, straight_said
from fabricsim.cli.words.needles import ONE_SIZE_SAID
from fabricsim.cli.words.shares import percent
from fabricsim.design.scene.model import Scene
from fabricsim.lengths import fine, long
from fabricsim.study.change.agreeing import Agreeing
from fabricsim.study.change.band_pieces import AgreeKind, AgreeWay, PieceTried, does
from fabricsim.study.change.banding import ChartBand

AGREE_SAID: dict[AgreeKind, str] = {
    "slack": "looser floats",
    "catches": "catches",
    "needles": "larger needles",
    "needles and slack": "larger needles and looser floats",
}
MOST_NAMED = 24
"""Catches of one way that are told one by one (chosen: half a screen)."""


class AgreeTold(NamedTuple):
    """What was ``found`` for a ``scene``, the ``files`` written, each with what it is, and where a copy was ``asked``
    for."""

    scene: Scene
    found: Agreeing
    files: Sequence[tuple[str, Path]] = ()
    asked: Path | None = None

    def width(self, lost: float) -> float:
        """Return how wide the piece lies, m, where it loses this share of the gauge's width."""
        return self.found.now.forecast.measures.widths.plain * (1.0 - lost)


def tell(page: Page, told: AgreeTold) -> None:
    """Print how wide bands lie, by how much they differ, and what evens them out."""
    scene, found = told.scene, told.found
    page.say(scene.title, bold=True, wrap=True)
    page.say(f"Seen as {CASE_WORDS[found.case]}, all of it as one piece, every float carried alike.", wrap=True)
    if straight := straight_said(scene):
        page.say(straight, wrap=True)
    page.say(apart_said(told), wrap=True)
    page.say("")
    page.table(_bands_table(told))
    for number, way in enumerate(found.ways, start=1):
        page.say(f"{number}. By {AGREE_SAID[way.kind]}: {way_said(told, way)}", wrap=True)
    if found.ways:
        page.say("")
        page.table(_ways_table(told))
    for note in _notes(told):
        page.say(note, wrap=True)
    for what, path in told.files:
        page.say(f"{what.capitalize()} is in {path}.")
    page.say(CAUTION, wrap=True)


def band_rows(scene: Scene, band: ChartBand) -> str:
    """Return the rows of a band: ``rounds 3 to 9 of the chart``."""
    return rows_said(scene, band.first + 1, band.last + 1)


def apart_said(told: AgreeTold) -> str:
    """Return by how much the widest and the narrowest band differ, and whether that is within what was asked for."""
    scene, found = told.scene, told.found
    lost_k = found.now.bands.lost_k
    narrow, wide = lost_k.index(max(lost_k)), lost_k.index(min(lost_k))
    limit = percent(found.within, 1)
    if found.agrees:
        return (
            f"The bands agree: the widest and the narrowest differ by {percent(found.now.apart, 1)} of the width, and "
            f"{limit} may be."
        )
    rows = [band_rows(scene, found.bands[one]) for one in (narrow, wide)]
    lie = "lies" if found.bands[narrow].first == found.bands[narrow].last else "lie"
    less = told.width(lost_k[wide]) - told.width(lost_k[narrow])
    return (
        f"{rows[0][0].upper()}{rows[0][1:]} {lie} {long(less)} narrower than {rows[1]}: "
        f"{percent(found.now.apart, 1)} of the width, where {limit} may be."
    )


def way_said(told: AgreeTold, way: AgreeWay) -> str:
    """Return a way in words, what came of it, and by how much it still misses."""
    found = told.found
    if way.tried is None:
        if way.kind != "catches":
            return "none was found that brings the bands nearer to one another."
        return f"none of {count(way.catches, 'catch')} that might help does." if way.catches else "no float to catch."
    missed = way.tried.apart - found.within
    still = "" if does(way.tried, found.within) else f" That is {percent(missed, 1)} more than may be."
    return f"{how_said(told, way)}. Tried: {result_said(way.tried)}.{still}"


def how_said(told: AgreeTold, way: AgreeWay) -> str:
    """Return how each band is worked: ``rounds 1 to 8 of the chart with floats 3 % looser``."""
    scene, found = told.scene, told.found
    said = []
    for band, looser, sizes in zip(found.bands, way.looser_k, way.sizes_k, strict=True):
        how = [f"with floats {looser} % looser"] if looser else []
        how += [needles_said(scene, sizes)] if sizes else []
        if how:
            said.append(f"{band_rows(scene, band)} {listed(how)}")
    if len(way.holds) > MOST_NAMED:
        said.append(f"{len(way.holds)} catches (--json lists them)")
    elif way.holds:
        places = [
            f"{row_word(scene)} {hold.row + 1}, stitch {scene.stitches_per_repeat - hold.column} "
            f"({scene.yarns[hold.yarn].name})"
            for hold in sorted(way.holds)
        ]
        said.append(f"catches behind {'; '.join(places)}")
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}"


def result_said(tried: PieceTried) -> str:
    """Return what a piece came to: ``bands 0.4 % apart, 2.6 % narrower in all, 0.5 mm of pucker``."""
    measures = tried.forecast.measures
    over = "no float over the limit" if tried.over == 0 else f"{count(tried.over, 'float')} over the limit"
    lost = measures.widths.overall
    width = f"{percent(abs(lost), 1)} {'narrower' if lost >= 0.0 else 'wider'} in all"
    return f"bands {percent(tried.apart, 1)} apart, {width}, {fine(measures.pucker.peak_to_valley)} of pucker, {over}"


def _bands_table(told: AgreeTold) -> Table:
    scene, found = told.scene, told.found
    likely, lost_k = found.likely, found.now.bands.lost_k
    lines = []
    for k in reversed(range(len(found.bands))):
        lost = lost_k[k]
        step = f"{100.0 * (lost - lost_k[k - 1]):+.1f}" if k else ""
        spread = _spread(likely.step_s[k - 1]) if likely is not None and k else ""
        band = found.bands[k]
        cells = [_rows(band), long(told.width(lost)), f"{100.0 * lost:.1f}", step]
        lines.append((*cells, spread) if likely is not None else tuple(cells))
    columns = [f"{row_word(scene)}s of the chart", "width", "narrower %", "more than the one below %"]
    columns += ["likely by hand %"] if likely is not None else []
    return Table("The bands as they are, the top one first", dict.fromkeys(columns, "right"), lines)


def _rows(band: ChartBand) -> str:
    return f"{band.first + 1}" if band.first == band.last else f"{band.first + 1} to {band.last + 1}"


def _spread(ends: tuple[float, float]) -> str:
    return f"{100.0 * ends[0]:+.1f} to {100.0 * ends[1]:+.1f}"


def _ways_table(told: AgreeTold) -> Table:
    found = told.found
    names = [f"{_rows(band)} %" for band in found.bands]
    columns = ("way", *names, "apart %", "pucker mm", "over the limit", "agrees")
    lines = [("as it is", *_numbers(found.now), "no")]
    for number, way in enumerate(found.ways, start=1):
        if way.tried is not None:
            lines.append((str(number), *_numbers(way.tried), "yes" if does(way.tried, found.within) else "no"))
    return Table("How much narrower each band lies", dict.fromkeys(columns, "right"), lines)


def _numbers(tried: PieceTried) -> tuple[str, ...]:
    pucker = tried.forecast.measures.pucker.peak_to_valley
    lost = [f"{100.0 * one:.1f}" for one in tried.bands.lost_k]
    return (*lost, f"{100.0 * tried.apart:.1f}", f"{1000.0 * pucker:.1f}", str(tried.over))


def _notes(told: AgreeTold) -> list[str]:
    found, notes = told.found, []
    if found.likely is not None:
        low, high = found.likely.apart
        notes.append(
            f"By hands that carry floats unevenly the bands are likely {percent(low, 1)} to {percent(high, 1)} apart "
            "as they are, nine pieces in ten."
        )
    if any(any(way.sizes_k) for way in found.ways):
        notes.append(f"Needles: {ONE_SIZE_SAID}. Swatch it.")
    if found.stopped:
        notes.append("Stopped by you: these are the ways found so far.")
    if told.asked is not None and told.asked not in (path for _, path in told.files):
        why = "The bands agree as they are" if found.agrees else "No way makes the bands agree"
        todo = "" if found.agrees else ": ask for less, or name one with --pick"
        notes.append(f"{why}, so {told.asked} was not written{todo}.")
    return notes
