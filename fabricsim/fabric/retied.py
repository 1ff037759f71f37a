"""What comes of other floats in a row of a fabric at rest: estimated from where it rests now, with no new solve.

A float that goes leaves its pull out, one that comes is a spring that only pulls; the fabric between them gives way as
it does to small forces at its present rest. Since floats are a hundred times as stiff as what they bridge, the energy
that comes and goes is not enough to tell by: so the new pulls are found together, from how far each gives way to each
other one (a linear complementarity problem, a few floats at a time). All floats of the row may become taut or slack in
it; those of other rows, contacts, and the turning of the fabric stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Mask
from fabricsim.fabric.mesh import FloatTable, Mesh
from fabricsim.fabric.sensitivity import Sensitivity
from fabricsim.fabric.ties import ties_of, with_floats

TURNS = 12
"""Times that floats may turn taut or slack before the last answer is taken (chosen: two or three do)."""

TieKey = tuple[int, int, int, float]
"""A float: the column where its left end is, the stitches that it passes behind, its yarn, and how long it is, m."""


@dataclass(eq=False)
class RowTies:
    """The floats of a ``row``: the ``first`` of them are there at rest, others may come.

    ``give``: how far (m for N) each way lengthens less when each other one pulls; ``push_fm``: how much each measure of
    the sensitivity changes for a pull, with the sign turned.
    """

    known: Sensitivity
    row: int
    keys: list[TieKey] = field(default_factory=list)
    there: set[TieKey] = field(default_factory=set)
    over_f: Floats = field(default_factory=lambda: np.zeros(0))
    stiffness_f: Floats = field(default_factory=lambda: np.zeros(0))
    taut_f: Mask = field(default_factory=lambda: np.zeros(0, dtype=bool))
    give_ff: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    push_fm: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    _slope: sparse.csr_array | None = None
    _moved_qf: Floats | None = None

    @classmethod
    def of(cls, known: Sensitivity, row: int) -> RowTies:
        """Return the floats that a row has at rest."""
        made = cls(known, row)
        mesh, ties = known.rest.mesh, known.ties
        here = np.flatnonzero(mesh.row_n[mesh.floats.node_f2[:, 0]] == row)
        keys = keys_of(mesh, here)
        made.there = set(keys)
        made._add(keys, ties.slope[here], ties.over_f[here], ties.stiffness_f[here], ties.over_f[here] > 0.0)
        return made

    def learn(self, keys: Iterable[TieKey]) -> None:
        """Find out about floats that may come."""
        new = sorted(set(keys) - set(self.keys))
        if not new:
            return
        rest = self.known.rest
        free_f = rest.contact.energy.pattern.free_f
        mesh = with_floats(rest.mesh, _table(rest.mesh, self.row, new))
        ties = ties_of(mesh, rest.stiffness, rest.state, free_f)
        self._add(new, ties.slope, ties.over_f, ties.stiffness_f, np.zeros(len(new), dtype=bool))

    def changes(self, wanted: Iterable[TieKey]) -> Floats:
        """Return by how much each measure (m,) changes if the row has just these floats, of those learnt."""
        index = {key: number for number, key in enumerate(self.keys)}
        wanted_f = np.zeros(len(self.keys), dtype=bool)
        wanted_f[[index[key] for key in wanted]] = True
        pulls_f = wanted_f & (self.over_f > 0.0)
        beyond_f = np.zeros(len(self.keys))
        for _ in range(TURNS):
            other = np.flatnonzero(pulls_f != self.taut_f)
            beyond_f = np.zeros(len(self.keys))
            if len(other):
                # Beyond what the fabric at rest has of it: k times its length over for one that comes, less for one
                # that goes.
                k = np.where(pulls_f[other], 1.0, -1.0) * self.stiffness_f[other]
                matrix = np.eye(len(other)) + k[:, None] * self.give_ff[np.ix_(other, other)]
                beyond_f[other] = np.linalg.solve(matrix, k * self.over_f[other])
            now_f = wanted_f & (self.over_f - self.give_ff @ beyond_f > 0.0)
            if np.array_equal(now_f, pulls_f):
                break
            pulls_f = now_f
        return np.asarray(-beyond_f @ self.push_fm)

    def _add(
        self, keys: Sequence[TieKey], slope: sparse.csr_array, over_f: Floats, stiffness_f: Floats, taut_f: Mask
    ) -> None:
        moved_qf = self.known.response.moves(slope.T.toarray())
        if self._slope is not None and self._moved_qf is not None:
            slope = sparse.csr_array(sparse.vstack([self._slope, slope]))
            moved_qf = np.concatenate([self._moved_qf, moved_qf], axis=1)
        self._slope, self._moved_qf = slope, moved_qf
        self.keys += keys
        self.over_f = np.concatenate([self.over_f, over_f])
        self.stiffness_f = np.concatenate([self.stiffness_f, stiffness_f])
        self.taut_f = np.concatenate([self.taut_f, taut_f])
        self.give_ff = slope @ moved_qf
        self.push_fm = slope @ self.known.yield_fm


def keys_of(mesh: Mesh, float_b: Sequence[int] | np.ndarray) -> list[TieKey]:
    """Return what tells floats of one row apart."""
    table = mesh.floats
    return [
        (int(mesh.column_n[table.node_f2[f, 0]]), int(table.gap_f[f]), int(table.yarn_f[f]), float(table.length_f[f]))
        for f in np.asarray(float_b).tolist()
    ]


def _table(mesh: Mesh, row: int, keys: Sequence[TieKey]) -> FloatTable:
    """Return floats of one row of an endless fabric."""
    left_f, gap_f, yarn_f = (np.array([key[part] for key in keys], dtype=np.intp) for part in range(3))
    length_f = np.array([key[3] for key in keys])
    turn_f, right_f = divmod(left_f + gap_f + 1, mesh.stitches)
    times = 1.0 if mesh.needle_i is None else mesh.needle_i[row]
    span_f = np.asarray((gap_f + 1) * mesh.stitch_width * times, dtype=np.float64)
    begin = row * mesh.stitches
    return FloatTable(
        node_f2=np.stack([begin + left_f, begin + right_f], axis=1),
        shift_f2=np.stack([turn_f, np.zeros_like(turn_f)], axis=1),
        yarn_f=yarn_f,
        gap_f=gap_f,
        layer_f=np.zeros_like(gap_f),
        span_f=span_f,
        slack_f=length_f / span_f - 1.0,
        length_f=length_f,
    )
