"""CasADi and Ipopt at the same work: the energy as an expression, its exact Hessian derived, solved with MUMPS.

Of what was tried (SX or MX, springs by index, by a mapped function or by constant sparse difference matrices, every
ordering and scaling of MUMPS) this is the quickest, for build and solve together.
"""

from __future__ import annotations

import time
from typing import Any

import casadi
import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Ints
from tests.benchmarks.nets import TOLERANCE, Net
from tests.benchmarks.peers import AT_REST, Answer

OPTIONS: dict[str, Any] = {
    "print_time": False,
    "ipopt.print_level": 0,
    "ipopt.sb": "yes",
    "ipopt.tol": TOLERANCE,
    "ipopt.acceptable_iter": 0,  # nothing short of the tolerance will do
    "ipopt.nlp_scaling_method": "none",  # the units below are the scaling
    "ipopt.linear_solver": "mumps",
    "ipopt.mumps_pivot_order": 2,  # approximate minimum fill, the quickest here
}


def by_casadi(net: Net) -> Answer:
    """CasADi's graph in units of the spacing and a bar's stiffness, minimised by Ipopt."""
    began = time.process_time()
    free_f = net.free_f
    place_k = net.start_nc.ravel() / net.width
    x = casadi.MX.sym("x", len(free_f))
    energy = _stretch(x, net, net.bar_b2, net.stiffness_b, net.length_b, pulls_only=False)
    if len(net.float_f2):
        energy += _stretch(x, net, net.float_f2, net.float_stiffness_f, net.float_length_f, pulls_only=True)
    if net.weight_n.any():
        weight_k = np.zeros(place_k.size)
        weight_k[2::3] = net.weight_n / net.force
        energy += casadi.dot(casadi.DM(weight_k[free_f]), x)
    problem: dict[str, Any] = {"x": x, "f": energy}
    solver = casadi.nlpsol("net", "ipopt", problem, OPTIONS)
    built = time.process_time()
    found = solver(x0=place_k[free_f])
    place_k[free_f] = np.asarray(found["x"]).ravel()
    stats: dict[str, Any] = solver.stats()
    status = AT_REST if stats["return_status"] == "Solve_Succeeded" else str(stats["return_status"])
    return Answer((place_k * net.width).reshape(-1, 3), status, int(stats["iter_count"]), build=built - began)


def _stretch(x: Any, net: Net, end_s2: Ints, stiffness_s: Floats, length_s: Floats, *, pulls_only: bool) -> Any:
    """Return k/2 (l - L)^2 summed over springs, or k/2 <l - L>^2 of those that only pull: once differentiable."""
    number = np.arange(len(end_s2))
    ones = np.ones(len(end_s2))
    fixed_k = net.start_nc.ravel() / net.width
    fixed_k[net.free_f] = 0.0
    squares = 0
    for axis in sorted({int(k) % 3 for k in net.free_f}):
        ends = (np.tile(number, 2), np.concatenate([3 * end_s2[:, 1] + axis, 3 * end_s2[:, 0] + axis]))
        apart = sparse.csc_array((np.concatenate([ones, -ones]), ends), shape=(len(end_s2), len(fixed_k)))
        squares += (casadi.mtimes(_constant(apart[:, net.free_f]), x) + casadi.DM(apart @ fixed_k)) ** 2
    over = casadi.sqrt(squares) - casadi.DM(length_s / net.width)
    if pulls_only:
        over = casadi.fmax(0, over)
    return casadi.dot(casadi.DM(stiffness_s / net.stiffness), over**2) / 2


def _constant(matrix: sparse.csc_array) -> Any:
    entries = sparse.coo_array(matrix)
    return casadi.DM.triplet(entries.row.tolist(), entries.col.tolist(), casadi.DM(entries.data), *entries.shape)
