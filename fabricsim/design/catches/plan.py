"""Where to catch floats that would be too long: the fewest catches, best placed, as the trade places them.

A catch holds one strand behind one square of the chart. It repeats with the chart, but where only the join of two
rounds needs it: then it is made in the repeat that begins the round, or in the one that ends it, and in no other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from fabricsim.design.catches.costs import Ground, Pair, Run, costs, placing_cost
from fabricsim.design.rows.squares import EVERY_STRAND, Hold, Layout, Passed, Square, floats_behind, layout_of
from fabricsim.design.scene.chart import Rows
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

Held = Mapping[Square, frozenset[int]]
"""The yarns that are held behind a stitch, by its row and column."""


@dataclass(frozen=True)
class CatchPlan:
    """Catches that are to be made, beside those ``listed`` by the designer.

    ``most``: how many stitches a float may pass behind. ``left_open``: stretches that no catch can cure, as no float at
    all may stay open (then nothing is planned). ``stacked``: catches that lie one on the other, as can't be helped, the
    lower one first; ``side_by_side``: behind two stitches that follow one another, likewise. ``cost``: what the places
    cost, see ``costs``. ``fewer``: how many fewer catches, as often as they are made side by side in the piece, might
    do at most; ``clashes_fewer``: how many fewer might lie stacked or side by side; ``cheaper``: by what share their
    places might cost less.
    """

    planned: frozenset[Hold]
    listed: frozenset[Hold]
    most: int
    left_open: tuple[Passed, ...] = ()
    stacked: tuple[Pair, ...] = ()
    side_by_side: tuple[Pair, ...] = ()
    cost: float = 0.0
    fewer: int = 0
    clashes_fewer: int = 0
    cheaper: float = 0.0

    @property
    def caught(self) -> frozenset[Hold]:
        """All catches."""
        return self.planned | self.listed

    @property
    def fewest_proven(self) -> bool:
        """Whether it is proven that there is no plan with fewer catches."""
        return self.fewer == 0

    @property
    def places_proven(self) -> bool:
        """Whether it is proven that there is none with as few that is better placed."""
        return self.fewer == 0 and self.clashes_fewer == 0 and self.cheaper == 0.0


def plan_of(scene: Scene, seconds: float = SECONDS) -> CatchPlan:
    """Return the plan for what the catches listed in a ``scene`` leave too long, taking so many ``seconds`` at most."""
    from fabricsim.colour import lab  # and numpy: only once there is something to plan

    return plan_catches(
        tuple(tuple(row) for row in scene.chart_rows()),
        layout_of(scene),
        scene.limits.most(scene.gauge.stitch_width),
        listed_holds(scene),
        tuple(lab([yarn.rgb for yarn in scene.yarns])[:, 0].tolist()),
        seconds,
    )


@lru_cache(maxsize=KEPT)
def plan_catches(
    chart_ij: Rows,
    layout: Layout,
    most: int,
    listed: frozenset[Hold],
    lightness_y: tuple[float, ...],
    seconds: float = SECONDS,
) -> CatchPlan:
    """Return the fewest catches that leave no float of the piece open behind more than ``most`` stitches, best placed.

    ``chart_ij``: tuples of yarn indices, row 0 at the bottom, column 0 at the left of the face. ``lightness_y``: L* of
    each yarn. Listed catches stay.
    """
    ground = Ground(len(chart_ij), len(chart_ij[0]), layout)
    floats = floats_behind(chart_ij, layout)
    long = list(dict.fromkeys(run for one in floats for run in one.open_parts(listed) if len(run.squares) > most))
    if not long or most == 0:
        long.sort(key=lambda run: (run.squares[0][0], -run.squares[0][1], run.yarn))
        return CatchPlan(
            frozenset(), listed, most, tuple(long), tuple(ground.stacked(listed)), tuple(ground.side_by_side(listed))
        )

    from fabricsim.design.catches.solver import Problem, solve

    runs = choices_along(long)
    cost_of = costs(chart_ij, runs, most, lightness_y, layout)
    found = solve(Problem(runs, most, listed, cost_of, ground), seconds)
    caught = found.holds | listed
    return CatchPlan(
        planned=found.holds,
        listed=listed,
        most=most,
        stacked=tuple(ground.stacked(caught)),
        side_by_side=tuple(ground.side_by_side(caught)),
        cost=placing_cost(found.holds, listed, cost_of, ground),
        fewer=found.fewer,
        clashes_fewer=found.clashes_fewer,
        cheaper=found.cheaper,
    )


def choices_along(runs: Iterable[Passed]) -> list[Run]:
    """Return the catches that would hold each of the open ``runs``, square after square.

    Over a join of rounds that is one made there alone; one that repeats with the chart only where another run needs
    that.
    """
    runs = list(runs)
    recurring = {
        hold for run in runs for step in range(len(run.squares)) for hold in run.choices(step)[:1]
        if hold.repeat == "every"
    }  # fmt: skip
    return [
        tuple(
            tuple(hold for hold in run.choices(step) if hold.repeat != "every" or hold in recurring)
            for step in range(len(run.squares))
        )
        for run in runs
    ]


# ---- as a scene has them -------------------------------------------------------------------------


def catches_of(scene: Scene) -> frozenset[Hold]:
    """Return all catches of a ``scene``, as listed and as planned."""
    return plan_of(scene).caught if scene.floats.plan_catches else listed_holds(scene)


def listed_holds(scene: Scene) -> frozenset[Hold]:
    """Return the catches that the designer listed."""
    stitches, symbols, once = scene.stitches_per_repeat, scene.symbols, scene.chart.across == 1
    return frozenset(
        Hold(
            catch.row - 1,
            stitches - catch.stitch,
            EVERY_STRAND if catch.yarn is None else symbols.index(catch.yarn),
            "every" if once or catch.repeat is None else catch.repeat,
        )
        for catch in scene.floats.catches
    )


def held_in_repeat(scene: Scene, holds: Collection[Hold] | None = None) -> Held:
    """Return what is held behind the squares of the chart endlessly repeated, by the catches of every repeat.

    ``holds``: catches in place of those of the ``scene``.
    """
    holds = catches_of(scene) if holds is None else holds
    return _held(scene, ((hold.square, hold) for hold in holds if hold.repeat == "every"))


def held_in_piece(scene: Scene, holds: Collection[Hold] | None = None) -> Held:
    """Return what may be held behind the stitches of the piece (where no such strand passes, nothing is)."""
    holds = catches_of(scene) if holds is None else holds
    chart, rows, stitches = scene.chart, len(scene.chart_rows()), scene.stitches_per_repeat
    repeats = {"every": range(chart.across), "first": (chart.across - 1,), "last": (0,)}
    return _held(
        scene,
        (
            ((chart.plain_below + above * rows + hold.row, number * stitches + hold.column), hold)
            for hold in holds
            for above in range(chart.up)
            for number in repeats[hold.repeat]
        ),
    )


def _held(scene: Scene, places: Iterable[tuple[Square, Hold]]) -> Held:
    everything = frozenset(range(len(scene.yarns)))
    held: dict[Square, frozenset[int]] = {}
    for place, hold in places:
        yarns = everything if hold.yarn == EVERY_STRAND else frozenset({hold.yarn})
        held[place] = held.get(place, frozenset()) | yarns
    return held


def as_catches(scene: Scene, holds: Iterable[Hold]) -> tuple[Catch, ...]:
    """Return catches as a ``scene`` lists them, from the bottom right; the yarn is named only where there are several
    that could be meant."""
    stitches, chart_ij = scene.stitches_per_repeat, scene.chart_rows()
    return tuple(
        Catch(
            row=hold.row + 1,
            stitch=stitches - hold.column,
            yarn=None if hold.yarn == EVERY_STRAND or len(set(chart_ij[hold.row])) <= 2 else scene.symbols[hold.yarn],
            repeat=None if hold.repeat == "every" else hold.repeat,
        )
        for hold in sorted(holds, key=lambda hold: (hold.row, -hold.column, hold.repeat, hold.yarn))
    )


def with_catches(scene: Scene, holds: Iterable[Hold]) -> Scene:
    """Return the ``scene`` with these catches and no others."""
    catches = as_catches(scene, holds)
    return scene.model_copy(
        update={"floats": scene.floats.model_copy(update={"catches": catches, "plan_catches": False})}
    )
