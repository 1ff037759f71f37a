"""The smallest cell of an endless fabric: what has to be solved of it, and the way back to the chart as it was typed.

A chart may be typed once or many times over, begun in any row, or seen in a mirror: the fabric is the same. So its
``Cut`` finds the least cell that repeats, and of all places where that may begin and all ways to turn it over the one
whose floats come first in order. What is solved is that cell, or a tile of several; ``written_out`` puts the answer
back, stitch by stitch and float by float, on the chart as it was typed, or on as many copies of it as the tile needs.

Only what the mechanics feels counts: between which stitches floats run and how long they are, not their colours.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import lcm

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import FloatTable, Grip, build_mesh
from fabricsim.fabric.setup import Fabric
from fabricsim.mechanics.assemble import State

MOST_PLACES = 2_500
"""Stitches up to which the place to begin is sought; larger cells begin where the chart does (chosen)."""

ALIKE = 1e-7
"""Share of its size up to which copies of a cell lie alike: what the solver's tolerance leaves (chosen)."""


@dataclass(frozen=True)
class Cut:
    """Which part of an endless fabric is solved: ``rows`` and ``stitches`` of it, from ``row`` and ``column`` of the
    chart on, seen ``mirrored`` left to right or ``inverted`` bottom to top (then counted from the far side)."""

    rows: int
    stitches: int
    row: int = 0
    column: int = 0
    mirrored: bool = False
    inverted: bool = False

    @property
    def signs_c(self) -> Floats:
        """By which x, y and z of the chart are those of the cut."""
        return np.array([-1.0 if self.mirrored else 1.0, -1.0 if self.inverted else 1.0, 1.0])

    @property
    def signs_a(self) -> Ints:
        return self.signs_c[:2].astype(np.intp)

    def there(self, row_n: Ints, column_n: Ints) -> tuple[Ints, Ints]:
        """Return rows and columns of the chart, past its edges too, as the cut counts them."""
        across, up = self.signs_a.tolist()
        return up * (row_n - self.row), across * (column_n - self.column)

    def back(self, row_n: Ints, column_n: Ints) -> tuple[Ints, Ints]:
        """Return rows and columns of the cut as the chart counts them."""
        across, up = self.signs_a.tolist()
        return up * row_n + self.row, across * column_n + self.column

    def left_ends(self, table: FloatTable, stitches: int) -> tuple[Ints, Ints]:
        """Return where each float begins at its left as the cut sees it, row and column, past the edges too.

        ``stitches``: in a row of the floats' own mesh.
        """
        row_f, column_f = divmod(table.node_f2[:, 0], stitches)
        return self.there(row_f, column_f + (table.gap_f + 1 if self.mirrored else 0))


def _tokens(fabric: Fabric) -> tuple[Ints, Ints]:
    """Return a number for what leaves every stitch to the right and to the left, each (rows, stitches): alike where
    floats pass behind as many stitches and are as long and as stiff."""
    mesh, table = fabric.mesh, fabric.mesh.floats
    ends = []
    told = np.column_stack([table.gap_f, table.length_f, table.span_f])
    kind_f = np.unique(told, axis=0, return_inverse=True)[1].ravel() + 1 if len(table) else table.gap_f
    for end in (0, 1):
        found: dict[int, list[int]] = {}
        for node, kind in zip(table.node_f2[:, end].tolist(), kind_f.tolist(), strict=True):
            found.setdefault(node, []).append(kind)
        ends.append([tuple(sorted(found.get(node, []))) for node in range(len(mesh.rest_nc))])
    order = {kinds: number for number, kinds in enumerate(sorted({*ends[0], *ends[1]}))}
    right, left = (np.array([order[k] for k in end], dtype=np.intp).reshape(mesh.rows, mesh.stitches) for end in ends)
    return right, left


def _period(grid_ij: Ints, axis: int) -> int:
    """Return the least shift along an axis by which a closed grid falls on itself."""
    size = grid_ij.shape[axis]
    return next(
        by for by in range(1, size + 1) if size % by == 0 and np.array_equal(np.roll(grid_ij, by, axis), grid_ij)
    )


def whole_cut(fabric: Fabric) -> Cut:
    """Return the least cell of a ``repeat`` as it is typed, from its first stitch on; all of another case, and where
    rows are on needles of their own."""
    if fabric.mesh.case != "repeat" or fabric.mesh.needle_i is not None:
        return Cut(fabric.mesh.rows, fabric.mesh.stitches)
    right, _ = _tokens(fabric)
    return Cut(_period(right, 0), _period(right, 1))


