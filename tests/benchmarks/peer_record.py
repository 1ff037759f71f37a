"""A peer's record, and the check that it found the very minimum that the program finds.

A peer that stops short of the tolerance may have gone to another minimum, if a higher one: its status then says so.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from fabricsim.arrays import Floats, largest
from fabricsim.mechanics.assemble import Energy, State
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Stopping
from tests.benchmarks.nets import NETS, TOLERANCE, Net
from tests.benchmarks.peers import AT_REST, Answer, by_fabricsim, energy_of
from tests.benchmarks.record import record

SAME_ENERGY = 1e-9
"""Relative difference; an energy is flat at its minimum, so this is a loose net for another minimum (chosen)."""
SAME_PLACE = 1e-4
"""In spacings: the tolerance over the softest motion of these nets (chosen)."""
NEAR = 1e-5
"""Force left, as a share of ``Net.force``, where a peer that stopped short is still taken to be at a minimum: ten
thousand times what was asked for (chosen)."""
ROUNDS = {30: 5, 60: 3}
"""The quick works are done several times, at most; the median counts."""


@cache
def _net(name: str, size: int) -> Net:
    return NETS[name](size)


@cache
def _our_place(name: str, size: int) -> Floats:
    return by_fabricsim(_net(name, size)).x_nc


def record_peer(
    benchmark: Any, by: str, solve: Callable[[Net], Answer], name: str, size: int, *, slow: bool = False
) -> None:
    """Time ``solve`` on a net of ``size`` x ``size`` nodes, record its answer and hold it against the program's own."""
    net = _net(name, size)
    rounds = 1 if slow else ROUNDS.get(size, 2)
    answer = record(benchmark, name, by, size * size, lambda: solve(net), rounds=rounds, warmup=0 if slow else 1)
    energy = energy_of(net)
    residual = largest(energy.gradient(energy.free(State(answer.x_nc)))[1]) / net.force
    benchmark.extra_info.update(
        steps=answer.steps,
        factorisations=answer.factorisations,
        status=answer.status,
        residual=residual,
        build=answer.build,
    )
    reached = answer.status == AT_REST
    x_nc = answer.x_nc if reached else _finished(net, energy, answer.x_nc)
    assert not reached or residual <= 1.01 * TOLERANCE  # a per cent for round-off between two ways of writing a force
    ours_nc = _our_place(name, size)
    u, u_ours = (energy.value(energy.free(State(place))) for place in (x_nc, ours_nc))
    if not reached and u > u_ours + SAME_ENERGY * abs(u_ours):
        # It overshot into a worse minimum and so did not do the work; a better one would be the program's failing.
        benchmark.extra_info.update(status=f"{answer.status}, higher")
        return
    assert abs(u - u_ours) <= SAME_ENERGY * abs(u_ours)
    assert np.abs(x_nc - ours_nc).max() <= SAME_PLACE * net.width


def _finished(net: Net, energy: Energy, x_nc: Floats) -> Floats:
    """Return the minimum that a place near it leads to, (n, 3) m, for a peer that stopped short of it."""
    short = largest(energy.gradient(energy.free(State(x_nc)))[1]) / net.force
    assert short <= NEAR, "it stopped nowhere near a minimum"
    found = minimise(energy, energy.free(State(x_nc)), Stopping(TOLERANCE * net.force))
    assert found.status.at_rest
    return energy.state(found.q_f).x_nc
