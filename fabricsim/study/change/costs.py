"""What pulls: which floats and rows cost a chart its width, and which squares of other yarn would free it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fabricsim.design.rows.squares import Hold, Square
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import Measures, widths
from fabricsim.fabric.sensitivity import Sensitivity, sensitivity
from fabricsim.study.change.catching import catches_change
from fabricsim.study.change.charted import ChartAtRest, at_rest_as_charted
from fabricsim.study.forecast.forecast import Forecast, Stage, forecast

FloatPlace = tuple[int, int, int, int]
"""A float by the chart: its row, the column at its left end, the stitches that it passes behind, its yarn."""


@dataclass(frozen=True)
class Freed:
    """What one square in another yarn, or one catch, is reckoned to change: the share ``lost``, and ``rough`` (m),
    pucker as root mean square."""

    lost: float
    rough: float


@dataclass(frozen=True, eq=False)
class Costs:
    """What costs the width of a ``scene`` in a load ``case``, every float carried alike.

    ``found``: its forecast so; ``floats``, ``rows``: the share of the width that each costs, in all repeats together;
    ``by_slack``: how much less of the width is lost for every unit of slack more, of all floats and, ``row_by_slack``,
    of those of a row of the chart; ``squares``: what each square in another yarn of its row would change in the chart
    as an endless fabric, which is ``charted``; ``catches``: what each catch more would, or a listed one left out.
    """

    scene: Scene
    case: Case
    found: Forecast
    floats: Mapping[FloatPlace, float]
    rows: Mapping[int, float]
    by_slack: float
    row_by_slack: Mapping[int, float]
    squares: Mapping[tuple[Square, int], Freed]
    catches: Mapping[Hold, Freed]
    charted: ChartAtRest

    @property
    def measures(self) -> Measures:
        return self.found.measures

    @property
    def endless(self) -> float:
        """The share of the width that the chart loses as an endless fabric."""
        return widths(self.charted.rest).overall

    @property
    def told(self) -> float:
        """The share of the width that all floats together are reckoned to cost."""
        return sum(self.floats.values())


def costs_of(
    scene: Scene,
    case: Case | None = None,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
    stage: Stage | None = None,
) -> Costs:
    """Return what costs the width of a ``scene``; ``slack`` and ``inside_out`` are those of ``forecast``.

    Raises InputError for what can't be built, NoEquilibriumError if it finds no rest or rests on the verge of another
    shape.
    """
    found = forecast(scene, case, slack=slack, inside_out=inside_out, even=True, band=False, branch=False, stage=stage)
    charted = at_rest_as_charted(scene, slack=slack)
    endless = found.equilibrium.mesh.case == "repeat"
    known = charted.known if endless else sensitivity(found.equilibrium)
    floats, by_float = _by_chart(scene, known, 0 if endless else scene.chart.plain_below)
    rows: dict[int, float] = {}
    for place, cost in floats.items():
        rows[place[0]] = rows.get(place[0], 0.0) + cost
    row_by_slack: dict[int, float] = {}
    for place, slope in by_float.items():
        row_by_slack[place[0]] = row_by_slack.get(place[0], 0.0) - slope
    return Costs(
        scene=scene,
        case=found.equilibrium.mesh.case,
        found=found,
        floats=floats,
        rows=rows,
        by_slack=-float(known.loss_f.sum()),
        row_by_slack=row_by_slack,
        squares=squares_of(charted),
        catches={hold: Freed(*change) for hold, change in catches_change(charted).items()},
        charted=charted,
    )


def _by_chart(scene: Scene, known: Sensitivity, below: int) -> tuple[dict[FloatPlace, float], dict[FloatPlace, float]]:
    """Return what every float of the chart costs, and how the loss changes with its slack, all its copies together;
    so many plain rows lie ``below`` the chart."""
    mesh, wide, tall = known.rest.mesh, scene.stitches_per_repeat, len(scene.chart_rows())
    costs: dict[FloatPlace, float] = {}
    slopes: dict[FloatPlace, float] = {}
    table = mesh.floats
    for f, node in enumerate(table.node_f2[:, 0].tolist()):
        row, column = int(mesh.row_n[node]), int(mesh.column_n[node])
        place = ((row - below) % tall, column % wide, int(table.gap_f[f]), int(table.yarn_f[f]))
        costs[place] = costs.get(place, 0.0) + float(known.cost_f[f])
        slopes[place] = slopes.get(place, 0.0) + float(known.loss_f[f])
    return costs, slopes


def squares_of(charted: ChartAtRest) -> dict[tuple[Square, int], Freed]:
    """Return what every square of a chart in each other yarn of its row would change, never freeing more than is lost;
    rows of one yarn, and squares with a catch, are left out."""
    all_lost = max(0.0, widths(charted.rest).overall)
    found: dict[tuple[Square, int], Freed] = {}
    for row, yarn_j in enumerate(charted.scene.chart_rows()):
        yarns = sorted(set(yarn_j))
        if len(yarns) == 1:
            continue
        made = {}
        for column, own in enumerate(yarn_j):
            if (row, column) in charted.held:
                continue
            for yarn in yarns:
                if yarn != own:
                    made[column, yarn] = charted.row_keys(row, [*yarn_j[:column], yarn, *yarn_j[column + 1 :]])
        charted.learn(row, [key for keys in made.values() for key in keys])
        for (column, yarn), keys in made.items():
            lost, rough = charted.estimate({row: keys})
            found[(row, column), yarn] = Freed(max(lost, -all_lost), rough)
    return found


def most_costly(rows: Mapping[int, float], share: float) -> list[int]:
    """Return the fewest rows that cost at least this ``share`` of what all cost, the lowest first."""
    total, sum_, chosen = sum(rows.values()), 0.0, []
    for row in sorted(rows, key=lambda one: (-rows[one], one)):
        if sum_ >= share * total - 1e-12:
            break
        chosen.append(row)
        sum_ += rows[row]
    return sorted(chosen)


def ordered(squares: Mapping[tuple[Square, int], Freed]) -> list[tuple[tuple[Square, int], Freed]]:
    """Return the squares, those that free the most width first."""
    return sorted(squares.items(), key=lambda one: (one[1].lost, one[0]))
