"""What ``motifs`` says to a designer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.design.scene.model import Scene
from fabricsim.study.motifs.classes import MOST_SQUARES, Motif
from fabricsim.study.motifs.mapping import MotifMap, MotifRow, goes_with
from fabricsim.units import MM

ENDS = 8
"""Motifs at either end that are told one by one (chosen: what fits a look)."""
FEW, MANY = 0.5, 0.9
"""Floats a stitch below which a motif changes yarn seldom, and from which it does at every stitch (chosen)."""
SHORT, LONG = 2, 4
"""Stitches up to which the longest float is called short, and from which long (chosen)."""
GOES_WITH, FEWEST_TOLD = 0.5, 8
"""Rank correlation from which one thing is said to go with another, and motifs that it takes to say so (chosen)."""


class MotifsTold(NamedTuple):
    """The motifs that were ``asked`` about, of ``there`` are in all up to that size; those ``found``, the best first;
    whether it was ``stopped``."""

    asked: MotifMap
    there: int
    found: Sequence[tuple[Motif, MotifRow]]
    stopped: bool = False

    @property
    def scene(self) -> Scene:
        """The scene whose yarns, gauge and slack they take."""
        return self.asked.scene


def tell(page: Page, told: MotifsTold) -> None:
    """Print the best and the worst, and what it goes with."""
    page.say(f"Small motifs in the yarns of '{told.scene.title}'", bold=True, wrap=True)
    page.say(asked_said(told), wrap=True)
    if not told.found:
        page.say("None was brought to rest.")
        return
    page.say("")
    for sentence in laws_said(told.found):
        page.say(sentence, wrap=True)
    page.say("")
    best, worst = ends_of(told.found)
    page.table(_table("The best", best))
    if worst:
        page.table(_table("The worst, the worst last", worst))
    page.say(CAUTION, wrap=True)


def ends_of(
    found: Sequence[tuple[Motif, MotifRow]], most: int = ENDS
) -> tuple[Sequence[tuple[Motif, MotifRow]], Sequence[tuple[Motif, MotifRow]]]:
    """Return the best and the worst, never one twice."""
    best = found[: min(most, (len(found) + 1) // 2)]
    return best, found[max(len(best), len(found) - most) :]


def asked_said(told: MotifsTold) -> str:
    """Return what was looked at."""
    rows, stitches = (max(getattr(one, side) for one in told.asked.motifs) for side in ("rows", "stitches"))
    some = "all" if told.there == len(told.asked.motifs) else f"the smallest {len(told.asked.motifs):,}"
    kind = "mirrored both ways, " if all(one.symmetric for one in told.asked.motifs) else ""
    left = "" if len(told.found) == len(told.asked.motifs) else f" {len(told.found):,} of them are here."
    return (
        f"Repeats of up to {count(rows, 'row')} and {count(stitches, 'stitch')} ({MOST_SQUARES} squares at the most), "
        f"{kind}one of each kind that is the same but for shifting, mirroring, turning and swapping its yarns: {some} "
        f"of {told.there:,}. Each as the chart without end, every float carried alike.{left}"
    )


def laws_said(found: Sequence[tuple[Motif, MotifRow]]) -> list[str]:
    """Return what draw-in and pucker go with, as far as they do."""
    rows = [row for _, row in found if row["at_rest"]]
    if len(rows) < FEWEST_TOLD:
        return []
    made = []
    causes: tuple[tuple[str, Callable[[MotifRow], float]], ...] = (
        ("how often the yarn changes", lambda row: float(row["floats_per_stitch"])),
        ("the longest float", lambda row: float(row["longest_gap_stitches"])),
        ("rows with floats among plain ones", lambda row: -float(row["plain_rows_percent"])),
    )
    for what, key in (("Draw-in", "draw_in_percent"), ("Pucker", "pucker_mm")):
        said = []
        for cause, of in causes:
            causing, caused = [of(row) for row in rows], [round(row[key], 3) for row in rows]
            goes = goes_with(causing, caused)
            if abs(goes) >= GOES_WITH:
                said.append(f"{cause} ({goes:+.2f})")
        if said:
            made.append(f"{what} goes with {listed(said)}: rank correlation, 1 being always together.")
    return made


def why_said(row: MotifRow) -> str:
    """Return what makes a motif good or bad: ``floats of 2 stitches at most, every third row plain, lies flat``."""
    gap, often, plain = row["longest_gap_stitches"], row["floats_per_stitch"], row["plain_rows_percent"]
    said = [f"floats of {count(gap, 'stitch')} at most" if gap <= SHORT else f"floats up to {count(gap, 'stitch')}"]
    if plain:
        said.append(f"{plain:.0f} % of its rows plain")
    if often >= MANY:
        said.append("the yarn changes at every stitch")
    elif often <= FEW:
        said.append("the yarn changes seldom")
    if not row["at_rest"]:
        return listed([*said, "no rest found"])
    said.append(pucker_word(row["pucker_mm"] * MM).word)
    onset = row["onset_slack_percent"]
    said.append("does not begin to pucker" if onset is None else f"begins to pucker at slack {onset:.1f} %")
    if row["floats_over_limit"]:
        said.append(f"{count(row['floats_over_limit'], 'float')} over the limit")
    return listed(said)


def _table(title: str, ends: Sequence[tuple[Motif, MotifRow]]) -> Table:
    columns: dict[str, Literal["left", "right"]] = {"motif": "left", "rows from the top": "left"}
    for name in ("narrower %", "pucker mm", "puckers from slack %", "longest float"):
        columns[name] = "right"
    lines = []
    for motif, row in ends:
        drawn = " ".join("".join(".x"[yarn] for yarn in yarn_j) for yarn_j in reversed(motif.chart_ij))
        numbers = (
            ("no rest", "", "")
            if not row["at_rest"]
            else (
                f"{row['draw_in_percent']:.1f}",
                f"{row['pucker_mm']:.1f}",
                "none" if row["onset_slack_percent"] is None else f"{row['onset_slack_percent']:.1f}",
            )
        )
        lines.append((motif.name, drawn, *numbers, str(row["longest_gap_stitches"])))
    return Table(title, columns, lines)
