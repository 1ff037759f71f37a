"""A fabric as the arrays that a browser draws: the middles of its yarns, its stitches, its floats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import AnyArray, Floats
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.yarn.paths import given_way, yarn_paths
from fabricsim.render.yarn.strands import Strands, cropped
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import Tiling, tiled
from fabricsim.render.yarn.tubes import frames
from fabricsim.units import CENTINEWTON, MM

UNIT = 127.0
"""What a byte calls one."""


@dataclass(frozen=True, eq=False)
class DrawnYarn:
    """Yarn of a ``tiling``, ``thickness`` m: ``arrays`` by name, as ``ShapeHead`` of the table's messages tells them,
    without heights; ``strands``: all of it as it was laid, also what is not shown of a repeat."""

    tiling: Tiling
    strands: Strands
    thickness: float
    arrays: dict[str, AnyArray]

    @property
    def window_mm(self) -> tuple[float, ...] | None:
        """Left, right, bottom and top of what is shown of a repeat, mm; None if all is."""
        return None if self.tiling.window_a is None else tuple((self.tiling.window_a / MM).tolist())

    @property
    def stitch_mm(self) -> tuple[float, float]:
        """Width and height of a plain stitch, mm."""
        return self.tiling.width / MM, self.tiling.height / MM


def drawn_yarn(equilibrium: Equilibrium, steps: int, *, apart: bool) -> DrawnYarn:
    """Return the yarn of a fabric, its loops in about so many ``steps``; ``apart``: yarns kept apart, which takes twice
    as long."""
    tiling = tiled(equilibrium)
    return _drawn(equilibrium, tiling, yarn_paths(tiling, steps, apart=apart))


def drawn_apart(equilibrium: Equilibrium, drawn: DrawnYarn) -> DrawnYarn:
    """Return the yarn of a fabric, ``drawn`` of it without being kept apart, kept apart: it need not be laid anew."""
    return _drawn(equilibrium, drawn.tiling, given_way(StitchSurface(drawn.tiling), drawn.strands))


def _drawn(equilibrium: Equilibrium, tiling: Tiling, laid: Strands) -> DrawnYarn:
    strands = laid if tiling.window_a is None else cropped(laid, tiling.shows(laid.x_pc))
    _, normal_pc, _ = frames(strands.x_pc, strands.first_s)
    normal_p4 = np.column_stack([normal_pc, strands.thin_p])
    arrays: dict[str, AnyArray] = {
        **stitch_arrays(equilibrium, tiling),
        "point": (strands.x_pc / MM).astype(np.float32),
        "normal": np.rint(UNIT * normal_p4).astype(np.int8),
        "first": strands.first_s.astype(np.int32),
        "yarn": strands.yarn_s.astype(np.uint8),
        "stitch": strands.stitch_p.astype(np.int32),
        "float": strands.float_p.astype(np.int32),
    }
    return DrawnYarn(tiling, laid, strands.thickness, arrays)


def stitch_arrays(equilibrium: Equilibrium, tiling: Tiling) -> dict[str, AnyArray]:
    """Return what is drawn of a fabric's stitches and floats whatever way their yarn takes."""
    return {
        "place": (tiling.x_nc[: tiling.stitches] / MM).astype(np.float32),
        "face": _bytes(tiling.normal_nc[: tiling.stitches]),
        "pull": (equilibrium.tension_f[tiling.origin_f] / CENTINEWTON).astype(np.float32),
        "cell": _cells(equilibrium, tiling),
        "ends": tiling.node_f2.astype(np.int32),
        "floats": np.column_stack([tiling.yarn_f, tiling.gap_f]).astype(np.int32),
    }


def _bytes(normal_nc: Floats) -> AnyArray:
    """Return unit vectors (n, 3) as signed bytes (n, 4), the last 0."""
    return np.column_stack([np.rint(UNIT * normal_nc), np.zeros(len(normal_nc))]).astype(np.int8)


def _cells(equilibrium: Equilibrium, tiling: Tiling) -> AnyArray:
    """Return row and column of every stitch in the piece, and in the chart or -1 (n, 4)."""
    scene = equilibrium.scene
    rows, stitches = len(scene.chart_rows()), scene.stitches_per_repeat
    row_n = tiling.row_n.copy()
    if equilibrium.mesh.case == "repeat":
        charted_n = row_n % rows
    else:
        from_chart_n = row_n - scene.chart.plain_below
        inside_n = (from_chart_n >= 0) & (from_chart_n < rows * scene.chart.up)
        charted_n = np.where(inside_n, from_chart_n % rows, -1)
    column_n = np.where(charted_n < 0, -1, tiling.column_n % stitches)
    return np.column_stack([row_n, tiling.column_n, charted_n, column_n]).astype(np.int32)
