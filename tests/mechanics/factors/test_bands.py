"""Banded factors: the same answers as dense algebra, whatever closes on itself, and no band where none is to be had."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabricsim.fabric.build import fabric_energy
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.factors.bands import numbering
from fabricsim.mechanics.factors.sparse_lu import Unplanned
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.solver.direction import conjugate_gradients
from fabricsim.mechanics.terms import Term
from tests.support.arches import SINGLE
from tests.support.meshes import WORSTED, mesh_of
from tests.support.nets import assert_as_dense_algebra, net


@pytest.mark.parametrize("kind", ["open", "closed", "periodic"])
@pytest.mark.parametrize("nudge", [-1e-3, 1e-3, 1.0])
@settings(max_examples=4)  # of each of the nine; the nets differ by their sizes and where their nodes lie
@given(rows=st.integers(3, 6), columns=st.integers(3, 6), seed=st.integers(0, 2**31))
def test_banded_factors_answer_as_dense_algebra_does(
    rows: int, columns: int, kind: str, nudge: float, seed: int
) -> None:
    """Just definite and just not, by the least eigenvalue; with the sizes of the cell beside the band, which may be
    what tips it."""
    rng = np.random.default_rng(seed)
    energy = net(rows, columns, closed=kind != "open", periodic=kind == "periodic", rng=rng)
    place = numbering(energy.pattern, left_out=0.0)
    assert place is not None
    assert place.whole
    assert len(place.border_b) == (2 if kind == "periodic" else 0)
    assert_as_dense_algebra(place, energy, nudge, rng)


@pytest.mark.parametrize("size", [1e-200, 1.0, 1e200])
def test_single_precision_bands_answer_to_forces_of_any_size(size: float) -> None:
    energy = net(5, 4, closed=True, periodic=True, rng=np.random.default_rng(0))
    matrix = energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])
    matrix.setdiag(matrix.diagonal() + 5.0)
    place = numbering(energy.pattern)
    assert place is not None
    factors = place.factorised(matrix, np.float32)
    assert factors is not None
    force = np.random.default_rng(1).normal(size=matrix.shape[0])
    np.testing.assert_allclose(
        factors.solve(size * force) / size, np.linalg.solve(matrix.toarray(), force), rtol=SINGLE
    )


def test_what_closes_on_itself_is_folded() -> None:
    """A long strip closed into a ring: as numbered the last column meets the first over its whole length; folded or
    renumbered the band is that of two columns."""
    open_strip = net(40, 3, closed=False, periodic=False, rng=np.random.default_rng(0))
    ring = net(40, 3, closed=True, periodic=False, rng=np.random.default_rng(0))
    strip, round_it = (numbering(energy.pattern, left_out=0.0) for energy in (open_strip, ring))
    assert strip is not None
    assert round_it is not None
    assert strip.half == 11  # a column of 3 nodes on, 3 components each, and the 2 others of the node
    assert strip.half < round_it.half <= 2 * 11 + 1


def test_a_spiral_is_numbered_as_it_runs() -> None:
    """A tube of floats, knitted from right to left and numbered from left to right: along its height a stitch is
    coupled to those two rounds above, and by the ends of a float to those as far again as that passes."""
    rows = ("....#" * 4, "." * 20) * 6
    place = numbering(fabric_energy(mesh_of(rows, "round"), WORSTED, "test").pattern, left_out=0.0)
    assert place is not None
    assert place.half <= 3 * (2 * 20 + 4 + 1) + 2


def test_where_added_elements_fit_the_band_stays_and_elsewhere_another_is_found() -> None:
    """A net with a bar more between neighbours along a row, or along a diagonal."""
    begun = net(5, 40, closed=False, periodic=False, rng=np.random.default_rng(0))
    before = numbering(begun.pattern, left_out=0.0)
    assert before is not None
    for node_p, fits in (([3, 4], True), ([3, 44], False)):
        more = Term("more", Distance(), Elastic(1.0, 0.4), np.array([node_p]))
        one, other = (assemble([*begun.terms, more], begun.start, [0, 1, 2, 4, 5, 8]).pattern for _ in range(2))
        after, anew = numbering(one, left_out=0.0, former=before), numbering(other, left_out=0.0)
        assert after is not None
        assert anew is not None
        assert (after.place_n is before.place_n) == fits == (after.half <= before.half)
        np.testing.assert_array_equal(after.put_k, anew.put_k)
        np.testing.assert_array_equal(after.take_k, anew.take_k)


def test_a_lone_far_pair_is_left_out_of_the_band_and_made_good() -> None:
    """One bar from end to end of a long strip, as where fabric meets itself: the band stays that of the strip, and the
    direction is that of dense algebra all the same."""
    strip = net(300, 3, closed=False, periodic=False, rng=np.random.default_rng(0))
    bar = Term("far", Distance(), Elastic(1.0, 500.0), np.array([[6, 899]]))
    energy = assemble([*strip.terms, bar], strip.start, [0, 1, 2, 4, 5, 8])
    place, without = numbering(energy.pattern), numbering(strip.pattern)
    assert place is not None
    assert without is not None
    assert not place.whole
    assert place.half <= without.half + 3
    matrix = energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])
    matrix.setdiag(matrix.diagonal() + 5.0)
    factors = place.factorised(matrix, np.float64)
    assert factors is not None
    force = np.random.default_rng(1).normal(size=matrix.shape[0])
    solved = conjugate_gradients(matrix, factors, -force, 1e-12, 8)
    assert solved.finished
    np.testing.assert_allclose(solved.step_f, np.linalg.solve(matrix.toarray(), force), rtol=1e-9, atol=1e-12)


def test_where_everything_is_far_from_everything_there_is_no_band() -> None:
    """Nodes tied to others at random: no numbering brings them near each other."""
    pairs = np.random.default_rng(0).integers(0, 1500, (3000, 2))
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    energy = assemble([Term("ties", Distance(), Elastic(1.0, 1.0), pairs)], State(np.zeros((1500, 3))))
    assert numbering(energy.pattern) is None


def test_no_factors_of_what_is_not_finite() -> None:
    energy = net(4, 4, closed=False, periodic=False, rng=np.random.default_rng(0))
    matrix = energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])
    matrix.data[3] = np.nan
    place = numbering(energy.pattern)
    assert place is not None
    assert place.factorised(matrix, np.float64) is None
    assert Unplanned().factorised(matrix, np.float64) is None
