"""Compiled sums against those of numpy: the same energies, forces and blocks to round-off, each time the same bits."""

from __future__ import annotations

import pickle
from dataclasses import replace
from functools import cached_property

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.relax import come_to_rest
from fabricsim.mechanics import compiled
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.energies.registry import KINDS, Patch
from fabricsim.mechanics.energies.tie import AnchoredDistance
from fabricsim.mechanics.energies.wrap import WrappedDistance
from fabricsim.mechanics.laws import Taut
from fabricsim.mechanics.pattern import Pattern
from fabricsim.mechanics.summing import ArraySum
from fabricsim.mechanics.terms import Term
from tests.benchmarks.fabrics import fabric
from tests.mechanics.test_pattern import NODES, random_term

built = pytest.mark.skipif(compiled.LOADED is None, reason="no compiler was at hand, or it is switched off")

LEFT_TO_NUMPY = {"form", "friction"}
"""Energies of one use, on few fabrics, that compiled code doesn't know."""
OF_BLOCKS = 5e-15
"""Share of the largest: sums of a few dozen rounded products."""
OF_PLACES = 2.0**-50
"""Places are rounded to a 2**-53 of the farthest; so forces can't be told nearer than that times the stiffness, nor
energies than that times forces; four times over for lengths and three components."""


class ByArrays(Energy):
    """An energy that numpy sums."""

    @cached_property
    def _summed_t(self) -> tuple[ArraySum, ...]:
        return tuple(ArraySum(term, self.pattern, number) for number, term in enumerate(self.terms))


def assert_alike(energy: Energy, q_f: Floats) -> None:
    """The energy by compiled code alone, against numpy."""
    assert [type(one) for one in energy._summed_t] == [compiled.CompiledSum] * len(energy.terms)
    other = ByArrays(energy.terms, energy.start, energy.pattern, energy.reach_t)
    (u, force_f, exact_eb), (want_u, want_f, want_eb) = energy.hessian(q_f), other.hessian(q_f)
    assert u == energy.value(q_f) == energy.gradient(q_f)[0]  # to the last bit: a line search compares them
    np.testing.assert_array_equal(energy.gradient(q_f)[1], force_f)
    place_pc, each_tpc = energy._places(q_f), [energy._nothing() for _ in energy.terms]
    u_t = [
        abs(one.gradient(place_pc, force_pc)) for one, force_pc in zip(other._summed_t, each_tpc, strict=True)
    ]  # at rest they balance
    near = OF_PLACES * np.abs(place_pc).max()
    assert abs(u - want_u) <= near * np.abs(each_tpc).sum() + OF_BLOCKS * sum(u_t)
    assert np.abs(force_f - want_f).max() <= near * np.abs(want_eb).max()
    for got, want in ((exact_eb, want_eb), (energy.material(q_f), other.material(q_f))):
        full, full_want = (energy.pattern.fill(one).toarray() for one in (got, want))
        assert np.abs(full - full_want).max() <= OF_BLOCKS * np.abs(full_want).max()
        np.testing.assert_array_equal(full, full.T)


@built
@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("name", KINDS)
def test_every_energy_is_summed_as_by_numpy(name: str, seed: int) -> None:
    """Strained by a fifth, so that all laws are on either side of where they change; in a cell that it crosses, too."""
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid(np.arange(3.0), 0.7 * np.arange(3.0))
    patch = Patch(np.column_stack([x.ravel(), y.ravel(), 0.1 * rng.normal(size=9)]))
    term = KINDS[name].sample(patch, rng)
    if name in LEFT_TO_NUMPY:
        one = assemble([term], State(patch.rest_nc))._summed_t[0]
        assert isinstance(one, ArraySum)
        return
    x_nc = patch.rest_nc + 0.2 * rng.normal(size=(9, 3))
    shifted = replace(term, shift_bpa=rng.integers(-1, 2, (*term.node_bp.shape, 2)))
    for state, one in (
        (State(x_nc), term),
        (State(x_nc, np.array([3.0, 2.1])), shifted),
        (State(x_nc, np.ones(2)), term),
    ):
        energy = assemble([one], state, [0, 4, 5])
        assert_alike(energy, energy.free(state))


@built
@pytest.mark.parametrize("periodic", [False, True])
@pytest.mark.parametrize("anchors", [2, 3, 5, 9])
def test_wraps_of_any_length_are_summed_as_by_numpy(anchors: int, periodic: bool) -> None:
    """Twenty floats behind a rough strip: some lie about every anchor, some about none."""
    rng = np.random.default_rng(anchors)
    along, side = np.meshgrid(np.arange(anchors + 2.0), np.arange(3.0))
    nodes = along.size
    x_nc = np.column_stack([along.ravel(), side.ravel(), np.zeros(nodes)])
    middle = np.arange(anchors + 2, 2 * (anchors + 2))[1:-1]
    one_p = np.column_stack([middle, middle - 1, middle + 1, middle - anchors - 2, middle + anchors + 2]).ravel()
    node_bp = np.concatenate([one_p + nodes * b for b in range(20)]).reshape(20, -1)
    x_nc = np.concatenate([x_nc + rng.normal(size=x_nc.shape) * 0.15 for _ in range(20)])
    shift_bpa = rng.integers(0, 2, (20, 1, 2)) * np.ones((1, 5 * anchors, 1), dtype=int) if periodic else None
    if shift_bpa is not None:
        shift_bpa[:, :5] = 0  # the first anchor alone is in another period than the rest
    geometry = WrappedDistance(anchors, 0.1)
    term = Term("wrap", geometry, Taut(rng.uniform(1.0, 2.0, 20), 0.5 * (anchors - 1.0)), node_bp, shift_bpa)
    energy = assemble([term], State(x_nc, np.array([0.3, 0.2]) if periodic else None))
    turns_bk = geometry.course(term.spans(x_nc, energy.start.period_a))[2]
    assert anchors == 2 or turns_bk[:, 1:-1].any() > turns_bk[:, 1:-1].all()
    assert_alike(energy, energy.free(energy.start))


