"""The program and its peers at the same work: a net to rest, from its terms or springs to the last digit asked for.

Every peer is given its net and builds all it needs inside the time measured.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.assemble import Energy, assemble
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping
from tests.benchmarks.nets import TOLERANCE, Net
from tests.support.oracle import Springs, relax, springs_of, stable_masses

MEMORY = 10
"""Pairs that L-BFGS-B remembers: of 5, 10, 20 and 40 the quickest here, or as good (measured)."""
AT_REST, DID_NOT_REACH = Status.AT_REST.name, "did not reach"
ENDLESS = 1_000_000
"""Steps allowed to the slow ones: more than any needs."""


@dataclass(frozen=True)
class Answer:
    """Where a peer says that the net rests, ``x_nc`` (n, 3) m, and what it took; ``build`` s of it before solving."""

    x_nc: Floats
    status: str
    steps: int
    factorisations: int | None = None
    build: float | None = None


def energy_of(net: Net) -> Energy:
    """Return the net's energy as the program's own mechanics sees it."""
    return assemble(net.terms(), net.start(), net.held)


def by_fabricsim(net: Net) -> Answer:
    """The program itself: exact Newton with factors kept while they serve."""
    energy = energy_of(net)
    found = minimise(energy, energy.free(energy.start), Stopping(TOLERANCE * net.force))
    return Answer(energy.state(found.q_f).x_nc, found.status.name, found.steps, found.factorisations)


def by_lbfgs(net: Net) -> Answer:
    """scipy's L-BFGS-B on the program's own energy and gradient, in units of the spacing and the force scale.

    Every unknown is scaled by the root of the stiffness that meets at its node: where that is uneven, as with floats,
    it is up to twice as quick for it, and less apt to overshoot into another minimum. Where it is even nothing changes.
    """
    energy = energy_of(net)
    stiffness_n = stable_masses(_springs(net), len(net.start_nc))
    root_f = np.sqrt(np.repeat(stiffness_n / stiffness_n.mean(), 3))[net.free_f]
    force_left = np.inf

    def value(y_f: Floats) -> tuple[float, Floats]:
        nonlocal force_left
        u, gradient_f = energy.gradient(y_f / root_f * net.width)
        force_left = largest(gradient_f) / net.force
        return u / (net.force * net.width), gradient_f / root_f / net.force

    def enough(xk: Floats) -> None:
        if force_left <= TOLERANCE:
            raise StopIteration

    found = minimize(
        value,
        root_f * energy.free(energy.start) / net.width,
        jac=True,
        method="L-BFGS-B",
        callback=enough,
        options={"maxcor": MEMORY, "maxiter": ENDLESS, "maxfun": ENDLESS, "ftol": 0.0, "gtol": 0.0},
    )
    # It stops where the energy falls by no more than round-off, which may be before the force is small enough.
    q_f = found.x / root_f * net.width
    reached = largest(energy.gradient(q_f)[1]) <= TOLERANCE * net.force
    return Answer(energy.state(q_f).x_nc, AT_REST if reached else DID_NOT_REACH, int(found.nit))


def by_mujoco(net: Net) -> Answer:
    """MuJoCo's particles and tendons brought to rest by damped dynamics."""
    springs = _springs(net)
    x_nc, steps = relax(
        stable_masses(springs, len(net.start_nc)),
        springs,
        net.start_nc,
        net.held,
        weight_n=net.weight_n,
        tolerance=TOLERANCE * net.force,
        most=ENDLESS,
    )
    return Answer(x_nc, AT_REST, steps)


def _springs(net: Net) -> list[Springs]:
    bars, floats = net.terms()[:2]
    return springs_of(bars) + springs_of(floats)
