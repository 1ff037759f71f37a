"""Where the stitches of shaped rows lie along their rows, each as upright as it can on those below.

Along a row stitches keep their widths, and each stands straight above what it stands on; where a stitch comes or goes
the two can't both be. Spaced evenly, a sleeve's round with a stitch more would lean from nought to a whole stitch all
the way round to its increase, a band of slanted stitches. So fabric gives along its rows and leans as stiffly as it
does against stretch and shear: what leans is a few columns beside the stitch that came or went, and its neighbours lie
a little closer. Both are springs of one unknown a stitch, so it is one sparse system of equations.
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
    row, as a share of the round in a tube; ``width_i`` (rows,) m: how long each row is."""

    along_n: Floats
    width_i: Floats
    tube: bool
    row_height: float

    def sideways(self, standing: Standing, one_b: Ints, other_b: Ints) -> Floats:
        """Return how far to the right of ``one_b`` the stitches ``other_b`` lie (b,), m."""
        apart_b = self.along_n[other_b] - self.along_n[one_b]
        if not self.tube:
            return np.asarray(apart_b)
        return np.asarray((apart_b - np.round(apart_b)) * self.row_length(standing, one_b, other_b))

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
    even = Lengths(along_n, width_i, tube, row_height)
    moved_n = _shared(standing, even, width_n, stiffness)
    return Lengths(even.along_n + moved_n, width_i, tube, row_height)


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


def _shared(standing: Standing, even: Lengths, width_n: Floats, stiffness: Stiffness) -> Floats:
    """Return how far stitches move along their rows where widths and upright stitches come to rest, (n,) as in
    ``along_n``."""
    stands, wanted_b = upright(standing, width_n)
    foot, head = standing.leg_b2[stands].T
    left, right = standing.course_b2.T
    width = float(np.median(width_n))
    leans = stiffness.shear * width / even.row_height
    gives = stiffness.stretch_across * even.row_height / width
    lean_bn = _differences(standing, even, foot, head)
    give_bn = _differences(standing, even, left, right)
    stiff_nn = leans * (lean_bn.T @ lean_bn) + gives * (give_bn.T @ give_bn)
    pull_n = leans * (lean_bn.T @ (wanted_b - even.sideways(standing, foot, head)))
    held_n = np.full(len(width_n), HELD * stiff_nn.diagonal().max())
    return np.asarray(splu(sparse.csc_matrix(stiff_nn + sparse.diags_array(held_n)), "MMD_AT_PLUS_A").solve(pull_n))


def _differences(standing: Standing, even: Lengths, one_b: Ints, other_b: Ints) -> sparse.csr_array:
    """Return how far to the right of ``one_b`` stitches ``other_b`` come, m, by how all move along their rows."""
    long_b = even.row_length(standing, one_b, other_b) if even.tube else np.ones(len(one_b))
    at = np.arange(len(one_b))
    entries = (np.concatenate([long_b, -long_b]), (np.tile(at, 2), np.concatenate([other_b, one_b])))
    return sparse.csr_array(entries, shape=(len(one_b), len(standing.row_n)))