@built
@pytest.mark.parametrize(("case", "rows", "stitches"), [("repeat", 13, 10), ("swatch", 14, 13), ("round", 8, 20)])
def test_whole_fabrics_are_summed_as_by_numpy_and_come_to_the_same_rest(
    case: Case, rows: int, stitches: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At rest under tight floats, wrapped ones among them, and shaken there; numpy comes to the same shape, to the
    solver's tolerance."""
    rest = come_to_rest(fabric(case, rows, stitches, -0.1))
    energy = rest.contact.energy
    q_f = energy.free(rest.state)
    for shaken in (0.0, 1e-5, 1e-4):
        assert_alike(energy, q_f + shaken * np.random.default_rng(1).normal(size=q_f.shape))
    again = come_to_rest(fabric(case, rows, stitches, -0.1))
    np.testing.assert_array_equal(again.x_nc, rest.x_nc)
    monkeypatch.setattr(compiled, "LOADED", None)
    by_numpy = come_to_rest(fabric(case, rows, stitches, -0.1))
    assert [type(one) for one in by_numpy.contact.energy._summed_t] == [ArraySum] * len(energy.terms)
    assert abs(by_numpy.effort.energy / rest.effort.energy - 1.0) < 1e-12
    assert np.abs(by_numpy.x_nc - rest.x_nc).max() < 1e-6 * rest.mesh.stitch_width


@built
@pytest.mark.parametrize("periodic", [False, True])
@pytest.mark.parametrize("held", [[], [0, 4, 5, 11], [21], [1, 2, 22]])
def test_blocks_go_to_the_same_columns_as_by_arrays(
    held: list[int], periodic: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of points that coincide, with unknowns held, periods among them; and where nothing but the diagonal is stored."""
    rng = np.random.default_rng(6)
    state = State(rng.normal(size=(NODES + 1, 3)), np.array([1.0, 2.0]) if periodic else None)
    held = [k for k in held if k < len(state.to_vector())]
    for terms in ([random_term(rng, periodic=periodic)], []):
        first = assemble(terms, state, held).pattern
        monkeypatch.setattr(compiled, "LOADED", None)
        other = assemble(terms, state, held).pattern
        monkeypatch.undo()
        for name in ("indices", "indptr", "source"):
            one, want = getattr(first, name), getattr(other, name)
            np.testing.assert_array_equal(one, want)
            assert one.dtype == want.dtype


def test_what_compiled_code_does_not_know_is_left_to_numpy() -> None:
    """A geometry of one's own, and one derived from a known one, beside a bar."""
    rng = np.random.default_rng(2)

    class Longer(AnchoredDistance):
        """A tie of another kind."""

    bar, tie = KINDS["bar"], KINDS["tie"]
    patch = Patch(rng.normal(size=(9, 3)))
    known = bar.sample(patch, rng)
    derived = tie.sample(patch, rng)
    energy = assemble([known, random_term(rng), replace(derived, geometry=Longer(0.1))], State(patch.rest_nc))
    first = ArraySum if compiled.LOADED is None else compiled.CompiledSum
    assert [type(one) for one in energy._summed_t] == [first, ArraySum, ArraySum]


@built
def test_an_energy_that_was_used_goes_to_another_process() -> None:
    rng = np.random.default_rng(3)
    patch = Patch(rng.normal(size=(9, 3)))
    energy = assemble([KINDS["tie"].sample(patch, rng)], State(patch.rest_nc))
    q_f = energy.free(energy.start)
    there = pickle.loads(pickle.dumps((energy.gradient(q_f), energy)[1]))
    np.testing.assert_array_equal(there.gradient(q_f)[1], energy.gradient(q_f)[1])


@built
def test_pairs_of_points_that_join_nothing_have_no_place() -> None:
    """Elements of a cell none of which crosses its edge draw on no period."""
    rng = np.random.default_rng(4)
    patch = Patch(rng.normal(size=(9, 3)))
    pattern: Pattern = assemble([KINDS["bar"].sample(patch, rng)], State(patch.rest_nc, np.ones(2))).pattern
    assert ((pattern.pair_t[0] >= 0) == [True, True, False, False, True, False, False, False, False, False]).all()
    assert pattern.reach_t[0].crossed_bma is None
