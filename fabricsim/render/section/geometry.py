"""The geometry of one row looked at along the wales: its loops edge on, and behind them the floats at their true
length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.design.scene.choices import Case
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Pull, pull, widths
from fabricsim.fabric.mesh import DOWN, RIGHT, UP
from fabricsim.lengths import long, long_number
from fabricsim.render.section.row import (
    EQUAL,
    LoopPiece,
    Plane,
    loop_pieces,
    middle_line,
    plane_of,
    says,
    stitches_of,
    top_float,
)
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.surface import walk
from fabricsim.render.yarn.tiling import Tiling, tiled

STEPS = 40
"""Steps of a drawn loop (chosen: as fine as the finest pictures)."""
NEAR = 1e-9
"""What is nearer is in the same place, m (chosen: round-off)."""
ARC = np.radians(35.0)
"""Half the arc of a tube that is shown (chosen: chords show against the round of the fabric, and loops are large)."""


@dataclass(frozen=True, eq=False)
class SectionFloat:
    """A float of the row.

    ``number`` in the equilibrium; ``path_kc`` (k, 2) float, m: its yarn as drawn; ``held_2c`` (2, 2): the two stitches
    that hold it; ``line_kc`` (k, 3) float, m: along the course, to the face and up the wale, the line that the forecast
    reckons with, from end to end half a thickness behind the stitches, by way of the backs that it lies on;
    ``tension`` N, 0 where it is slack; ``spare`` its yarn over its way - 1; ``yarn_length`` m; ``span`` m: how wide is
    in plain fabric what it bridges.
    """

    number: int
    path_kc: Floats
    held_2c: Floats
    line_kc: Floats
    taut: bool
    tension: float
    spare: float
    yarn_length: float
    span: float

    @property
    def width(self) -> float:
        """How wide what it bridges is now, m: straight from end to end."""
        return float(np.linalg.norm(self.line_kc[-1] - self.line_kc[0]))


@dataclass(frozen=True, eq=False)
class CrossSection:
    """One row of the fabric looked at along the wales, from below: x along the course, y to the face; m throughout.

    ``row`` 0-based; ``extent`` left and right end of what is shown, cut off there if ``cut``; ``loops`` in
    pieces; ``floats`` what is carried behind them, the nearest last, and ``beyond`` what is outside the extent;
    ``line_kc`` (k, 2) float: the fabric's smooth middle line, of a tube that of the whole round about the origin;
    ``thickness`` of the drawn yarn; ``rgb_y3`` (y, 3) its colours, sRGB 0 to 255; ``hardest``: which of ``floats``, of
    those shown whole, pulls hardest, or is the longest if all are slack; None if there is none; ``greatest`` N: the
    hardest pull in all the fabric; ``plain``, ``now``: the width of what is shown in plain fabric and at present, of a
    tube the whole girth.
    """

    case: Case
    row: int
    extent: tuple[float, float]
    cut: bool
    loops: tuple[LoopPiece, ...]
    floats: tuple[SectionFloat, ...]
    beyond: tuple[SectionFloat, ...]
    line_kc: Floats
    thickness: float
    rgb_y3: Floats
    hardest: int | None
    greatest: float
    plain: float
    now: float

    @property
    def height(self) -> tuple[float, float]:
        """Lowest and highest edge of the yarn that is shown, m."""
        left, right = self.extent
        path_kc = np.concatenate([*(piece.path_kc for piece in self.loops), *(one.path_kc for one in self.floats)])
        y = path_kc[(path_kc[:, 0] >= left) & (path_kc[:, 0] <= right), 1]
        return float(y.min() - 0.5 * self.thickness), float(y.max() + 0.5 * self.thickness)


def telling_row(equilibrium: Equilibrium) -> int:
    """Return the row, 0-based, whose floats pull hardest; of slack fabric that with the longest float; of fabric
    without floats the middle one. Of equals the lowest."""
    mesh = equilibrium.mesh
    if len(mesh.floats) == 0:
        return mesh.rows // 2
    says_f = says(equilibrium)
    return int(mesh.row_n[mesh.floats.node_f2[says_f >= says_f.max() * (1.0 - EQUAL), 0]].min())


def section_of(equilibrium: Equilibrium, row: int, *, window: tuple[float, float] | None = None) -> CrossSection:
    """Return the ``row`` (0-based, of the equilibrium) looked at along the wales from below, face up.

    ``window``: what to show of it, from left to right, m; else as many whole repeats as pictures show, a whole row of a
    swatch, and of a tube, turned so that the float that pulls hardest is on top, the arc about that. The paths are
    those of the pictures, but that slack floats bow straight off the back: their length on paper is that of the yarn.
    Raises InputError for a row that the fabric hasn't got and a window that shows nothing of it.
    """
    mesh = equilibrium.mesh
    if not 0 <= row < mesh.rows:
        raise InputError("row", str(row + 1), f"1 to {mesh.rows}", "name a row of this fabric")
    tiling = tiled(equilibrium)
    strands = yarn_paths(tiling, STEPS, hanging=False)
    top = top_float(equilibrium, tiling, row)
    node_r = stitches_of(tiling, row, top)
    number_f = np.flatnonzero(np.isin(tiling.node_f2[:, 0], node_r))
    number_f = number_f[np.isin(number_f, strands.float_p)]  # parts that no stitch holds are cut off out of sight
    plane = plane_of(tiling, node_r, top)
    line_kc, along_k = middle_line(tiling, node_r, plane)
    extent, plain, now = _extent(equilibrium, tiling, row, line_kc, along_k)
    every = pull(equilibrium)
    floats = tuple(_float(equilibrium, tiling, strands, plane, every, f) for f in number_f.tolist())
    if tiling.window_a is not None:
        extent = _with_telling(floats, extent, tiling.width)
    if window is not None:
        extent = window
        if mesh.case != "round":
            plain, now = _plain_width(line_kc, along_k, window) * tiling.width, window[1] - window[0]
    # the nearest to one who looks from below comes last
    height_f = [float(strands.x_pc[strands.float_p == f, 1].mean()) for f in number_f.tolist()]
    floats = tuple(floats[k] for k in np.argsort(np.negative(height_f), kind="stable").tolist())
    beyond = tuple(one for one in floats if not _shows(one.path_kc, extent, mesh.case))
    floats = tuple(one for one in floats if _shows(one.path_kc, extent, mesh.case))
    every_piece = loop_pieces(tiling, strands, plane, node_r)
    loops = tuple(piece for piece in every_piece if _shows(piece.path_kc, extent, mesh.case))
    if not loops:
        left, right = line_kc[:, 0].min(), line_kc[:, 0].max()
        given, allowed = (f"{long_number(a)} to {long(b)}" for a, b in (extent, (left, right)))
        raise InputError("window", given, f"parts of {allowed}", "move it onto the fabric")
    return CrossSection(
        case=mesh.case,
        row=row,
        extent=extent,
        cut=mesh.case != "swatch" or window is not None,
        loops=loops,
        floats=floats,
        beyond=beyond,
        line_kc=line_kc,
        thickness=strands.thickness,
        rgb_y3=np.array([one.rgb for one in equilibrium.scene.yarns], dtype=np.float64),
        hardest=_hardest(floats, extent),
        greatest=float(np.where(every.taut_f, equilibrium.tension_f, 0.0).max(initial=0.0)),
        plain=plain,
        now=now,
    )


def _extent(
    equilibrium: Equilibrium, tiling: Tiling, row: int, line_kc: Floats, along_k: Floats
) -> tuple[tuple[float, float], float, float]:
    """Return the left and right end of what is shown unless asked otherwise, its plain width and that of now, m."""
    if tiling.window_a is not None:
        left, right = float(tiling.window_a[0]), float(tiling.window_a[1])
        return (left, right), _plain_width(line_kc, along_k, (left, right)) * tiling.width, right - left
    every = widths(equilibrium)
    plain, now = float(every.plain_i[row]), float(every.width_i[row])
    if tiling.case == "round":
        half = float(np.linalg.norm(line_kc, axis=1).mean() * np.sin(ARC))
        return (-half, half), plain, now
    middle = 0.5 * float(line_kc[:, 0].min() + line_kc[:, 0].max())
    return (middle - 0.5 * now, middle + 0.5 * now), plain, now


def _with_telling(floats: tuple[SectionFloat, ...], extent: tuple[float, float], stitch: float) -> tuple[float, float]:
    """Return the extent of a repeat shifted by as little as brings the float that pulls hardest, or is the longest of a
    slack row, inside: a repeat may begin anywhere."""
    left, right = extent
    shifts = [0.0] if not floats else []
    for k in _strongest(floats, range(len(floats))):
        begin, end = floats[k].held_2c[:, 0].tolist()
        margin = max(0.0, 0.5 * min(stitch, right - left - (end - begin)))
        out = begin < left - NEAR, end > right + NEAR
        shifts.append(begin - margin - left if out[0] else end + margin - right if out[1] else 0.0)
    shift = min(shifts, key=abs)
    return left + shift, right + shift


def _plain_width(line_kc: Floats, along_k: Floats, window: tuple[float, float]) -> float:
    """Return how many stitches of a row lie between two places, m; where it folds back, the first to come so far."""
    left, right = np.interp(window, np.maximum.accumulate(line_kc[:, 0]), along_k)
    return float(right - left)


def _float(
    equilibrium: Equilibrium, tiling: Tiling, strands: Strands, plane: Plane, every: Pull, f: int
) -> SectionFloat:
    number, table = int(tiling.origin_f[f]), equilibrium.mesh.floats
    nodes = [int(tiling.node_f2[f, 0])]
    for _ in range(int(tiling.gap_f[f])):
        nodes.append(int(walk(tiling.neighbour_n4, np.array(nodes[-1:]), RIGHT)[0]))
    nodes.append(int(tiling.node_f2[f, 1]))
    held_2c = plane.of(tiling.x_nc[[nodes[0], nodes[-1]]])[:, :2]
    on = [0, *tiling.pressed[f], len(nodes) - 1]
    x_kc = tiling.x_nc[nodes] - 0.5 * equilibrium.mesh.thickness * tiling.normal_nc[nodes]
    up_c = (tiling.x_nc[tiling.neighbour_n4[nodes, UP]] - tiling.x_nc[tiling.neighbour_n4[nodes, DOWN]]).sum(axis=0)
    pulls = bool(every.taut_f[number])
    return SectionFloat(
        number=number,
        path_kc=plane.of(strands.x_pc[strands.float_p == f])[:, :2],
        held_2c=held_2c,
        line_kc=plane.of(_slid(x_kc[on], up_c)),
        taut=pulls,
        tension=float(equilibrium.tension_f[number]) if pulls else 0.0,
        spare=max(0.0, float(every.spare_f[number])),
        yarn_length=float(table.length_f[number]),
        span=float(table.span_f[number]),
    )


def _slid(x_kc: Floats, up_c: Floats) -> Floats:
    """Return points (k, 3) m moved along ``up_c`` until the line through them is the shortest: nothing holds a float at
    the backs that it lies on, and these are taken as a cylinder whose rulings run along it."""
    up_c = up_c / np.linalg.norm(up_c)
    along_k = x_kc @ up_c
    seen_kc = x_kc - along_k[:, None] * up_c
    far_k = np.append(0.0, np.linalg.norm(np.diff(seen_kc, axis=0), axis=1).cumsum())
    slid_kc: Floats = seen_kc + (along_k[0] + (along_k[-1] - along_k[0]) * far_k / far_k[-1])[:, None] * up_c
    return slid_kc


def _shows(path_kc: Floats, extent: tuple[float, float], case: Case) -> bool:
    """Return whether a path is in what is shown: of a tube only its upper half is."""
    if len(path_kc) < 2 or (case == "round" and path_kc[:, 1].min() < 0.0):
        return False
    return bool(path_kc[:, 0].max() > extent[0] and path_kc[:, 0].min() < extent[1])


def _hardest(floats: tuple[SectionFloat, ...], extent: tuple[float, float]) -> int | None:
    """Return which of the floats shown whole pulls hardest, or else is the longest; of equals the middlemost."""
    left, right = extent
    held = [one.held_2c[:, 0] for one in floats]
    whole = [k for k, (begin, end) in enumerate(held) if begin >= left - NEAR and end <= right + NEAR]
    best = _strongest(floats, whole)
    middle = 0.5 * (left + right)
    return min(best, key=lambda k: abs(float(floats[k].held_2c[:, 0].mean()) - middle), default=None)


def _strongest(floats: tuple[SectionFloat, ...], among: Sequence[int]) -> list[int]:
    """Return which ``among`` the floats pull hardest, or are the longest if all of those are slack."""
    tight = any(floats[k].taut for k in among)
    says = [floats[k].tension if tight else floats[k].yarn_length for k in among]
    return [k for k, one in zip(among, says, strict=True) if one >= max(says) * (1.0 - EQUAL)]
