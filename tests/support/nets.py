"""Nets of bars: what factors are tried on."""

from __future__ import annotations

import numpy as np

from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.factors.kinds import FactorPlan
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Term


def net(rows: int, columns: int, *, closed: bool, periodic: bool, rng: np.random.Generator) -> Energy:
    """Return a net of bars in rows and columns at random places; ``closed``: each row's end is tied to its start, and
    the last row to the first; ``periodic``: these ties count periods of a cell."""
    number = np.arange(rows * columns).reshape(rows, columns)
    bars = [np.column_stack([number[:, :-1].ravel(), number[:, 1:].ravel()])]
    bars += [np.column_stack([number[:-1].ravel(), number[1:].ravel()])]
    shifts = [np.zeros((len(some), 2, 2), dtype=np.intp) for some in bars]
    if closed:
        for axis, (end, start) in enumerate(((number[:, -1], number[:, 0]), (number[-1], number[0]))):
            shift = np.zeros((len(end), 2, 2), dtype=np.intp)
            shift[:, 1, axis] = 1 if periodic else 0
            bars.append(np.column_stack([end, start]))
            shifts.append(shift)
    x_nc = np.column_stack(
        [*(one.ravel() for one in np.indices((columns, rows)).swapaxes(1, 2)), np.zeros(number.size)]
    )
    period_a = np.array([float(columns), float(rows)]) if periodic else None
    term = Term("bars", Distance(), Elastic(1.0, 0.4), np.concatenate(bars), np.concatenate(shifts))
    return assemble([term], State(x_nc + rng.uniform(-0.2, 0.2, x_nc.shape), period_a), [0, 1, 2, 4, 5, 8])


def assert_as_dense_algebra(plan: FactorPlan, energy: Energy, nudge: float, rng: np.random.Generator) -> None:
    """Hold the factors of a Hessian to numpy's, whose least eigenvalue is made ``nudge``: none where that is negative,
    else the same answers to one force and to several."""
    matrix = energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])
    matrix.setdiag(matrix.diagonal() + nudge - np.linalg.eigvalsh(matrix.toarray())[0])
    dense = matrix.toarray()
    for precision in (np.float64, np.float32):
        factors = plan.factorised(matrix, precision)
        if precision is np.float64 or nudge == 1.0:  # a part in a thousand of a matrix of size one: single tells that
            assert (factors is not None) == (nudge > 0.0)
    if nudge > 0.0:
        force_fm = rng.normal(size=(len(dense), 2))
        factors = plan.factorised(matrix, np.float64)
        assert factors is not None
        want_fm = np.linalg.solve(dense, force_fm)
        np.testing.assert_allclose(factors.solve(force_fm[:, 0]), want_fm[:, 0], rtol=1e-8, atol=1e-8 / nudge)
        np.testing.assert_allclose(factors.solve_all(force_fm), want_fm, rtol=1e-8, atol=1e-8 / nudge)
        np.testing.assert_array_equal(factors.solve(np.zeros(len(dense))), np.zeros(len(dense)))
