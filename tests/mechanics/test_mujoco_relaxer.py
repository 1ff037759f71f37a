"""An independent engine finds the same equilibrium by damped dynamics.

Benign cases it relaxes from scratch, from the same start as ours. Tight floats have several equilibria, and two solvers
may find two; there it is let go near our answer, disturbed by a hundredth of a stitch width, and must come back to it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.build import FLOAT, fabric_terms, float_term, held_unknowns, start_of
from fabricsim.fabric.mesh import Mesh
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.energies.tie import AnchoredDistance
from fabricsim.mechanics.laws import Elastic, Proportional
from fabricsim.mechanics.terms import Term
from fabricsim.units import GRAVITY
from tests.support.meshes import HEIGHT, TIGHT_ROWS, WIDTH, WORSTED, mesh_of, rest
from tests.support.oracle import Springs, relax, springs_of, stable_masses
from tests.support.pulls import pulls

APART = 1e-7
"""How far from our answer the engine may come to rest, in stitch widths. Its own tolerance, below, leaves about a
hundredth of that: at most 5e-9 has been seen here."""
ENGINE_TOLERANCE = 1e-12
"""N; over the softest stiffness met here, of the order of 0.1 N/m, that is 1e-11 m or 2e-9 stitch widths."""
DISTURBANCE = 1e-2
"""Stitch widths, along every unknown: 1e5 times what may be left of it."""


@dataclass(frozen=True)
class Net:
    """What both solvers are given: our energy, the same as springs, unknowns held, weights (n,) N or None."""

    energy: Energy
    springs: list[Springs]
    held: frozenset[int]
    weight_n: Floats | None = None


def apart(net: Net, disturbance: float | None) -> float:
    """Return how far from our answer the engine comes to rest, in stitch widths.

    It is let go at our answer plus noise of ``disturbance`` stitch widths; None lets it go where we began.
    """
    energy = net.energy
    found = rest(energy, tolerance=1e-13)
    ours = energy.state(found.q_f).x_nc
    q = energy.free(energy.start)
    assert np.abs(found.q_f - q).max() > 0.05 * WIDTH, "there was nothing to find"
    if disturbance is not None:
        q = found.q_f + disturbance * WIDTH * np.random.default_rng(4).normal(size=len(q))
    theirs, steps = relax(
        stable_masses(net.springs, len(ours)),
        net.springs,
        energy.state(q).x_nc,
        net.held,
        weight_n=net.weight_n,
        tolerance=ENGINE_TOLERANCE,
    )
    assert steps > 100, "it was let go at rest"
    return float(np.abs(theirs - ours).max() / WIDTH)


def bars_and_floats(mesh: Mesh) -> list[Term]:
    """Return what springs can stand for: bars, and floats from stitch to stitch, without the half thickness."""
    bars = [t for t in fabric_terms(mesh, WORSTED, "test") if isinstance(t.geometry, Distance)]
    return [*bars, replace(float_term(mesh, WORSTED), geometry=AnchoredDistance(0.0))]


def springs_of_all(terms: list[Term]) -> list[Springs]:
    return [s for t in terms for s in springs_of(t, (0, 5) if t.name == FLOAT else (0, 1))]


def tight_mesh(*slack: float) -> Mesh:
    """Return a grid of 8 rows of 12 with floats of this slack, one for both yarns or one each."""
    return mesh_of([2 * row for row in TIGHT_ROWS] * 2, "swatch", slack if len(slack) > 1 else slack[0])


def in_the_plane(*slack: float) -> Net:
    """Fabric drawn in flat by its floats: every height is held."""
    mesh = tight_mesh(*slack)
    terms = bars_and_floats(mesh)
    held = frozenset(held_unknowns(mesh)) | frozenset(range(2, 3 * len(mesh.rest_nc), 3))
    return Net(assemble(terms, start_of(mesh), held), springs_of_all(terms), held)


def weight_term(weight_n: Floats) -> Term:
    return Term("weight", Height(), Proportional(weight_n), np.arange(len(weight_n))[:, None])


def coordinates_of(nodes: Ints) -> frozenset[int]:
    return frozenset((3 * nodes[:, None] + np.arange(3)).ravel().tolist())


def hanging_net() -> Net:
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
    held = coordinates_of(node_ij[:, [0, -1]].ravel())
    return Net(assemble([bars, weight_term(weight_n)], State(x_nc), held), springs_of(bars), held, weight_n)


def hammock(heaviness: float, slack: float = -0.20) -> Net:
    """Fabric with floats a fifth too short, its sides held a tenth nearer than they lay: puckered, as floats gather
    some rows and spare others.

    Its weight, ``heaviness`` times the true one, takes the part of what keeps folds smooth, for springs don't bend.
    """
    mesh = tight_mesh(slack)
    terms = bars_and_floats(mesh)
    each = heaviness * WORSTED.areal_mass * GRAVITY * WIDTH * HEIGHT
    weight_n = np.full(len(mesh.rest_nc), each)
    last = mesh.stitches - 1
    x_nc = mesh.rest_nc * np.array([0.9, 1.0, 1.0])
    x_nc[:, 2] = -0.1 * np.ptp(x_nc[:, 0]) * np.sin(np.pi * mesh.column_n / last)
    held = coordinates_of(np.flatnonzero((mesh.column_n == 0) | (mesh.column_n == last)))
    return Net(assemble([*terms, weight_term(weight_n)], State(x_nc), held), springs_of_all(terms), held, weight_n)


FROM_SCRATCH: dict[str, Callable[[], Net]] = {
    "moderate floats in the plane": lambda: in_the_plane(-0.05),
    "one yarn moderate, one loose": lambda: in_the_plane(-0.05, 0.03),
    "hanging net": hanging_net,
    "heavy hammock": lambda: hammock(10.0),
}
"""Two solvers with nothing in common but the forces end in one place. With one yarn loose, 14 of 34 floats are taut.
A true weight instead of ten times that, or floats at -0.08 in the plane, and the engine ends in another equilibrium,
about a stitch width away."""

FROM_NEARBY: dict[str, Callable[[], Net]] = {
    "tight floats in the plane": lambda: in_the_plane(-0.15),
    "tightest floats in the plane": lambda: in_the_plane(-0.20),
    "hanging net": hanging_net,
    "hammock": lambda: hammock(1.0),
}


@pytest.mark.parametrize("name", list(FROM_SCRATCH))
def test_the_engine_finds_our_answer_from_scratch(name: str) -> None:
    assert apart(FROM_SCRATCH[name](), None) < APART


@pytest.mark.parametrize("name", list(FROM_NEARBY))
def test_the_engine_comes_back_to_our_answer(name: str) -> None:
    assert apart(FROM_NEARBY[name](), DISTURBANCE) < APART


def hump(net: Net) -> tuple[float, float]:
    """Return how far a stitch stands above its two neighbours' slope along a row, at most, in stitch widths (negative:
    nowhere), and the share of floats that are taut."""
    x_nc = net.energy.state(rest(net.energy, tolerance=1e-13).q_f).x_nc
    height_ij = x_nc[:, 2].reshape(2 * len(TIGHT_ROWS), -1)
    taut_f = pulls(net.energy.term(FLOAT), State(x_nc)) > 0.0
    return float(-np.diff(height_ij, 2, axis=1).min() / WIDTH), float(taut_f.mean())


@pytest.mark.parametrize("heaviness", [1.0, 10.0])
def test_the_hammock_is_puckered_by_its_floats(heaviness: float) -> None:
    """Every float taut, stitches stand out by more than a stitch width; loose, every row hangs hollow throughout."""
    height, taut = hump(hammock(heaviness))
    assert taut == 1.0
    assert height > 1.0
    height, taut = hump(hammock(heaviness, slack=0.5))
    assert taut == 0.0
    assert height < 0.0
