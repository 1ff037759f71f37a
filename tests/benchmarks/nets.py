"""Two nets of springs that any optimiser can be given: a float grid in its plane, and a net hanging in space.

Both are stated as plain arrays, so that every peer minimises the very same energy from the same start: springs with
a length, some of which only pull, and weights. Nothing else is in them, as peers know nothing of normals or bending.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.stiffness import FLOAT_RATIO, default_stiffness
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Elastic, Proportional, Taut
from fabricsim.mechanics.terms import Term

STITCHES, ROWS, TEX = 19.0, 25.5, 500.0
"""Stitches and rows per 10 cm, and tex: the worsted anchor of the defaults."""
WIDTH, HEIGHT = 0.1 / STITCHES, 0.1 / ROWS

BEHIND = 5
"""Stitches that a float passes behind (chosen: the longest gap that most knitters let pass)."""
SHORT = 0.06
"""By how much floats are too short (chosen: tight, with pucker if the fabric could leave its plane)."""

TOLERANCE = 1e-9
"""Largest component of the gradient left at rest, as a share of ``Net.force``, for every peer (the program's own)."""


@dataclass(frozen=True)
class Net:
    """Springs between nodes, weights on them, and unknowns (3 a node) that are held.

    ``start_nc`` (n, 3) m. Bars: ``bar_b2`` (b, 2), ``stiffness_b`` N/m, ``length_b`` m, energy k/2 (l - L)^2. Floats
    (tension only): ``float_f2``, ``float_stiffness_f``, ``float_length_f``, energy k/2 <l - L>^2. ``weight_n`` (n,) N
    pulls towards -z. ``width`` m is the spacing of the nodes, ``stiffness`` N/m of a typical bar.
    """

    name: str
    size: int
    start_nc: Floats
    held: frozenset[int]
    bar_b2: Ints
    stiffness_b: Floats
    length_b: Floats
    float_f2: Ints
    float_stiffness_f: Floats
    float_length_f: Floats
    weight_n: Floats
    width: float
    stiffness: float

    @property
    def force(self) -> float:
        """The force scale, N: a stiffness times a spacing."""
        return self.stiffness * self.width

    @property
    def free_f(self) -> Ints:
        """The numbers (f,) of the unknowns that are not held."""
        return np.setdiff1d(np.arange(self.start_nc.size), list(self.held))

    def terms(self) -> list[Term]:
        """Return the net as terms of the program's own mechanics."""
        bars = Term("bar", Distance(), Elastic(self.stiffness_b, self.length_b), self.bar_b2)
        floats = Term("float", Distance(), Taut(self.float_stiffness_f, self.float_length_f), self.float_f2)
        weight = Term("weight", Height(), Proportional(self.weight_n), np.arange(len(self.start_nc))[:, None])
        return [bars, floats, *([weight] if self.weight_n.any() else [])]

    def start(self) -> State:
        return State(self.start_nc)


def float_grid(size: int) -> Net:
    """Return worsted stitches in a plane, bars along courses, wales and diagonals, tight floats in every other row.

    They are held only against sliding and turning as a whole. There are other minima, of higher energy,
    with single edge stitches flipped over.
    """
    node_ij = np.arange(size * size).reshape(size, size)
    row, column = np.indices((size, size)).reshape(2, -1)
    start_nc = np.column_stack([WIDTH * column, HEIGHT * row, np.zeros(size * size)])
    bars = bars_of(default_stiffness(STITCHES, ROWS, TEX), WIDTH, HEIGHT, "float grid")
    sets = [
        (node_ij[:, :-1], node_ij[:, 1:], bars.course),
        (node_ij[:-1], node_ij[1:], bars.wale),
        (node_ij[:-1, :-1], node_ij[1:, 1:], bars.diagonal),
        (node_ij[:-1, 1:], node_ij[1:, :-1], bars.diagonal),
    ]
    bar_b2 = np.concatenate([np.column_stack([a.ravel(), b.ravel()]) for a, b, _ in sets])
    stiffness_b = np.concatenate([np.full(a.size, k) for a, _, k in sets])
    span = BEHIND + 1
    ties = [
        (node_ij[i, j], node_ij[i, j + span])
        for i in range(0, size, 2)
        for j in range(span // 2 if i % 4 else 0, size - span, span)  # every other row of floats set off by half
    ]
    float_f2 = np.array(ties, dtype=np.intp)
    strip = default_stiffness(STITCHES, ROWS, TEX).stretch_across * HEIGHT / (span * WIDTH)
    return Net(
        name="float grid",
        size=size,
        start_nc=start_nc,
        held=frozenset(range(2, start_nc.size, 3)) | {0, 1, 3 * (size - 1) + 1},
        bar_b2=bar_b2,
        stiffness_b=stiffness_b,
        length_b=_lengths(start_nc, bar_b2),
        float_f2=float_f2,
        float_stiffness_f=np.full(len(ties), FLOAT_RATIO * strip),
        float_length_f=np.full(len(ties), (1.0 - SHORT) * span * WIDTH),
        weight_n=np.zeros(size * size),
        width=WIDTH,
        stiffness=bars.course,
    )


def hanging_net(size: int) -> Net:
    """Return knots of plain string of uneven stiffness between two held sides, sagging under their own weight."""
    node_ij = np.arange(size * size).reshape(size, size)
    row, column = np.indices((size, size)).reshape(2, -1)
    bar_b2 = np.concatenate(
        [
            np.column_stack([node_ij[:, :-1].ravel(), node_ij[:, 1:].ravel()]),
            np.column_stack([node_ij[:-1].ravel(), node_ij[1:].ravel()]),
        ]
    )
    sides = node_ij[:, [0, -1]].ravel()
    return Net(
        name="hanging net",
        size=size,
        start_nc=np.column_stack([WIDTH * column, WIDTH * row, -1e-4 * np.sin(np.pi * column / (size - 1))]),
        held=frozenset((3 * sides[:, None] + np.arange(3)).ravel().tolist()),
        bar_b2=bar_b2,
        stiffness_b=np.random.default_rng(1).uniform(5.0, 15.0, len(bar_b2)),
        length_b=np.full(len(bar_b2), 0.98 * WIDTH),
        float_f2=np.zeros((0, 2), dtype=np.intp),
        float_stiffness_f=np.zeros(0),
        float_length_f=np.zeros(0),
        weight_n=np.full(size * size, 2e-4),
        width=WIDTH,
        stiffness=10.0,
    )


NETS = {"float grid": float_grid, "hanging net": hanging_net}


def _lengths(x_nc: Floats, bar_b2: Ints) -> Floats:
    length_b: Floats = np.linalg.norm(x_nc[bar_b2[:, 1]] - x_nc[bar_b2[:, 0]], axis=1)
    return length_b
