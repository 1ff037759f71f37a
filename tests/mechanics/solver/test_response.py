"""Solves with the factors of a Hessian, several at once: against numpy's dense solver."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import set_up
from fabricsim.mechanics.factors.sparse_lu import Unplanned
from fabricsim.mechanics.solver.response import Response
from tests.support.scenes import scene_of

CHART = ["..#...#.", ".##..#..", "#...##.."]


@pytest.mark.parametrize("case", ["repeat", "swatch"])
def test_several_forces_give_what_a_dense_solver_gives(case: str) -> None:
    rest = come_to_rest(set_up(scene_of(CHART, -0.04, worked="flat"), case), whole=True)  # type: ignore[arg-type]
    energy = rest.contact.energy
    response = Response.of(energy, energy.free(rest.state))
    force_fm = np.random.default_rng(1).standard_normal((len(energy.pattern.free_f), 300))
    wanted_fm = np.linalg.solve(response.hessian.toarray(), force_fm)
    assert np.abs(response.moves(force_fm) - wanted_fm).max() <= 1e-11 * np.abs(wanted_fm).max()


def test_sparse_factors_solve_for_several_forces_too() -> None:
    matrix = sparse.csc_array(np.array([[4.0, 1.0, 0.0], [1.0, 3.0, 1.0], [0.0, 1.0, 2.0]]))
    factors = Unplanned().factorised(matrix, np.float64)
    assert factors is not None
    assert factors.solve_all(matrix.toarray()) == pytest.approx(np.eye(3), abs=1e-15)


def test_no_answer_where_it_would_not_stay() -> None:
    contact = Contact.of(set_up(scene_of(["..#..."] * 2, 0.1), "repeat"))
    energy = contact.energy
    squeezed = energy.free(energy.start)
    squeezed[-2:] *= 0.5  # squeezed to half its size it would buckle
    with pytest.raises(NoEquilibriumError, match="verge"):
        Response.of(energy, squeezed)
