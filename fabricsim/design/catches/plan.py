"""Where to catch floats that would be too long: the fewest catches, best placed, as the trade places them.

A catch is a square of the chart; every float that passes behind it is held there. The plan repeats with the chart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import floor
from typing import TYPE_CHECKING

from fabricsim import units
from fabricsim.design.catches.costs import Pair, costs, placing_cost, stacked
from fabricsim.design.rows.squares import Layout, Passed, Square, floats_behind, layout_of
from fabricsim.design.scene.chart import Rows, RowsOfMarks
from fabricsim.design.scene.items import DEFAULT_LONGEST_CM
from fabricsim.design.scene.rules import Catch

if TYPE_CHECKING:
    from fabricsim.design.scene.model import Scene

SECONDS = 20.0
"""Time that a plan may take before the best found so far is taken (chosen: several times what a chart of 300 x 120
squares in two colours takes)."""
VERY_LONG_CM = 2.0 * DEFAULT_LONGEST_CM
"""Width of a gap in cm from which catching is the wrong cure (chosen: twice the longest float of common practice)."""
KEPT = 8
"""Plans kept for whoever asks again (chosen: a preview asks for the same one many times)."""


@dataclass(frozen=True)
class CatchPlan:
    """Squares where floats are to be caught, beside those ``listed`` by the designer.

    ``most``: how many stitches a float may pass behind. ``left_open``: stretches that no catch can cure, as no float at
    all may stay open (then nothing is planned). ``stacked``: catches that lie one on the other, as can't be helped, the
    lower one first. ``cost``: what the places cost, see ``catch_costs``. ``fewest_proven``, ``places_proven``: whether
    it is proven that there is no plan with fewer, and none better placed.
    """

    planned: frozenset[Square]
    listed: frozenset[Square]
    most: int
    left_open: tuple[Passed, ...] = ()
    stacked: tuple[Pair, ...] = ()
    cost: float = 0.0
    fewest_proven: bool = True
    places_proven: bool = True

    @property
    def caught(self) -> frozenset[Square]:
        """All squares where floats are caught."""
        return self.planned | self.listed


def longest_open(longest_gap: int, longest: float, stitch_width: float) -> int:
    """Return how many stitches a float may pass behind: the stricter of both limits (``longest`` in m)."""
    return min(longest_gap, floor(longest / stitch_width * (1.0 + 1e-9)))


def caught_rows(scene: Scene) -> RowsOfMarks:
    """Return where the chart's floats are caught, as listed and as planned, laid out as in ``Scene.chart_rows``."""
    caught = plan_of(scene).caught if scene.floats.plan_catches else listed_squares(scene)
    stitches = scene.stitches_per_repeat
    return [[(row, column) in caught for column in range(stitches)] for row in range(len(scene.chart_rows()))]


def plan_of(scene: Scene, seconds: float = SECONDS) -> CatchPlan:
    """Return the plan for what the catches listed in a ``scene`` leave too long, taking so many ``seconds`` at most."""
    from fabricsim.colour import lab  # and numpy: only once there is something to plan

    limits = scene.limits
    return plan_catches(
        tuple(tuple(row) for row in scene.chart_rows()),
        layout_of(scene),
        longest_open(limits.longest_gap, limits.longest_cm * units.CM, scene.gauge.stitch_width),
        listed_squares(scene),
        tuple(lab([yarn.rgb for yarn in scene.yarns])[:, 0].tolist()),
        seconds,
    )


@lru_cache(maxsize=KEPT)
def plan_catches(
    chart_ij: Rows,
    layout: Layout,
    most: int,
    listed: frozenset[Square],
    lightness_y: tuple[float, ...],
    seconds: float = SECONDS,
) -> CatchPlan:
    """Return the fewest catches that leave no float open behind more than ``most`` stitches, best placed.

    ``chart_ij``: tuples of yarn indices, row 0 at the bottom, column 0 at the left of the face. ``lightness_y``: L* of
    each yarn. Listed catches stay.
    """
    floats, rows = floats_behind(chart_ij, layout), len(chart_ij)
    runs = list(dict.fromkeys(run for one in floats for run in open_runs(one, listed) if len(run.squares) > most))
    if not runs or most == 0:
        runs.sort(key=lambda run: (run.squares[0][0], -run.squares[0][1], run.yarn))
        return CatchPlan(frozenset(), listed, most, tuple(runs), tuple(stacked(listed, rows, layout)))

    from fabricsim.design.catches.solver import Problem, solve

    cost_of = costs(chart_ij, floats, runs, most, lightness_y, layout)
    squares = list(dict.fromkeys(run.squares for run in runs))
    found = solve(Problem(squares, most, listed, cost_of, rows, layout), seconds)
    return CatchPlan(
        planned=found.squares,
        listed=listed,
        most=most,
        stacked=tuple(stacked(found.squares | listed, rows, layout)),
        cost=placing_cost(found.squares, listed, cost_of, rows, layout),
        fewest_proven=found.fewest_proven,
        places_proven=found.places_proven,
    )


def open_runs(one: Passed, caught: frozenset[Square]) -> Iterator[Passed]:
    """Yield the stretches of a float between the squares where it is ``caught``."""
    run: list[Square] = []
    for square in one.squares:
        if square not in caught:
            run.append(square)
            continue
        if run:
            yield Passed(one.yarn, tuple(run))
        run = []
    if run:
        yield Passed(one.yarn, tuple(run))


def listed_squares(scene: Scene) -> frozenset[Square]:
    """Return the squares that the designer listed."""
    stitches = scene.stitches_per_repeat
    return frozenset((catch.row - 1, stitches - catch.stitch) for catch in scene.floats.catches)


def as_catches(squares: Iterable[Square], stitches: int) -> tuple[Catch, ...]:
    """Return squares as a scene lists them, from the bottom right of a chart so many ``stitches`` wide."""
    listed = sorted((row + 1, stitches - column) for row, column in squares)
    return tuple(Catch(row=row, stitch=stitch) for row, stitch in listed)


def with_catches(scene: Scene, squares: Iterable[Square]) -> Scene:
    """Return the ``scene`` with its floats caught behind these squares and no others."""
    catches = as_catches(squares, scene.stitches_per_repeat)
    return scene.model_copy(
        update={"floats": scene.floats.model_copy(update={"catches": catches, "plan_catches": False})}
    )
