"""An independent engine, let go near our answer, comes back to it by damped dynamics.

Tight floats can have several equilibria, so it starts from our answer plus noise of a hundredth of a stitch
width.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fabricsim.fabric.build import fabric_terms, float_term, held_unknowns, start_of
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.energies.tie import AnchoredDistance
from fabricsim.mechanics.laws import Elastic, Proportional
from fabricsim.mechanics.terms import Term
from tests.support.meshes import TIGHT_ROWS, WIDTH, WORSTED, mesh_of, rest
from tests.support.oracle import Springs, relax, springs_of

Floats = NDArray[np.float64]

BACK = 1e-7
"""How near to our answer the engine must come, in stitch widths: 1e5 times nearer than it started. Its own
tolerance, below, leaves about a hundredth of that."""
ENGINE_TOLERANCE = 1e-12
"""N; over the softest stiffness met here, of the order of 0.1 N/m, that is 1e-11 m or 2e-9 stitch widths."""


def stable_masses(springs: list[Springs], nodes: int) -> Floats:
    """1.2 dt^2/4 times a row sum of the stiffness with dt = 1: a diagonal entry and its neighbours, so
    twice."""
    row_sum_n = np.zeros(nodes)
    for group in springs:
        for end in range(2):
            np.add.at(row_sum_n, group.end_s2[:, end], 2.0 * group.stiffness_s)
    return 0.3 * row_sum_n


def comes_back(energy: Energy, springs: list[Springs], held: frozenset[int], weight_n: Floats | None = None) -> float:
    """Return how far from our answer the engine comes to rest, in stitch widths."""
    found = rest(energy, tolerance=1e-13)
    ours = energy.state(found.q_f).x_nc
    q = found.q_f + 1e-2 * WIDTH * np.random.default_rng(4).normal(size=len(found.q_f))
    theirs, steps = relax(
        stable_masses(springs, len(ours)),
        springs,
        energy.state(q).x_nc,
        held,
        weight_n=weight_n,
        tolerance=ENGINE_TOLERANCE,
    )
    assert steps > 100, "it was let go at rest"
    moved = np.abs(ours - energy.start.x_nc).max()
    assert moved > 0.05 * WIDTH, "there was nothing to find"
    return float(np.abs(theirs - ours).max() / WIDTH)


def test_tight_floats_in_the_plane() -> None:
    mesh = mesh_of([2 * row for row in TIGHT_ROWS] * 2, "swatch", -0.15)
    bars = [t for t in fabric_terms(mesh, WORSTED, "test") if isinstance(t.geometry, Distance)]
    floats = replace(float_term(mesh, WORSTED), geometry=AnchoredDistance(0.0))
    held = frozenset(held_unknowns(mesh)) | frozenset(range(2, 3 * len(mesh.rest_nc), 3))
    energy = assemble([*bars, floats], start_of(mesh), held)
    springs = [s for t in bars for s in springs_of(t)] + springs_of(floats, (0, 5))
    assert comes_back(energy, springs, held) < BACK


def test_a_hanging_net() -> None:
    """Twelve by ten knots of plain string between two held sides, sagging under its own weight."""
    across, up = 12, 10
    node_ij = np.arange(across * up).reshape(up, across)
    pairs = np.concatenate(
        [
            np.column_stack([node_ij[:, :-1].ravel(), node_ij[:, 1:].ravel()]),
            np.column_stack([node_ij[:-1].ravel(), node_ij[1:].ravel()]),
        ]
    )
    row, column = np.indices((up, across)).reshape(2, -1)
    x_nc = np.column_stack([WIDTH * column, WIDTH * row, -1e-4 * np.sin(np.pi * column / (across - 1))])
    law = Elastic(np.random.default_rng(1).uniform(5.0, 15.0, len(pairs)), 0.98 * WIDTH)
    weight_n = np.full(len(x_nc), 2e-4)
    bars = Term("net", Distance(), law, pairs)
    weight = Term("weight", Height(), Proportional(weight_n), np.arange(len(x_nc))[:, None])
    sides = node_ij[:, [0, -1]].ravel()
    held = frozenset((3 * sides[:, None] + np.arange(3)).ravel().tolist())
    energy = assemble([bars, weight], State(x_nc), held)
    assert comes_back(energy, springs_of(bars), held, weight_n) < BACK
