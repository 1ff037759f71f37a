"""What ``motifs`` says to a designer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.design.scene.model import Scene
from fabricsim.study.compare.order import ends_of
from fabricsim.study.motifs.classes import MOST_SQUARES, Motif
from fabricsim.study.motifs.mapping import MotifMap, MotifRow, goes_with
from fabricsim.units import MM

ENDS = 8
"""Motifs at either end that are told one by one (chosen: what fits a look)."""
FEW, MANY = 0.5, 0.9
"""Floats a stitch below which a motif changes yarn seldom, and from which it does at every stitch (chosen)."""
SHORT, LONG = 2, 4
"""Stitches up to which the longest float is called short, and from which long (chosen)."""
QUARTERS = (
    ("pucker_mm", "lie flattest", "pucker most", "{:.1f} mm of pucker"),
    ("draw_in_percent", "stay widest", "draw in most", "{:.1f} % narrower"),
)
"""By what motifs are ranked, what the best quarter and the worst are said to do, and in what unit."""
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
    for sentence in (*laws_said(told.found), *quarters_said(told.found)):
        page.say(sentence, wrap=True)
    page.say("")
    best, worst = ends_of(told.found, ENDS)
    page.table(_table("The best", told.scene, best))
    if worst:
        page.table(_table("The worst, the worst last", told.scene, worst))
    page.say(CAUTION, wrap=True)


def called(motif: Motif, scene: Scene) -> str:
    """Return what a motif is called: ``dots, 6 stitches x 2 rounds, no. 3``, the third of its size."""
    size = f"{count(motif.stitches, 'stitch')} x {count(motif.rows, row_word(scene))}, no. {motif.number}"
    return f"{motif.kind}, {size}" if motif.kind is not None else size


def asked_said(told: MotifsTold) -> str:
    """Return what was looked at."""
    rows, stitches = (max(getattr(one, side) for one in told.asked.motifs) for side in ("rows", "stitches"))
    some = "all" if told.there == len(told.asked.motifs) else f"the smallest {len(told.asked.motifs):,}"
    kind = "mirrored both ways, " if all(one.symmetric for one in told.asked.motifs) else ""
    left = "" if len(told.found) == len(told.asked.motifs) else f" {len(told.found):,} of them are here."
    return (
        f"Repeats of up to {count(rows, row_word(told.scene))} and {count(stitches, 'stitch')} ({MOST_SQUARES} squares "
        f"at the most), {kind}one of each kind that is the same but for shifting, mirroring, turning and swapping its "
        f"yarns: {some} of {told.there:,}. Each as the chart without end, every float carried alike.{left}"
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
        grows, shrinks = list[str](), list[str]()
        for cause, of in causes:
            causing, caused = [of(row) for row in rows], [round(row[key], 3) for row in rows]
            goes = goes_with(causing, caused)
            if abs(goes) >= GOES_WITH:
                (grows if goes > 0.0 else shrinks).append(f"{cause} ({goes:+.2f})")
        said = [f"{how} with {listed(some)}" for how, some in (("grows", grows), ("shrinks", shrinks)) if some]
        if said:
            made.append(f"{what} {listed(said)}: rank correlation, +1 being always together, -1 always against.")
    return made


def quarters_said(found: Sequence[tuple[Motif, MotifRow]]) -> list[str]:
    """Return what those motifs are like that lie flattest and those that stay widest, each against the other end, and
    how many are both; nothing where all are alike in it, or too few."""
    rows = [row for _, row in found if row["at_rest"]]
    size = len(rows) // 4
    if len(rows) < FEWEST_TOLD:
        return []
    said, good = [], []
    for key, best, worst, of in QUARTERS:
        ranked = sorted(range(len(rows)), key=lambda one, key=key: round(rows[one][key], 3))  # type: ignore[misc]
        ends = ranked[:size], ranked[-size:]
        (_, least), (most, _) = ([float(rows[end[at]][key]) for at in (0, -1)] for end in ends)
        if round(most - least, 1) <= 0.0:
            continue
        good.append(set(ends[0]))
        best_like, worst_like = (_like_said([rows[one] for one in end]) for end in ends)
        said.append(
            f"The {size} that {best} ({of.format(least)} at the most): {best_like}. "
            f"The {size} that {worst} ({of.format(most)} and more): {worst_like}."
        )
    if len(good) == len(QUARTERS):
        both = len(good[0] & good[1])
        said.append(
            f"Of the {size} that lie flattest {both or 'none'} {'are' if both > 1 else 'is'} among the {size} widest."
        )
    return said


def _like_said(rows: Sequence[MotifRow]) -> str:
    """Return what motifs are like: ``floats of 1 stitch in half of them, 1 to 2 in all, 41 % of their rows plain``."""
    gaps = sorted(int(row["longest_gap_stitches"]) for row in rows)
    middle, least, most = gaps[len(gaps) // 2], gaps[0], gaps[-1]
    span = "in all of them" if least == most else f"as a rule ({least} to {most})"
    often = sum(float(row["floats_per_stitch"]) for row in rows) / len(rows)
    plain = sum(float(row["plain_rows_percent"]) for row in rows) / len(rows)
    return (
        f"the longest float {count(middle, 'stitch')} {span}, {10.0 * often:.0f} floats to 10 stitches, "
        f"{plain:.0f} % of their rows plain"
    )


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


def _table(title: str, scene: Scene, ends: Sequence[tuple[Motif, MotifRow]]) -> Table:
    columns: dict[str, Literal["left", "right"]] = {"motif": "left", "rows from the top": "left"}
    for name in ("narrower %", "pucker mm", "puckers from %", "longest float"):
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
        lines.append((called(motif, scene), drawn, *numbers, str(row["longest_gap_stitches"])))
    return Table(title, columns, lines)
