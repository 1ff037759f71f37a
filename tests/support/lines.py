"""Lines behind the fabric, straight from the positions of the stitches: an independent look at how floats run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.fabric.mesh import Mesh


@dataclass(frozen=True)
class Line:
    """The backs ``back_kc`` (k, 3), m, of the stitches from end to end of a float, with normals, and the rulings."""

    back_kc: Floats
    normal_kc: Floats
    y_c: Floats

    def _seen(self) -> Floats:
        """Return the backs as seen along the rulings: (k, 3) without what they have along y."""
        return self.back_kc - np.outer(self.back_kc @ self.y_c, self.y_c)

    def cut(self, pressed: Sequence[int]) -> float:
        """Return by how much (m) the line from end to end over the stitches ``pressed`` cuts into any that it passes.

        The face of a piece of the line is its direction x y.
        """
        seen_kc, corner = self._seen(), [0, *pressed, len(self.back_kc) - 1]
        deepest = 0.0
        for begin, end in pairwise(corner):
            way_c = seen_kc[end] - seen_kc[begin]
            face_c = np.cross(way_c, self.y_c) / np.linalg.norm(way_c)
            for k in range(begin + 1, end):
                deepest = max(deepest, float(-face_c @ (seen_kc[k] - seen_kc[begin])))
        return deepest

    def length(self, pressed: Sequence[int]) -> float:
        """Return how long it is (m) over the stitches ``pressed``: unrolled along the rulings, it is straight."""
        corner_kc = self._seen()[[0, *pressed, len(self.back_kc) - 1]]
        seen = np.linalg.norm(np.diff(corner_kc, axis=0), axis=1).sum()
        return float(np.hypot(seen, (self.back_kc[-1] - self.back_kc[0]) @ self.y_c))


def line_of(mesh: Mesh, x_nc: Floats, period_a: Floats | None, f: int) -> Line:
    """Return the line of float number ``f``, by counting rows and stitches alone."""

    def place(row: int, column: int) -> Floats | None:
        turn, column = divmod(column, mesh.stitches)
        if mesh.case == "round":
            row, turn = row - turn, 0
        lift = 0
        if mesh.case == "repeat":
            lift, row = divmod(row, mesh.rows)
        if not 0 <= row < mesh.rows or (mesh.case == "swatch" and turn):
            return None
        shift_c = np.zeros(3) if period_a is None else np.array([turn * period_a[0], lift * period_a[1], 0.0])
        return np.asarray(x_nc[row * mesh.stitches + column] + shift_c)

    first = int(mesh.floats.node_f2[f, 0])
    back, normal, up_c = [], [], np.zeros(3)
    for k in range(int(mesh.floats.gap_f[f]) + 2):
        row, column = int(mesh.row_n[first]), int(mesh.column_n[first]) + k
        here = place(row, column)
        assert here is not None
        around = [place(row, column - 1), place(row, column + 1), place(row - 1, column), place(row + 1, column)]
        left, right, down, up = (here if there is None else there for there in around)
        n_c = np.cross(right - left, up - down)
        normal.append(n_c / np.linalg.norm(n_c))
        back.append(here - 0.5 * mesh.thickness * normal[-1])
        up_c += up - down
    return Line(np.array(back), np.array(normal), up_c / np.linalg.norm(up_c))
