"""Where the stitches of shaped rows lie along their rows, each as upright as it can on those below.

Along a row stitches keep their widths, and each stands straight above what it stands on; where a stitch comes or goes
the two can't both be. Spaced evenly, a sleeve's round with a stitch more would lean from nought to a whole stitch all
the way round to its increase, a band of slanted stitches. So fabric gives along its rows and leans as stiffly as it
does against stretch and shear: what leans is a few columns beside the stitch that came or went, and its neighbours lie
a little closer.

Nor need the rounds of a tube lie level: where stitches come at a line, as under an arm, columns run on side by side to
both sides of it, and the rounds meet there at an angle, as the edges of a seam do. Kept level they would have columns
fan out, with stitches too wide far from any that came, and too narrow beside those. So stitches also go up and down, as
stiffly as fabric gives along its legs, and what leans is what isn't square to its round as that slopes.

All are springs of one unknown a stitch, or of two, so it is one sparse system of equations.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from fabricsim.arrays import Floats, Ints
from fabricsim.design.scene.made import TAKES
from fabricsim.fabric.standing import KINDS, Standing
from fabricsim.fabric.stiffness import Stiffness

HELD = 1e-9
"""Stiffness that holds each stitch where it lies evenly, over the greatest of the others (chosen: enough to say where
all of them lie, as they may be moved together)."""


@dataclass(frozen=True, eq=False)
class Lengths:
    """The gauge's lengths. ``along_n`` (n,) float: where each stitch lies along its row, m from the middle of a flat
    row, as a share of the round in a tube; ``width_i`` (rows,) m: how long each row is; ``slope_n`` (n,) float: by how
    much its row rises there to the right."""

    along_n: Floats
    width_i: Floats
    tube: bool
    row_height: float
    slope_n: Floats

    def sideways(self, standing: Standing, one_b: Ints, other_b: Ints) -> Floats:
        """Return how far to the right of ``one_b`` the stitches ``other_b`` lie (b,), m."""
        apart_b = self.along_n[other_b] - self.along_n[one_b]
        if not self.tube:
            return np.asarray(apart_b)
        return np.asarray((apart_b - np.round(apart_b)) * self.row_length(standing, one_b, other_b))

    def leaning(self, standing: Standing, one_b: Ints, other_b: Ints) -> Floats:
        """Return the same of stitches ``other_b`` of the row above, square to the rows as they slope, (b,) m."""
        slope_b = 0.5 * (self.slope_n[one_b] + self.slope_n[other_b])
        return np.asarray(self.sideways(standing, one_b, other_b) + self.row_height * slope_b)

    def weighing(self, standing: Standing, one_b: Ints, other_b: Ints) -> Floats:
        """Return how far (m) two stitches come apart for what ``along_n`` says, (b,)."""
        return self.row_length(standing, one_b, other_b) if self.tube else np.ones(len(one_b))

    def row_length(self, standing: Standing, one_b: Ints, other_b: Ints) -> Floats:
        """Return how long the rows of two stitches are on the average, (b,) m."""
        return np.asarray(0.5 * (self.width_i[standing.row_n[one_b]] + self.width_i[standing.row_n[other_b]]))


def lengths(standing: Standing, width_n: Floats, tube: bool, row_height: float, stiffness: Stiffness) -> Lengths:
    """Return where stitches of the widths ``width_n`` (n,) m lie along their rows, so high, in such fabric."""
    rows = len(standing.count_i)
    width_i = np.asarray(np.bincount(standing.row_n, weights=width_n, minlength=rows), dtype=np.float64)
    begin_i = np.concatenate([[0.0], np.cumsum(width_i)])[:-1]  # stitches are numbered row by row, from the left
    along_n = np.cumsum(width_n) - 0.5 * width_n - (begin_i + (1.0 if tube else 0.5) * width_i)[standing.row_n]
    if tube:
        along_n /= width_i[standing.row_n]
    even = Lengths(along_n, width_i, tube, row_height, np.zeros_like(along_n))
    moved_n, slope_n = _shared(standing, even, width_n, stiffness)
    return Lengths(even.along_n + moved_n, width_i, tube, row_height, slope_n)


def upright(standing: Standing, width_n: Floats) -> tuple[Ints, Floats]:
    """Return the legs that have a place where they stand upright, (b,) int, and how far to the right of its foot the
    head of each lies then, (b,) m: straight above it, or above the middle of all that it stands on. A stitch that is
    made on one foot lies wherever its row has room, and the drawn-up top on no side of any.
    """
    foot, head = standing.leg_b2.T
    feet_n = np.bincount(head, minlength=len(width_n))
    # legs come head by head, the feet of each from the right
    begins = np.concatenate([[0], np.flatnonzero(np.diff(head)) + 1])
    before_b = np.cumsum(width_n[foot]) - width_n[foot]
    from_right_b = before_b + 0.5 * width_n[foot] - np.repeat(before_b[begins], feet_n[head[begins]])
    middle_n = np.bincount(head, weights=from_right_b, minlength=len(width_n)) / np.maximum(feet_n, 1)
    made = np.array([TAKES[one] == 0 for one in KINDS])[standing.made_n]
    stands = np.flatnonzero(((feet_n > 1) | ~made)[head] & (head != standing.apex))
    return stands, (from_right_b - middle_n[head])[stands]


def _shared(standing: Standing, even: Lengths, width_n: Floats, stiffness: Stiffness) -> tuple[Floats, Floats]:
    """Return how far stitches move along their rows where widths and upright stitches come to rest, (n,) as in
    ``along_n``, and how their rows slope there, (n,): those of flat fabric not at all, as it is laid row on row."""
    stands, wanted_b = upright(standing, width_n)
    foot, head = standing.leg_b2[stands].T
    left, right = standing.course_b2.T
    width, count = float(np.median(width_n)), len(width_n)
    leans = stiffness.shear * width / even.row_height
    gives = stiffness.stretch_across * even.row_height / width
    lean_bn = _differences(even.weighing(standing, foot, head), foot, head, count)
    give_bn = _differences(even.weighing(standing, left, right), left, right, count)
    pull_b = wanted_b - even.sideways(standing, foot, head)
    if not even.tube:
        stiff_nn = leans * (lean_bn.T @ lean_bn) + gives * (give_bn.T @ give_bn)
        return _at_rest(sparse.csr_array(stiff_nn), leans * (lean_bn.T @ pull_b), count), np.zeros(count)
    grows = stiffness.stretch_up * width / even.row_height
    below, above = standing.leg_b2[standing.leg_b2[:, 1] != standing.apex].T
    slope_nn = _slopes(even, standing)
    tilt_bn = 0.5 * even.row_height * (slope_nn[foot] + slope_nn[head])
    grow_bn = _differences(np.ones(len(below)), below, above, count)
    stiff = sparse.block_array([
        [leans * (lean_bn.T @ lean_bn) + gives * (give_bn.T @ give_bn), leans * (lean_bn.T @ tilt_bn)],
        [leans * (tilt_bn.T @ lean_bn), leans * (tilt_bn.T @ tilt_bn) + grows * (grow_bn.T @ grow_bn)],
    ])  # fmt: skip
    pull = leans * np.concatenate([lean_bn.T @ pull_b, tilt_bn.T @ pull_b])
    moved = _at_rest(sparse.csr_array(stiff), pull, count)
    return moved[:count], np.asarray(slope_nn @ moved[count:])


def _at_rest(stiff: sparse.csr_array, pull: Floats, count: int) -> Floats:
    """Return where springs come to rest, of which every ``count`` unknowns are of one kind."""
    diagonal = np.asarray(stiff.diagonal(), dtype=np.float64)
    held = np.repeat(HELD * diagonal.reshape(-1, count).max(axis=1), count)
    matrix = sparse.csc_matrix(stiff + sparse.diags_array(held))
    # positive definite, so that every pivot may stay where it is: found twenty times as soon
    factors = splu(matrix, "MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return np.asarray(factors.solve(pull))


def _slopes(even: Lengths, standing: Standing) -> sparse.csr_array:
    """Return how rows slope at every stitch, the mean of the steps beside it, by how all of them rise, m."""
    left, right = standing.course_b2.T
    count = len(standing.row_n)
    rise_bn = _differences(1.0 / even.sideways(standing, left, right), left, right, count)
    beside = np.concatenate([left, right])
    share_b = 1.0 / np.bincount(beside, minlength=count)[beside]
    of_nb = sparse.csr_array((share_b, (beside, np.tile(np.arange(len(left)), 2))), shape=(count, len(left)))
    return sparse.csr_array(of_nb @ rise_bn)


def _differences(weight_b: Floats, one_b: Ints, other_b: Ints, count: int) -> sparse.csr_array:
    """Return the matrix (b, n) of differences from stitches ``one_b`` to ``other_b``, each so many times."""
    at = np.arange(len(one_b))
    entries = (np.concatenate([weight_b, -weight_b]), (np.tile(at, 2), np.concatenate([other_b, one_b])))
    return sparse.csr_array(entries, shape=(len(one_b), count))