def least_cut(fabric: Fabric) -> Cut:
    """Return the least cell of a ``repeat``, the same for every way to type the fabric, to begin it and to turn it
    over."""
    if fabric.mesh.needle_i is not None:  # rows then differ in more than their floats
        return Cut(fabric.mesh.rows, fabric.mesh.stitches)
    right, left = _tokens(fabric)
    rows, stitches = _period(right, 0), _period(right, 1)
    if rows * stitches > MOST_PLACES:
        return Cut(rows, stitches)
    best: tuple[bytes, Cut] | None = None
    for mirrored in (False, True):
        for inverted in (False, True):
            seen = (left if mirrored else right)[:rows, :stitches]
            seen = seen[:: -1 if inverted else 1, :: -1 if mirrored else 1]
            for row in range(rows):
                for column in range(stitches):
                    told = np.roll(seen, (-row, -column), (0, 1)).astype(">u8").tobytes()
                    if best is None or told < best[0]:
                        begin = (rows - 1 - row if inverted else row, stitches - 1 - column if mirrored else column)
                        best = told, Cut(rows, stitches, *begin, mirrored, inverted)
    assert best is not None
    return best[1]


def cut_out(fabric: Fabric, cut: Cut) -> Fabric:
    """Return the part of a ``repeat`` that a cut takes, as a fabric of its own; it must be a period of the fabric."""
    mesh = fabric.mesh
    row_n, column_n = (a.ravel() for a in np.indices((cut.rows, cut.stitches)))
    row_n, column_n = cut.back(row_n, column_n)
    yarn_n = mesh.yarn_n[row_n % mesh.rows * mesh.stitches + column_n % mesh.stitches]
    order_f, row_f, left_f = _in_order(mesh.floats, mesh.stitches, cut)
    every = mesh.rows * mesh.stitches // (cut.rows * cut.stitches)
    return _remade(fabric, yarn_n.reshape(cut.rows, cut.stitches), order_f[::every], row_f[::every], left_f[::every])


def copied(fabric: Fabric, rows: int, stitches: int) -> Fabric:
    """Return a ``repeat`` over and over, ``rows`` and ``stitches`` in all: whole multiples of its own."""
    mesh, table = fabric.mesh, fabric.mesh.floats
    if (rows, stitches) == (mesh.rows, mesh.stitches):
        return fabric
    up, across = rows // mesh.rows, stitches // mesh.stitches
    row_f, left_f = divmod(table.node_f2[:, 0], mesh.stitches)
    which_f = np.tile(np.arange(len(table)), up * across)
    copy = np.repeat(np.arange(up * across), len(table))
    yarn_ij = np.tile(mesh.yarn_n.reshape(mesh.rows, mesh.stitches), (up, across))
    lift, turn = divmod(copy, across)
    return _remade(fabric, yarn_ij, which_f, row_f[which_f] + lift * mesh.rows, left_f[which_f] + turn * mesh.stitches)


def _in_order(table: FloatTable, stitches: int, cut: Cut) -> tuple[Ints, Ints, Ints]:
    """Return the floats (f,) in the order of where they begin in the cut, alike ones of all its copies together; and
    the row and the column there."""
    row_f, left_f = cut.left_ends(table, stitches)
    row_f, left_f = row_f % cut.rows, left_f % cut.stitches
    order_f = np.lexsort((table.span_f, table.length_f, table.gap_f, left_f, row_f))
    return order_f, row_f[order_f], left_f[order_f]


def _remade(fabric: Fabric, yarn_ij: Ints, which_f: Ints, row_f: Ints, left_f: Ints) -> Fabric:
    """Return a ``repeat`` of other size, of those of the floats, beginning at these places."""
    old, table = fabric.mesh, fabric.mesh.floats
    rows, stitches = yarn_ij.shape
    mesh = build_mesh(
        yarn_ij,
        (),
        "repeat",
        stitch_width=old.stitch_width,
        row_height=old.row_height,
        thickness=old.thickness,
    )
    turn_f, right_f = divmod(left_f + table.gap_f[which_f] + 1, stitches)
    floats = FloatTable(
        node_f2=np.stack([row_f * stitches + left_f, row_f * stitches + right_f], axis=1),
        shift_f2=np.stack([turn_f, np.zeros_like(turn_f)], axis=1),
        yarn_f=table.yarn_f[which_f],
        gap_f=table.gap_f[which_f],
        layer_f=table.layer_f[which_f],
        span_f=table.span_f[which_f],
        slack_f=table.slack_f[which_f],
        length_f=table.length_f[which_f],
    )
    grip = old.grip
    if grip is not None:
        by = (stitches / old.stitches, rows / old.rows)
        relaxed = (by[0] * grip.relaxed[0], by[1] * grip.relaxed[1])
        grip = Grip(grip.axis, relaxed, None if grip.size is None else by[grip.axis] * grip.size, grip.load)
    needle_i = None if old.needle_i is None else old.needle_i[np.arange(rows) % old.rows]
    mesh = replace(mesh, floats=floats, floats_longer=old.floats_longer, grip=grip, needle_i=needle_i)
    return replace(fabric, floats=tuple(fabric.floats[f] for f in which_f.tolist()), mesh=mesh)


