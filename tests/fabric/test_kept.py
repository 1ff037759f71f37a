"""Pairs that are kept are those that would be found anew, whatever has moved; and they are kept while little has."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.contact import DEEPEST, LISTED, SPARE, Contact
from fabricsim.fabric.kept import KeptPairs
from fabricsim.fabric.pairs import near, pairs_within, surface
from fabricsim.mechanics.assemble import State
from tests.support.folds import hairpin
from tests.support.meshes import mesh_of
from tests.support.scenes import fabric_of

CASES: tuple[Case, ...] = ("repeat", "swatch", "round")


def crumpled(state: State, rng: np.random.Generator, affine: float, own: float) -> State:
    """Return a state moved by an affine map that much off nothing, and every stitch by up to so many metres."""
    map_cc = np.eye(3) + affine * rng.normal(size=(3, 3))
    period_a = state.period_a
    if period_a is not None:
        stretch = 1.0 + affine * rng.normal(size=2)
        map_cc, period_a = np.diag([*stretch, 1.0]), period_a * stretch * (1.0 + 0.1 * affine * rng.normal(size=2))
    return State(state.x_nc @ map_cc + own * rng.uniform(-1.0, 1.0, state.x_nc.shape), period_a)


def told(pairs: tuple[np.ndarray, np.ndarray]) -> set[tuple[int, ...]]:
    return set(map(tuple, np.concatenate(pairs, axis=1).tolist()))


@given(
    case=st.sampled_from(CASES),
    affine=st.sampled_from([0.0, 0.02, 0.3]),
    own=st.sampled_from([0.0, 1e-4, 1e-3]),
    seed=st.integers(0, 2**31),
)
def test_all_that_is_near_is_among_what_is_kept(case: Case, affine: float, own: float, seed: int) -> None:
    """From state to state, against a look for all pairs in each; those farther apart in plain fabric than asked."""
    mesh = mesh_of(("." * 8,) * 6, case)
    rng, faces = np.random.default_rng(seed), surface(mesh)
    state = State(mesh.rest_nc, mesh.period_a)
    reach, least = 1.5 * mesh.thickness, 1.1 * mesh.row_height
    kept = [KeptPairs(faces, state, 0.5 * mesh.thickness, one) for one in (0.0, least)]
    for _ in range(6):
        state = crumpled(state, rng, affine, own)
        want = told(near(faces.at(state), state.period_a, reach))
        all_of_them, far = (told((one.place_p2, one.shift_p2)) for one in (k.nearer(state, reach) for k in kept))
        assert want <= all_of_them
        assert far <= all_of_them
        plain = {key for key in all_of_them if key not in far}
        found = kept[1].nearer(state, reach)
        assert (found.plain_p >= least).all()
        assert plain.isdisjoint(told((found.place_p2, found.shift_p2)))


@pytest.mark.parametrize("case", CASES)
def test_a_contact_sees_what_a_look_for_all_pairs_sees(case: Case) -> None:
    """To the last bit and in the same order: in sheets that fold together bit by bit."""
    mesh = mesh_of(("." * 12,) * 5, case)
    contact = Contact.of(fabric_of(mesh))
    folded_nc = hairpin(mesh.rest_nc, 0.9 * mesh.thickness)
    reused = 0
    for share in np.linspace(0.0, 1.0, 200):
        x_nc = (1.0 - share) * mesh.rest_nc + share * folded_nc
        state = State(x_nc, None if mesh.period_a is None else mesh.period_a)
        reused += contact.kept.at_hand(state, LISTED * mesh.thickness) is not None
        found = contact._pairs(contact.kept.nearer(state, LISTED * mesh.thickness), state, LISTED)
        want = pairs_within(mesh, contact.surface, state, LISTED)
        np.testing.assert_array_equal(found.keys(), want.keys())
        np.testing.assert_array_equal(found.apart_p, want.apart_p)
        np.testing.assert_array_equal(found.room_p, want.room_p)
        deep = pairs_within(mesh, contact.surface, state, DEEPEST)
        least = float((deep.apart_p / deep.room_p).min(initial=np.inf))
        assert contact._nearest(state) == least
    assert 100 < reused < 200


@pytest.mark.parametrize("case", CASES)
def test_what_draws_in_evenly_is_kept_and_what_moves_by_itself_is_looked_for(case: Case) -> None:
    mesh = mesh_of(("." * 8,) * 6, case)
    plain = State(mesh.rest_nc, mesh.period_a)
    kept, reach = KeptPairs(surface(mesh), plain, SPARE * mesh.thickness), LISTED * mesh.thickness
    assert kept.at_hand(plain, reach) is None
    found = kept.nearer(plain, reach)
    by = 0.9
    drawn = State(mesh.rest_nc * [by, 1.0, by] + 0.1, None if mesh.period_a is None else mesh.period_a * [by, 1.0])
    assert kept.nearer(drawn, reach) is found
    assert kept.nearer(State(3.0 * mesh.rest_nc, mesh.period_a), reach) is not found or mesh.period_a is None
    kept.nearer(plain, reach)
    spare = SPARE * mesh.thickness
    for moved, held in ((0.4, True), (0.6, False)):
        x_nc = mesh.rest_nc.copy()
        x_nc[11, 2] += moved * spare
        assert (kept.at_hand(State(x_nc, mesh.period_a), reach) is not None) == held
    assert kept.at_hand(State(np.full_like(mesh.rest_nc, np.nan), mesh.period_a), reach) is None


def test_other_processes_find_their_own() -> None:
    mesh = mesh_of(("." * 8,) * 6, "swatch")
    kept = KeptPairs(surface(mesh), State(mesh.rest_nc), mesh.thickness)
    kept.nearer(State(mesh.rest_nc), mesh.thickness)
    other = pickle.loads(pickle.dumps(kept))
    assert other.at_hand(State(mesh.rest_nc), mesh.thickness) is None
    assert told_by(other, mesh.rest_nc, mesh.thickness) == told_by(kept, mesh.rest_nc, mesh.thickness)


def told_by(kept: KeptPairs, x_nc: np.ndarray, reach: float) -> set[tuple[int, ...]]:
    found = kept.nearer(State(x_nc), reach)
    return told((found.place_p2, found.shift_p2))
