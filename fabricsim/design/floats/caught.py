"""A plan of catches as the knitter meets them: row by row, how far into which colour."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.catches.plan import VERY_LONG_CM, CatchPlan
from fabricsim.design.rows.squares import EVERY_STRAND, Hold, Layout, Passed, Repeat, Square, floats_behind, layout_of
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.units import CM


@dataclass(frozen=True)
class CaughtStitch:
    """A stitch behind which floats are caught: ``row`` and ``stitch`` of the chart from 1, from the bottom right.

    ``caught`` are the yarns that are held there, ``front`` is that of the stitch; in which ``repeat`` side by side it
    is done. It is the ``nth`` of ``run`` stitches of one colour, as the row is worked when the chart is first knitted;
    ``over_edge`` if that run began in the repeat before.
    """

    row: int
    stitch: int
    caught: tuple[int, ...]
    front: int
    repeat: Repeat
    nth: int
    run: int
    over_edge: bool
    listed: bool


def caught_stitches(scene: Scene, plan: CatchPlan) -> list[CaughtStitch]:
    """Return the catches of a ``plan`` in the order of the knitting."""
    chart_ij, layout = scene.chart_rows(), layout_of(scene)
    stitches = len(chart_ij[0])
    passing: dict[tuple[Square, Repeat], set[int]] = {}
    for one in floats_behind(chart_ij, layout):
        for step, square in enumerate(one.squares):
            for repeat in ("every", one.repeats[step]):  # a catch in every repeat may hold one at the join alone
                passing.setdefault((square, repeat), set()).add(one.yarn)
                if one.repeats[step] == "every":
                    passing.setdefault((square, "first"), set()).add(one.yarn)
                    passing.setdefault((square, "last"), set()).add(one.yarn)
    held: dict[tuple[Square, Repeat], set[Hold]] = {}
    for hold in plan.caught:
        held.setdefault((hold.square, hold.repeat), set()).add(hold)

    def made(square: Square, repeat: Repeat, step: int) -> CaughtStitch:
        row, column = square
        nth, run, over_edge = _place_in_run(chart_ij, square, step, layout)
        holds = held[square, repeat]
        yarns = passing.get((square, repeat), set())
        return CaughtStitch(
            row=row + 1,
            stitch=stitches - column,
            caught=tuple(sorted(yarn for yarn in yarns if {yarn, EVERY_STRAND} & {hold.yarn for hold in holds})),
            front=chart_ij[row][column],
            repeat=repeat,
            nth=nth,
            run=run,
            over_edge=over_edge,
            listed=holds <= plan.listed,
        )

    step_of = {row: -1 if right_to_left(scene, row) else 1 for row in range(len(chart_ij))}
    ordered = sorted(held, key=lambda at: (at[0][0], step_of[at[0][0]] * at[0][1], at[1]))
    return [made(square, repeat, step_of[square[0]]) for square, repeat in ordered]


def right_to_left(scene: Scene, row: int) -> bool:
    """Return whether a ``row`` of the chart, from 0, is worked right to left when the chart is first knitted."""
    return scene.worked == "round" or (scene.chart.plain_below + row) % 2 == 0


def turns(scene: Scene) -> bool:
    """Return whether a row of the chart is worked now from the one side, now from the other."""
    return scene.worked == "flat" and scene.chart.up > 1 and len(scene.chart_rows()) % 2 == 1


def very_long(scene: Scene) -> list[Passed]:
    """Return the floats, uncaught, that are so long that catching is the wrong cure, the longest first."""
    found = {(one.yarn, one.squares): one for one in floats_behind(scene.chart_rows(), layout_of(scene))}.values()
    wide = [one for one in found if len(one.squares) * scene.gauge.stitch_width > VERY_LONG_CM * CM * (1.0 + 1e-9)]
    return sorted(wide, key=lambda one: (-len(one.squares), one.squares[0][0], one.yarn))


def _place_in_run(chart_ij: Rows, square: Square, step: int, layout: Layout) -> tuple[int, int, bool]:
    """Return which stitch of its run of one colour a square is, of how many, and whether that began past the edge."""
    row_j, column = chart_ij[square[0]], square[1]
    stitches = len(row_j)

    def reach(way: int) -> int:
        """Return how many stitches of the run lie on this ``way``."""
        off = 0
        while off + 1 < stitches:
            there = column + way * (off + 1)
            if not (layout.across > 1 or 0 <= there < stitches) or row_j[there % stitches] != row_j[column]:
                break
            off += 1
        return off

    before, after = reach(-step), reach(step)
    return before + 1, before + after + 1, not 0 <= column - step * before < stitches
