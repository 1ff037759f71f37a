"""The fabric laid out for drawing: every stitch once, whole repeats side by side, and a rim of ghost stitches.

After this step nobody needs periods or shifts, and every stitch has the 24 neighbours that its place on the
surface is worked out from: where the fabric ends they are ghosts, placed by going straight on.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, unit
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import taut
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.render.yarn.shaped_stitches import ShapedStitches, folded, shaped_stitches

FEWEST_ACROSS = 24
"""Stitches across a picture of a repeat, at least (chosen: enough to see the motif run on)."""
MOST_ACROSS = 48
"""Stitches across beyond which one repeat fills the picture (chosen: about 25 pixels a stitch)."""
HEIGHT_SHARE = 0.75
"""Height of a picture of a repeat over its width, as near as whole repeats allow (chosen)."""
SPARE_ROWS = 4
"""Rows tiled beyond the picture, so that its border shows whole loops (a loop reaches 2 rows; chosen)."""
GHOST_RIMS = 2
"""Rims of ghosts: the surface is interpolated from stitches up to two away (derived)."""


@dataclass(frozen=True, eq=False)
class Tiling:
    """Stitches, ghosts and floats ready to draw, all by index.

    The first ``stitches`` nodes are real, the others ghosts. ``x_nc`` (n, 3) float, m; ``normal_nc`` (n, 3) float;
    ``neighbour_n4`` (n, 4) int: left, right, down, up or -1; ``yarn_n``, ``row_n``, ``column_n`` (stitches,) int;
    ``node_f2`` (f, 2) int, ``yarn_f``, ``layer_f``, ``gap_f`` (f,) int; ``pressed`` (f): on which of the
    stitches that it passes a float lies, from 1 to its gap, left to right; ``excess_f`` (f,) float: its yarn over the
    length of its way - 1, 0 where it is taut; ``window_a`` (4,) float, m: left, right, bottom, top of the picture of a
    repeat, else None; ``width``, ``height`` m of a relaxed stitch; ``origin_n`` (stitches,), ``origin_f`` (f,) int:
    their numbers in the equilibrium, of which a repeat is there several times; ``shape``: what is shaped, if anything:
    then nodes that are neither stitches nor ghosts stand for strands between stitches.
    """

    case: Case
    stitches: int
    x_nc: Floats
    normal_nc: Floats
    neighbour_n4: Ints
    yarn_n: Ints
    row_n: Ints
    column_n: Ints
    node_f2: Ints
    yarn_f: Ints
    layer_f: Ints
    gap_f: Ints
    pressed: tuple[tuple[int, ...], ...]
    excess_f: Floats
    window_a: Floats | None
    width: float
    height: float
    origin_n: Ints
    origin_f: Ints
    shape: ShapedStitches | None = None

    def shows(self, x_pc: Floats, beyond: float = 0.0) -> Mask:
        """Return which points (p, 3) lie in the picture of a repeat, or ``beyond`` m about it; else all: (p,)."""
        if self.window_a is None:
            return np.ones(len(x_pc), dtype=bool)
        low, high = self.window_a[::2] - beyond, self.window_a[1::2] + beyond
        return np.asarray(((x_pc[:, :2] >= low) & (x_pc[:, :2] <= high)).all(axis=1))

    @property
    def shown_n(self) -> Mask:
        """Which stitches a picture shows, (stitches,)."""
        return self.shows(self.x_nc[: self.stitches])


def tiled(equilibrium: Equilibrium) -> Tiling:
    """Return the ``equilibrium`` laid out for drawing; a repeat is set side by side until it fills a picture."""
    mesh, floats = equilibrium.mesh, equilibrium.mesh.floats
    pressed, way_f = _ways(equilibrium)
    slack_f = np.maximum(floats.length_f / np.maximum(way_f, 1e-12) - 1.0, 0.0)
    excess_f = np.where(taut(equilibrium), 0.0, slack_f)
    if equilibrium.period_a is None:
        copy_kn, offset_k2, window_a = np.arange(len(mesh.yarn_n))[None], np.zeros((1, 2), np.intp), None
    else:
        copy_kn, offset_k2, window_a = _copies(equilibrium)
    x_nc, normal_nc, neighbour_n4, which_n, copy_of_n = _copied_nodes(equilibrium, copy_kn, offset_k2)
    node_f2, which_f = _copied_floats(equilibrium, copy_kn, offset_k2)
    real = len(which_n)
    if mesh.standing is not None:
        x_nc = folded(mesh.standing, x_nc, normal_nc, mesh.stitch_width)
    for _ in range(GHOST_RIMS):
        for direction in (LEFT, RIGHT):
            x_nc, normal_nc, neighbour_n4 = _grow(x_nc, normal_nc, neighbour_n4, direction, mesh.stitch_width)
    for _ in range(GHOST_RIMS):
        for direction in (DOWN, UP):
            x_nc, normal_nc, neighbour_n4 = _grow(x_nc, normal_nc, neighbour_n4, direction, mesh.row_height)
    shape = None
    if mesh.standing is not None:
        shape, share_k, ends_k2 = shaped_stitches(
            mesh.standing, neighbour_n4, x_nc[:real], mesh.stitch_width, mesh.row_height
        )
        x_nc, normal_nc, neighbour_n4 = _with_strands(x_nc, normal_nc, neighbour_n4, share_k, ends_k2)
    return Tiling(
        case=mesh.case,
        stitches=real,
        x_nc=x_nc,
        normal_nc=normal_nc,
        neighbour_n4=neighbour_n4,
        yarn_n=mesh.yarn_n[which_n],
        row_n=mesh.row_n[which_n] + offset_k2[copy_of_n, 1] * mesh.rows,
        column_n=mesh.column_n[which_n] + offset_k2[copy_of_n, 0] * mesh.stitches,
        node_f2=node_f2,
        yarn_f=floats.yarn_f[which_f],
        layer_f=floats.layer_f[which_f],
        gap_f=floats.gap_f[which_f],
        pressed=tuple(pressed[f] for f in which_f.tolist()),
        excess_f=excess_f[which_f],
        window_a=window_a,
        width=mesh.stitch_width,
        height=mesh.row_height,
        origin_n=which_n,
        origin_f=which_f,
        shape=shape,
    )


def _with_strands(
    x_nc: Floats, normal_nc: Floats, neighbour_n4: Ints, share_k: Floats, ends_k2: Ints
) -> tuple[Floats, Floats, Ints]:
    """Return the nodes with one for each strand between two stitches that another is made of."""
    if len(share_k) == 0:
        return x_nc, normal_nc, neighbour_n4
    left, right = ends_k2.T
    place_kc = (1.0 - share_k)[:, None] * x_nc[left] + share_k[:, None] * x_nc[right]
    outward_kc = unit(normal_nc[left] + normal_nc[right])
    # as far up as its neighbours', none of its own at the sides: what is beside it there is told by the shape
    own_k4 = np.full((len(share_k), 4), -1, dtype=np.intp)
    own_k4[:, DOWN] = neighbour_n4[left, DOWN]
    return (
        np.concatenate([x_nc, place_kc]),
        np.concatenate([normal_nc, outward_kc]),
        np.concatenate([neighbour_n4, own_k4]),
    )


def _ways(equilibrium: Equilibrium) -> tuple[tuple[tuple[int, ...], ...], Floats]:
    """Return the stitches that every float lies on and the length of its way, (f,) float, m.

    What bulges into the way of a slack float is of no weight to the solver, but it shows: such a float lies there too.
    """
    loose_f = ~taut(equilibrium)
    loose = Tracks(equilibrium.mesh).at(equilibrium.state, loose_f)
    each = zip(loose_f.tolist(), loose.pressed, equilibrium.pressed, strict=True)
    pressed = tuple(would if is_loose else does for is_loose, would, does in each)
    lies_f = np.array([len(steps) > 0 for steps in pressed], dtype=bool)
    way_f = np.where(loose_f, loose.length_f, equilibrium.way_f)
    return pressed, np.where(lies_f, way_f, equilibrium.chord_f)


def repeats_shown(equilibrium: Equilibrium) -> tuple[int, int]:
    """Return how many repeats across and up a picture of this repeat shows; never less than one."""
    assert equilibrium.period_a is not None
    stitches = equilibrium.mesh.stitches
    across = 1 if stitches > MOST_ACROSS else ceil(FEWEST_ACROSS / stitches)
    period_x, period_y = equilibrium.period_a
    return across, max(1, round(HEIGHT_SHARE * across * float(period_x) / float(period_y)))


def _copies(equilibrium: Equilibrium) -> tuple[Ints, Ints, Floats]:
    """Return the new number of every stitch in every copy (-1: not there), where the copies lie, and the window."""
    mesh, period_a = equilibrium.mesh, equilibrium.period_a
    assert period_a is not None
    across, up = repeats_shown(equilibrium)
    # a float that shows must have both its ends; one held at catches may reach from repeat to repeat
    floats = mesh.floats
    caught = (mesh.yarn_n[floats.node_f2] != floats.yarn_f[:, None]).any()
    spare = 3 + (mesh.stitches if caught else int(floats.gap_f.max(initial=0)))
    more_x, more_y = ceil(spare / mesh.stitches), ceil(SPARE_ROWS / mesh.rows)
    offset_k2 = np.array(
        [(a, b) for b in range(-more_y, up + more_y) for a in range(-more_x, across + more_x)], dtype=np.intp
    )
    column_kn = mesh.column_n + offset_k2[:, :1] * mesh.stitches
    row_kn = mesh.row_n + offset_k2[:, 1:] * mesh.rows
    kept_kn = (column_kn >= -spare) & (column_kn < across * mesh.stitches + spare)
    kept_kn &= (row_kn >= -SPARE_ROWS) & (row_kn < up * mesh.rows + SPARE_ROWS)
    copy_kn = np.where(kept_kn, np.cumsum(kept_kn.ravel()).reshape(kept_kn.shape) - 1, -1)
    left = equilibrium.x_nc[mesh.column_n == 0, 0].mean() - 0.5 * period_a[0] / mesh.stitches
    bottom = equilibrium.x_nc[mesh.row_n == 0, 1].mean() - 0.5 * period_a[1] / mesh.rows
    window_a = np.array([left, left + across * period_a[0], bottom, bottom + up * period_a[1]])
    return copy_kn, offset_k2, window_a


def _copied_nodes(equilibrium: Equilibrium, copy_kn: Ints, offset_k2: Ints) -> tuple[Floats, Floats, Ints, Ints, Ints]:
    mesh = equilibrium.mesh
    copy_of_n, which_n = np.nonzero(copy_kn >= 0)  # row-major, hence in the order of the new numbers
    x_nc = equilibrium.x_nc[which_n].astype(np.float64)
    if equilibrium.period_a is not None:
        x_nc[:, :2] += offset_k2[copy_of_n] * equilibrium.period_a
    neighbour_n4 = np.full((len(which_n), 4), -1, dtype=np.intp)
    for direction in range(4):
        neighbour_n4[:, direction] = _in_copy(
            mesh.neighbour_n4[which_n, direction],
            offset_k2[copy_of_n] + mesh.shift_n42[which_n, direction],
            copy_kn,
            offset_k2,
        )
    return x_nc, equilibrium.normal_nc[which_n].astype(np.float64), neighbour_n4, which_n, copy_of_n


def _in_copy(node: Ints, offset: Ints, copy_kn: Ints, offset_k2: Ints) -> Ints:
    """Return the new number of ``node`` (m,) in the copy at ``offset`` (m, 2), -1 where it isn't there."""
    low, high = offset_k2.min(axis=0), offset_k2.max(axis=0)
    there = (node >= 0) & ((offset >= low) & (offset <= high)).all(axis=1)
    wide = high[0] - low[0] + 1
    copy = (offset[:, 1] - low[1]) * wide + offset[:, 0] - low[0]
    found: Ints = np.where(there, copy_kn[np.where(there, copy, 0), np.where(there, node, 0)], -1)
    return found