def state_in(cut: Cut, state: State, rows: int, stitches: int) -> State:
    """Return what a cut takes of a periodic ``state`` of ``rows`` and ``stitches``, its first stitch at nought."""
    assert state.period_a is not None
    row_n, column_n = cut.back(*(a.ravel() for a in np.indices((cut.rows, cut.stitches))))
    x_nc = cut.signs_c * _at(state, row_n, column_n, rows, stitches)
    period_a = state.period_a * np.array([cut.stitches / stitches, cut.rows / rows])
    return State(x_nc - x_nc[0], period_a)


def _at(state: State, row_n: Ints, column_n: Ints, rows: int, stitches: int) -> Floats:
    """Return where stitches at outlying rows and columns of a periodic state lie, (n, 3) m."""
    assert state.period_a is not None
    (lift_n, row_n), (turn_n, column_n) = divmod(row_n, rows), divmod(column_n, stitches)
    x_nc = state.x_nc[row_n * stitches + column_n].copy()
    x_nc[:, :2] += np.stack([turn_n, lift_n], axis=1) * state.period_a
    return np.asarray(x_nc)


def repeats(cut: Cut, state: State, rows: int, stitches: int) -> bool:
    """Return whether a periodic ``state`` of ``rows`` and ``stitches`` is one cell of a cut over and over."""
    assert state.period_a is not None
    cell = state_in(Cut(cut.rows, cut.stitches), state, rows, stitches)
    every_nc = _at(cell, *divmod(np.arange(rows * stitches), stitches), cut.rows, cut.stitches)
    return bool(np.abs(state.x_nc - state.x_nc[0] - every_nc).max() <= ALIKE * float(state.period_a.max()))


def written_out(rest: Equilibrium, fabric: Fabric, cut: Cut) -> Equilibrium:
    """Return a ``rest`` of what ``cut`` takes of an endless ``fabric``, or of a tile of copies of that, stitch by
    stitch on the fabric itself, or on as many copies of it as hold whole tiles."""
    mesh = rest.mesh
    whole = copied(fabric, lcm(fabric.mesh.rows, mesh.rows), lcm(fabric.mesh.stitches, mesh.stitches))
    tile = replace(cut, rows=mesh.rows, stitches=mesh.stitches)
    out = whole.mesh
    row_n, column_n = tile.there(out.row_n, out.column_n)
    x_nc = tile.signs_c * _at(rest.state, row_n, column_n, mesh.rows, mesh.stitches)
    node_n = row_n % mesh.rows * mesh.stitches + column_n % mesh.stitches
    assert rest.period_a is not None
    to_f, solved_f = (
        _in_order(table, stitches, which)[0]
        for table, stitches, which in (
            (out.floats, out.stitches, tile),
            (mesh.floats, mesh.stitches, Cut(mesh.rows, mesh.stitches)),
        )
    )
    copies = len(out.rest_nc) // len(mesh.rest_nc)
    from_f = np.empty(len(out.floats), dtype=np.intp)
    from_f[to_f] = np.repeat(solved_f, copies)
    pressed = [rest.pressed[f] for f in from_f.tolist()]
    if tile.mirrored:
        pressed = [
            tuple(gap + 1 - step for step in reversed(steps))
            for gap, steps in zip(out.floats.gap_f.tolist(), pressed, strict=True)
        ]
    return replace(
        rest,
        floats=whole.floats,
        mesh=out,
        x_nc=x_nc - x_nc[0] + out.rest_nc[0],
        normal_nc=tile.signs_c * rest.normal_nc[node_n],
        period_a=rest.period_a * np.array([out.stitches / mesh.stitches, out.rows / mesh.rows]),
        chord_f=rest.chord_f[from_f],
        way_f=rest.way_f[from_f],
        pressed=tuple(pressed),
        tension_f=rest.tension_f[from_f],
        touching=np.flatnonzero(np.isin(node_n, rest.touching)),
        effort=replace(rest.effort, energy=copies * rest.effort.energy),
        solved=rest,
        cut=tile,
    )
