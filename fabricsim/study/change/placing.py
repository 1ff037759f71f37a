"""The same motif placed otherwise: where the round begins, how repeats lie above one another, how it meets a count.

Where the round begins is a matter of counting floats that run over its join. How repeats lie above one another, and
with how many plain rows between, is told by the forecast of the chart without end, every float carried alike; so is
each way to meet a number of stitches, drawn all round with its plain stitches in their places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.errors import FabricsimError
from fabricsim.fabric.relax import Progress
from fabricsim.study.change.changing import bare
from fabricsim.study.change.search import floats_over
from fabricsim.study.forecast.forecast import Stage, forecast

PlacingKind = Literal["as it is", "half drop", "mirrored", "swapped", "plain rows"]
MOST_PLAIN, MOST_WIDER = 3, 2
"""Plain rows between repeats, and plain stitches beside each, that are tried at the most (chosen)."""


@dataclass(frozen=True)
class RoundBeginning:
    """A round that begins with this ``stitch`` of the chart, from 1 at its right: how many floats run over its join,
    how many stitches the ``longest`` of them passes and all ``together``, and how many floats of the piece are ``over``
    the limits."""

    stitch: int
    joins: int
    longest: int
    together: int
    over: int

    @property
    def order(self) -> tuple[int, int, int, int]:
        """The key by which the best comes first: the shortest floats over the join, then the fewest over the limits."""
        return self.longest, self.over, self.together, self.stitch


@dataclass(frozen=True)
class PlacedRepeats:
    """A way to lay repeats above one another, with so many ``plain`` rows between; the ``rows`` of a chart that has it;
    the share ``lost`` and the ``pucker`` (m) as an endless fabric, None where that finds no rest; floats ``over`` the
    limits in a repeat of the piece drawn so."""

    kind: PlacingKind
    plain: int
    rows: Rows
    lost: float | None
    pucker: float | None
    over: int


@dataclass(frozen=True)
class CountMet:
    """A way to meet a number of ``stitches``: ``repeats`` side by side, each with ``wider`` plain stitches beside it,
    and ``left`` plain ones at the end of the round; the share ``lost``, None where it finds no rest; ``around`` (m):
    how wide it lies then; floats ``over`` the limits in the piece."""

    stitches: int
    repeats: int
    wider: int
    left: int
    lost: float | None
    around: float | None
    over: int


def beginnings(scene: Scene) -> list[RoundBeginning]:
    """Return every stitch of the chart with which rounds may begin, the best first; nothing for flat or cut work."""
    if scene.cut_open:
        return []
    plain, chart_ij = bare(scene), scene.chart_rows()
    found = []
    for stitch in range(1, len(chart_ij[0]) + 1):
        wide = len(chart_ij[0])
        turned = tuple(tuple(row[(column - stitch + 1) % wide] for column in range(wide)) for row in chart_ij)
        other = redrawn(plain, turned)
        joins = [one for one in floats(other) if one.kind == "round join"]
        found.append(
            RoundBeginning(
                stitch,
                len(joins),
                max((one.gap for one in joins), default=0),
                sum(one.gap for one in joins),
                floats_over(other),
            )
        )
    return sorted(found, key=lambda one: one.order)


def placings(scene: Scene, stage: Stage | None = None) -> list[PlacedRepeats]:
    """Return the ways to lay repeats above one another, as forecast; one alone for a chart that is not repeated up."""
    made: list[tuple[PlacingKind, int, Rows]] = [("as it is", 0, tuple(map(tuple, scene.chart_rows())))]
    if scene.chart.up > 1:
        made += _other_placings(scene)
    plain, found = bare(scene), []
    for number, (kind, between, rows) in enumerate(made):
        tall = 1 if len(rows) == len(scene.chart_rows()) else 2
        other = redrawn(plain, rows, up=max(2, scene.chart.up // tall) if scene.chart.up > 1 else 1)
        lost, pucker = _forecast(other, stage, kind, number, len(made))
        found.append(PlacedRepeats(kind, between, rows, lost, pucker, floats_over(other)))
    return found


def _other_placings(scene: Scene) -> list[tuple[PlacingKind, int, Rows]]:
    rows = tuple(map(tuple, scene.chart_rows()))
    wide, yarns = len(rows[0]), sorted({yarn for row in rows for yarn in row})
    ground = _ground_yarn(scene)
    made: list[tuple[PlacingKind, int, Rows]] = []
    if wide > 1:
        made.append(("half drop", 0, (*rows, *(row[wide // 2 :] + row[: wide // 2] for row in rows))))
    mirrored = tuple(row[::-1] for row in rows)
    if mirrored != rows:
        made.append(("mirrored", 0, (*rows, *mirrored)))
    if len(yarns) == 2:
        made.append(("swapped", 0, (*rows, *(tuple(sum(yarns) - yarn for yarn in row) for row in rows))))
    made += [("plain rows", by, (*rows, *(((ground,) * wide,) * by))) for by in range(1, MOST_PLAIN + 1)]
    return made


def meetings(scene: Scene, stitches: int, stage: Stage | None = None) -> list[CountMet]:
    """Return the few ways in which a chart meets a number of ``stitches``: with as many repeats as go into it and plain
    stitches for what is left, and the counts next to it that take whole repeats; each as forecast."""
    rows, ground = tuple(map(tuple, scene.chart_rows())), _ground_yarn(scene)
    wide = len(rows[0])
    ways = {
        (stitches, stitches // (wide + wider), wider) for wider in range(MOST_WIDER + 1) if stitches >= wide + wider
    }
    ways |= {(wide * repeats, repeats, 0) for repeats in (stitches // wide, -(-stitches // wide)) if repeats}
    plain, found = bare(scene), []
    for number, (count, repeats, wider) in enumerate(sorted(ways)):
        left = count - repeats * (wide + wider)
        # knitted from the right: the plain stitches that are left end the round, at the left of the face
        repeat = tuple((ground,) * wider + row for row in rows)
        whole = tuple((ground,) * left + row * repeats for row in repeat)
        other = redrawn(plain, whole, 1) if left else redrawn(plain, repeat, repeats)
        lost, _ = _forecast(other, stage, f"{count} stitches", number, len(ways))
        around = None if lost is None else count * scene.gauge.stitch_width * (1.0 - lost)
        found.append(CountMet(count, repeats, wider, left, lost, around, floats_over(other)))
    return found


def redrawn(scene: Scene, rows: Sequence[Sequence[int]], across: int | None = None, up: int | None = None) -> Scene:
    """Return a scene with another chart, so often across and up, without catches and shaping, which would no longer
    fit."""
    chart = scene.chart.model_copy(
        update={
            "rows": tuple(printed_rows(tuple(map(tuple, rows)), scene.symbols)),
            "file": None,
            "image": None,
            "across": scene.chart.across if across is None else across,
            "up": scene.chart.up if up is None else up,
        }
    )
    return scene.model_copy(
        update={
            "chart": chart,
            "shaping": None,
            "floats": scene.floats.model_copy(update={"catches": (), "plan_catches": False}),
        }
    )


def _ground_yarn(scene: Scene) -> int:
    """Return the yarn of plain rows."""
    return 0 if scene.chart.plain_yarn is None else scene.symbols.index(scene.chart.plain_yarn)


def _forecast(scene: Scene, stage: Stage | None, said: str, number: int, of: int) -> tuple[float | None, float | None]:
    def begin(_name: str, way: int, _of: int) -> Progress | None:
        return stage(said, number, of) if stage is not None and way == 0 else None

    try:
        found = forecast(scene, "repeat", even=True, band=False, stage=begin)
    except FabricsimError:
        return None, None
    return max(0.0, found.measures.widths.overall), found.measures.pucker.peak_to_valley
