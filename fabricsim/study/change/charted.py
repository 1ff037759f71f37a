"""A chart as an endless fabric at rest, every float carried alike, and what other stitches would make of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from fabricsim.design.catches.plan import Held, held_in_repeat
from fabricsim.design.floats.found import find_floats
from fabricsim.design.floats.of_scene import in_bands
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import build_mesh, on_needles
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.retied import RowTies, TieKey, keys_of
from fabricsim.fabric.sensitivity import Sensitivity, sensitivity
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.hands.hand import steady
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands, carrying

LOSS, ROUGH = 0, -1
"""Where the overall loss and the pucker stand among the measures of a sensitivity."""


@dataclass(eq=False)
class ChartAtRest:
    """The chart of a ``scene`` at ``rest`` in such ``hands``, and how its measures hang on its floats; ``slack``: in
    place of every slack of the scene."""

    scene: Scene
    hands: Hands
    rest: Equilibrium
    slack: float | None = None
    _rows: dict[int, RowTies] = field(default_factory=dict)

    @cached_property
    def known(self) -> Sensitivity:
        """How the measures of the rest hang on its floats."""
        return sensitivity(self.rest)

    @cached_property
    def held(self) -> Held:
        """Which yarns are caught behind which squares."""
        return held_in_repeat(self.scene)

    def row_keys(self, row: int, yarn_j: Sequence[int], held: Held | None = None) -> list[TieKey]:
        """Return the floats of a row if its stitches are of these yarns; ``held``: with these catches."""
        return keys_of_row(self, row, yarn_j, self.held if held is None else held)

    def estimate(self, rows: Mapping[int, Sequence[TieKey]]) -> tuple[float, float]:
        """Return by how much the share lost and the pucker (root mean square, m) change if these rows have just these
        floats. Rows are taken one by one: what one makes of another is left out."""
        total = np.zeros(2)
        for row, keys in rows.items():
            ties = self._row(row)
            ties.learn(keys)
            total += ties.changes(keys)[[LOSS, ROUGH]]
        return float(total[0]), float(total[1])

    def learn(self, row: int, keys: Sequence[TieKey]) -> None:
        """Find out about floats of a row that may be asked for: many at once are quicker."""
        self._row(row).learn(keys)

    def _row(self, row: int) -> RowTies:
        if row not in self._rows:
            self._rows[row] = RowTies.of(self.known, row)
        return self._rows[row]


def at_rest_as_charted(
    scene: Scene,
    start: Equilibrium | None = None,
    progress: Progress | None = None,
    *,
    slack: float | None = None,
) -> ChartAtRest:
    """Return the chart of a ``scene`` at rest, all of it as typed; ``slack`` takes the place of every slack in it.

    Raises NoEquilibriumError.
    """
    fabric = set_up(scene, "repeat", slack=slack)
    hands = carrying(scene, "repeat", other_slack=slack is not None, even=True)
    knitted = in_hand(fabric, steady(fabric), hands)
    return ChartAtRest(scene, hands, come_to_rest(knitted, start, progress, whole=True), slack)


def keys_of_row(chart: ChartAtRest, row: int, yarn_j: Sequence[int], held: Held) -> list[TieKey]:
    """Return the floats of a row of these yarns in the hands of the ``chart``."""
    scene, mesh = chart.scene, chart.rest.mesh
    if len(set(yarn_j)) == 1:
        return []
    found = find_floats(
        [list(yarn_j)],
        closing="row",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if chart.slack is None else [chart.slack] * len(scene.yarns),
        catches={(0, column): yarns for (at, column), yarns in held.items() if at == row},
        from_below=scene.strands_from_below,
    )
    if chart.slack is None:
        found = in_bands(scene, found, lambda _: row)
    line = build_mesh(
        np.array([yarn_j]),
        found,
        "repeat",
        stitch_width=mesh.stitch_width,
        row_height=mesh.row_height,
        thickness=mesh.thickness,
    )
    if mesh.needle_i is not None:
        line = on_needles(line, mesh.needle_i[[row]])
    fabric = Fabric(scene, found, line, chart.rest.stiffness, chart.rest.contact.fabric.where)
    knitted = in_hand(fabric, steady(fabric), chart.hands)
    return keys_of(knitted.mesh, range(len(found)))
