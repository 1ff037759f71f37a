"""What of a tiled fabric belongs to one row looked at along the wales, and the plane that it is looked at in."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import taut
from fabricsim.fabric.mesh import LEFT, RIGHT
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import Tiling

LINE_STEPS = 8
"""Points of the fabric's middle line to one stitch (chosen: smooth to the eye)."""
BANDS = np.array([-0.45, 0.25])
"""Where the near, middle and far parts of a loop part, rows above its middle (chosen: sinkers, legs, head)."""
OVERLAP = 2
"""Points by which pieces of a loop overlap (chosen: less than shows as an end of its own)."""
EQUAL = 1e-6
"""What differs by less, as a share, differs by round-off (chosen)."""


@dataclass(frozen=True, eq=False)
class LoopPiece:
    """A piece of a loop: its ``path_kc`` (k, 2) float, m, its ``yarn``, and its ``band``, 0 far to 2 near."""

    path_kc: Floats
    yarn: int
    band: int


@dataclass(frozen=True, eq=False)
class Plane:
    """The plane square to the wales: ``origin_c`` and unit vectors ``axes_ac`` along the course, to the face and up."""

    origin_c: Floats
    axes_ac: Floats

    def of(self, x_pc: Floats) -> Floats:
        """Return points (p, 3) m along the axes."""
        out: Floats = (x_pc - self.origin_c) @ self.axes_ac.T
        return out


def says(equilibrium: Equilibrium) -> Floats:
    """Return what tells one float from another, (f,) float: its pull, or its length if all are slack."""
    taut_f = taut(equilibrium)
    return np.where(taut_f, equilibrium.tension_f, 0.0) if taut_f.any() else equilibrium.mesh.floats.length_f


def top_float(equilibrium: Equilibrium, tiling: Tiling, row: int) -> int | None:
    """Return which of a row's floats pulls hardest, by its number in the tiling, or is the longest if all are slack; of
    equals that in front."""
    number_f = np.flatnonzero(tiling.row_n[tiling.node_f2[:, 0]] == row)
    if len(number_f) == 0:
        return None
    says_f = says(equilibrium)[tiling.origin_f[number_f]]
    best_f = number_f[says_f >= says_f.max() * (1.0 - EQUAL)]
    return int(best_f[tiling.x_nc[tiling.node_f2[best_f], 2].mean(axis=1).argmax()])


def stitches_of(tiling: Tiling, row: int, top: int | None) -> Ints:
    """Return the stitches of a row from left to right; of a tube one whole turn of its spiral about the float ``top``,
    so that no join of rounds lies in what is shown."""
    node_r = np.flatnonzero(tiling.row_n == row)
    node_r = node_r[np.argsort(tiling.column_n[node_r], kind="stable")]
    if tiling.case != "round" or top is None:
        return node_r
    node = [int(tiling.node_f2[top, 0])]
    for direction in (LEFT, RIGHT):
        count = (len(node_r) - int(tiling.gap_f[top]) - 1) // 2 if direction == LEFT else len(node_r) - len(node)
        for _ in range(count):
            ahead = int(tiling.neighbour_n4[node[0 if direction == LEFT else -1], direction])
            if ahead >= tiling.stitches:
                break
            node = [ahead, *node] if direction == LEFT else [*node, ahead]
    return np.array(node, dtype=np.intp)


def plane_of(tiling: Tiling, node_r: Ints, top: int | None) -> Plane:
    x_rc = tiling.x_nc[node_r]
    if tiling.case != "round":
        return Plane(np.array([0.0, 0.0, x_rc[:, 2].mean()]), np.eye(3)[[0, 2, 1]])
    origin_c, front_c = x_rc.mean(axis=0), np.array([0.0, 0.0, 1.0])
    if top is not None:
        front_c = (tiling.x_nc[tiling.node_f2[top]].mean(axis=0) - origin_c) * [1.0, 0.0, 1.0]
        front_c /= np.linalg.norm(front_c)
    up_c = np.array([0.0, 1.0, 0.0])
    return Plane(origin_c, np.stack([np.cross(up_c, front_c), front_c, up_c]))


def middle_line(tiling: Tiling, node_r: Ints, plane: Plane) -> tuple[Floats, Floats]:
    """Return points (k, 2) of the smooth line through the stitches of the row, and where along it, (k,), stitches."""
    place_k = (np.arange(LINE_STEPS + 1) / LINE_STEPS) - 0.5
    node_p, u_p = np.repeat(node_r, LINE_STEPS), np.tile(place_k[:-1], len(node_r))
    node_p, u_p = np.append(node_p, node_r[-1]), np.append(u_p, 0.5)
    x_pc, _ = StitchSurface(tiling).at(node_p, u_p, np.zeros(len(u_p)))
    return plane.of(x_pc)[:, :2], np.arange(len(u_p)) / LINE_STEPS


def loop_pieces(tiling: Tiling, strands: Strands, plane: Plane, node_r: Ints) -> list[LoopPiece]:
    """Return the loops of a row in pieces of one band, which overlap a little so that no gap shows."""
    at_pc = plane.of(strands.x_pc)
    above_p = (at_pc[:, 2] - plane.of(tiling.x_nc)[strands.stitch_p, 2]) / tiling.height
    strand_p = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    in_row_p = np.isin(strands.stitch_p, node_r)
    mine_p = in_row_p & (strands.float_p < 0)
    # links that lead out of the row, up to another or to a loose end, are none of its loops
    for begin, end in _stretches(np.where(mine_p & strands.link_p, strand_p, -1)):
        inside = begin > 0 and end < len(strand_p) and strand_p[begin - 1] == strand_p[begin] == strand_p[end]
        if not (inside and in_row_p[begin - 1] and in_row_p[end]):
            mine_p[begin:end] = False
    band_p = 2 - np.searchsorted(BANDS, above_p)
    pieces = []
    for begin, end in _stretches(np.where(mine_p, 3 * strand_p + band_p, -1)):
        first, last = begin, end
        while first > max(0, begin - OVERLAP) and mine_p[first - 1] and strand_p[first - 1] == strand_p[begin]:
            first -= 1
        while last < min(len(mine_p), end + OVERLAP) and mine_p[last] and strand_p[last] == strand_p[begin]:
            last += 1
        if last - first > 1:
            pieces.append(LoopPiece(at_pc[first:last, :2], int(strands.yarn_s[strand_p[begin]]), int(band_p[begin])))
    return pieces


def _stretches(label_p: Ints) -> list[tuple[int, int]]:
    """Return where stretches of one label begin and end (one past), but for those of -1."""
    edges = np.flatnonzero(np.diff(label_p, prepend=label_p[0] - 1, append=label_p[-1] - 1)).tolist()
    return [(begin, end) for begin, end in pairwise(edges) if label_p[begin] >= 0]