def _copied_floats(equilibrium: Equilibrium, copy_kn: Ints, offset_k2: Ints) -> tuple[Ints, Ints]:
    floats = equilibrium.mesh.floats
    copies, count = len(copy_kn), len(floats)
    which_f = np.tile(np.arange(count), copies)
    offset_f2 = np.repeat(offset_k2, count, axis=0)
    left_f = _in_copy(floats.node_f2[which_f, 0], offset_f2, copy_kn, offset_k2)
    right_f = _in_copy(floats.node_f2[which_f, 1], offset_f2 + floats.shift_f2[which_f], copy_kn, offset_k2)
    both = (left_f >= 0) & (right_f >= 0)
    return np.stack([left_f, right_f], axis=1)[both], which_f[both]


def _grow(
    x_nc: Floats, normal_nc: Floats, neighbour_n4: Ints, direction: int, step: float
) -> tuple[Floats, Floats, Ints]:
    """Return the nodes with a ghost added wherever one has no neighbour in ``direction``, going straight on."""
    opposite = direction ^ 1
    from_g = np.nonzero(neighbour_n4[:, direction] < 0)[0]
    back_g = neighbour_n4[from_g, opposite]
    ahead_gc = np.where((back_g >= 0)[:, None], x_nc[from_g] - x_nc[back_g], _ahead(normal_nc[from_g], direction, step))
    normal_gc = np.where((back_g >= 0)[:, None], 2.0 * normal_nc[from_g] - normal_nc[back_g], normal_nc[from_g])
    normal_gc /= np.linalg.norm(normal_gc, axis=1, keepdims=True)
    neighbour_n4 = neighbour_n4.copy()
    neighbour_n4[from_g, direction] = len(x_nc) + np.arange(len(from_g))
    ghost_g4 = np.full((len(from_g), 4), -1, dtype=np.intp)
    ghost_g4[:, opposite] = from_g
    for sideways in (2, 3) if direction < 2 else (0, 1):
        beside_g = neighbour_n4[from_g, sideways]
        ghost_g4[:, sideways] = np.where(beside_g >= 0, neighbour_n4[beside_g, direction], -1)
    return (
        np.concatenate([x_nc, x_nc[from_g] + ahead_gc]),
        np.concatenate([normal_nc, normal_gc]),
        np.concatenate([neighbour_n4, ghost_g4]),
    )


def _ahead(normal_gc: Floats, direction: int, step: float) -> Floats:
    """Return where a fabric one stitch wide or high would go on: level to the side, square to that upwards."""
    across_gc = np.cross(np.array([0.0, 1.0, 0.0]), normal_gc)
    across_gc /= np.maximum(np.linalg.norm(across_gc, axis=1, keepdims=True), 1e-9)
    along_gc = across_gc if direction < 2 else np.cross(normal_gc, across_gc)
    sign = 1.0 if direction in (RIGHT, UP) else -1.0
    ahead_gc: Floats = sign * step * along_gc
    return ahead_gc
