"""The terms of shaped fabric: bars along rows and up legs, shear and bending, where rows differ in their count.

They are those of plain fabric (``build.py``), element by element, on whatever stands on what. A cell with three
corners has no shear and no twist of its own: its three bars hold it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.edges import curls
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP, Mesh
from fabricsim.fabric.rib import RIB_WIDTH, rib_of
from fabricsim.fabric.standing import Standing
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.bend import Curvature
from fabricsim.mechanics.energies.coupling import StrainProduct
from fabricsim.mechanics.energies.twist import Twist
from fabricsim.mechanics.laws import Elastic, Knitted, Law, Proportional
from fabricsim.mechanics.terms import Geometry, Term

ACROSS = "bend across"
"""The name of the bends along rows."""

LawAtRest = Callable[[Floats], Law]


def shaped_terms(mesh: Mesh, stiffness: Stiffness, where: str) -> list[Term]:
    """Return the terms of a shaped ``mesh``, at rest in its rest positions.

    Raises InputError, naming ``where``, if the stiffness is not positive definite.
    """
    made = Elements(mesh, stiffness, where)
    stretch = [one.at_rest(one.measured(mesh.rest_nc)) for one in made.bars]
    return [
        *stretch,
        made.coupling(mesh.rest_nc),
        *(one.at_rest(one.measured(mesh.rest_nc) + one.curl_b) for one in made.bends),
    ]


@dataclass(frozen=True, eq=False)
class Element:
    """Elements of one kind, before it is known how they rest. ``curl_b``: what they are bent by beyond their shape."""

    name: str
    geometry: Geometry
    node_bp: Ints
    law: LawAtRest
    curl_b: Floats | float = 0.0

    def measured(self, x_nc: Floats) -> Floats:
        """Return the measure (b,) of each with the stitches at ``x_nc`` (n, 3) m."""
        return self.at_rest(np.ones(len(self.node_bp))).measures(x_nc)

    def at_rest(self, rest_b: Floats) -> Term:
        """Return the term that is at rest at these measures."""
        return Term(self.name, self.geometry, self.law(rest_b), self.node_bp)


class Elements:
    """The elements of a shaped mesh."""

    def __init__(self, mesh: Mesh, stiffness: Stiffness, where: str) -> None:
        assert mesh.standing is not None
        self._standing: Standing = mesh.standing
        self._w, self._c = mesh.stitch_width, mesh.row_height
        ribbed = self._standing.ribbed_n
        self._plain = stiffness
        self._rib = rib_of(stiffness, (RIB_WIDTH * self._w / self._c) ** 2) if ribbed.any() else stiffness
        self._plain_bars = bars_of(self._plain, self._w, self._c, where)
        self._rib_bars = bars_of(self._rib, RIB_WIDTH * self._w, self._c, where) if ribbed.any() else self._plain_bars
        self._across_n, self._up_n = curls(mesh, stiffness)
        self.width_n: Floats = np.where(ribbed, RIB_WIDTH * self._w, self._w)

    def _mixed(self, of: Callable[[Stiffness], float], node_bp: Ints) -> Floats:
        """Return a figure of the fabric at each element, the mean over its stitches."""
        return self._mean(of(self._plain), of(self._rib), node_bp)

    def _mean(self, plain: float, rib: float, node_bp: Ints) -> Floats:
        mean_b: Floats = np.where(self._standing.ribbed_n[node_bp], rib, plain).mean(axis=1)
        return mean_b

    @cached_property
    def bars(self) -> list[Element]:
        """Along rows, up legs, and the diagonals of cells."""
        s = self._standing
        made = []
        for name, node_b2, lock_b in (
            ("course", s.course_b2, self._mixed(lambda a: a.lock_across, s.course_b2)),
            ("wale", s.leg_b2, self._mixed(lambda a: a.lock_up, s.leg_b2)),
        ):
            k_b, part_b = (
                self._mean(getattr(self._plain_bars, one), getattr(self._rib_bars, one), node_b2)
                for one in (name, f"{name}_part")
            )
            law = partial(
                _knitted,
                k_b * self._celled(node_b2),
                lock_b,
                1.0 + part_b * (self._mixed(lambda a: a.lock_ratio, node_b2) - 1.0),
                self._mixed(lambda a: a.jam, node_b2),
                1.0 + part_b * (self._mixed(lambda a: a.jam_ratio, node_b2) - 1.0),
            )
            made.append(Element(name, Distance(), node_b2, law))
        for name, corners in (("shear right", [0, 3]), ("shear left", [1, 2])):
            node_b2 = self._quad_s4[:, corners]
            k_b = self._mean(self._plain_bars.diagonal, self._rib_bars.diagonal, node_b2)
            made.append(Element(name, Distance(), node_b2, _elastic(k_b)))
        return made

    def coupling(self, rest_nc: Floats) -> Term:
        """Return what ties the strains of each cell to each other, none at the rest positions."""
        cell = self._quad_s4
        length = np.linalg.norm(rest_nc[cell[:, [1, 3, 2, 3]]] - rest_nc[cell[:, [0, 2, 0, 1]]], axis=2)
        across_b, up_b = length[:, :2].mean(axis=1), length[:, 2:].mean(axis=1)
        # by the cell as it lies, as the bars about it go by their own lengths: so that all stay positive definite
        factor_b = self._mean(self._plain_bars.coupling, self._rib_bars.coupling, cell) * across_b * up_b
        return Term("coupling", StrainProduct(across_b, up_b), Proportional(factor_b), cell)

    @cached_property
    def bends(self) -> list[Element]:
        """Twist of cells, and bending along rows and up legs."""
        s, cell = self._standing, self._quad_s4
        twist = 2.0 * self._mixed(lambda a: a.twist, cell) * self._area(cell)
        made = [Element("twist", Twist(self._w * self._c), cell, _elastic(twist))]
        left, right, down, up = (s.neighbour_n4[:, way] for way in (LEFT, RIGHT, DOWN, UP))
        here = np.arange(len(left))
        kept = (left >= 0) & (right >= 0) & ((down >= 0) | (up >= 0)) & (here != s.apex)
        line = np.stack([left, here, right, np.where(down >= 0, down, here), np.where(up >= 0, up, here)], axis=1)[kept]
        share = 0.5 * ((down >= 0) * 1.0 + (up >= 0))[kept]
        made.append(self._bent(ACROSS, line, Curvature(self._w), share, lambda a: a.bend_across, self._across_n))
        line, share = self._lines_up()
        curved = Curvature(self._c, flip=True)
        made.append(self._bent("bend up", line, curved, share, lambda a: a.bend_up, self._up_n))
        if s.apex >= 0:
            line = self._over_the_top()
            share = np.full(len(line), 1.0 / len(line))
            made.append(self._bent("bend over", line, curved, share, lambda a: a.bend_up, np.zeros_like(self._up_n)))
        return made

    def _bent(
        self,
        name: str,
        line_b5: Ints,
        geometry: Curvature,
        share_b: Floats,
        of: Callable[[Stiffness], float],
        curl_n: Floats,
    ) -> Element:
        rigidity_b = self._mixed(of, line_b5[:, 1:2]) * self._area(line_b5[:, 1:2]) * share_b
        return Element(name, geometry, line_b5, _elastic(rigidity_b), curl_n[line_b5[:, 1]])

    def _lines_up(self) -> tuple[Ints, Floats]:
        """Return a line from each leg below a stitch to each above it, and the share that each has of the stitch."""
        s = self._standing
        legs_up = s.leg_b2[np.argsort(s.leg_b2[:, 0], kind="stable")]
        count = len(s.row_n)
        heads = np.bincount(s.leg_b2[:, 0], minlength=count)
        feet = np.bincount(s.leg_b2[:, 1], minlength=count)
        first = np.concatenate([[0], np.cumsum(heads)])
        through = s.leg_b2[s.leg_b2[:, 1] != s.apex] if s.apex >= 0 else s.leg_b2
        again = heads[through[:, 1]]
        below = np.repeat(through[:, 0], again)
        here = np.repeat(through[:, 1], again)
        nth = np.arange(len(here)) - np.repeat(np.cumsum(again) - again, again)
        above = legs_up[first[here] + nth, 1]
        left, right = s.neighbour_n4[here, LEFT], s.neighbour_n4[here, RIGHT]
        kept = (left >= 0) | (right >= 0)
        share = 0.5 * ((left >= 0) * 1.0 + (right >= 0)) / (feet[here] * heads[here])
        line = np.stack(
            [below, here, above, np.where(left >= 0, left, here), np.where(right >= 0, right, here)], axis=1
        )
        return line[kept], share[kept]

    def _over_the_top(self) -> Ints:
        """Return the lines over the drawn-up top, from a last stitch to the one opposite."""
        s = self._standing
        last = s.leg_b2[s.leg_b2[:, 1] == s.apex, 0]
        many, half = len(last), max(1, len(last) // 2)
        # the sequence runs to the left: going up over the top from one stitch, a quarter further on lies at the left
        first = np.arange(half)
        quarter = max(1, half // 2)
        return np.stack(
            [
                last[first],
                np.full(half, s.apex),
                last[(first + half) % many],
                last[(first + quarter) % many],
                last[(first + half + quarter) % many],
            ],
            axis=1,
        )

    def _area(self, node_bp: Ints) -> Floats:
        """Return the area that each element stands for, m2: a stitch's."""
        area_b: Floats = self.width_n[node_bp].mean(axis=1) * self._c
        return area_b

    @cached_property
    def _quad_s4(self) -> Ints:
        return self._standing.cell_s4[~self._standing.triangle_s]

    def _celled(self, node_b2: Ints) -> Floats:
        """Return how much of a bar there is: half for each cell beside it."""
        s, count = self._standing, len(self._standing.row_n)
        sides = [s.cell_s4[:, pair] for pair in ([0, 1], [2, 3], [0, 2], [1, 3])]
        edges = np.sort(np.concatenate([side[side[:, 0] != side[:, 1]] for side in sides]), axis=1)
        known, times = np.unique(edges[:, 0] * count + edges[:, 1], return_counts=True)
        key = np.sort(node_b2, axis=1) @ np.array([count, 1])
        at = np.minimum(np.searchsorted(known, key), len(known) - 1)
        return 0.5 * np.where(known[at] == key, times[at], 0)


def _knitted(k_b: Floats, lock_b: Floats, ratio_b: Floats, jam_b: Floats, jammed_b: Floats, rest_b: Floats) -> Law:
    return Knitted(k_b, rest_b, lock_b, ratio_b, jam_b, jammed_b)


def _elastic(stiffness_b: Floats) -> LawAtRest:
    return lambda rest_b: Elastic(stiffness_b, rest_b)
