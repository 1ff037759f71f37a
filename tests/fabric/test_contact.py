"""What is watched, what is carried over to a like fabric, and how far a step may go: small pieces, no solve."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.fabric.build import drawn_out, held_unknowns, load_terms, start_of
from fabricsim.fabric.contact import FARTHEST, LISTED, LOOKS, NEARLY, Contact, _moved_apart, _within_sight
from fabricsim.fabric.crossing import Cells, _pierces
from fabricsim.fabric.mesh import Grip, Mesh
from fabricsim.fabric.pairs import MOST_IMAGES, near, pairs_within, surface
from fabricsim.mechanics.assemble import State, assemble
from tests.support.folds import hairpin
from tests.support.meshes import TIGHT_ROWS, WORSTED, mesh_of
from tests.support.scenes import fabric_of

PLAIN = ("." * 20,) * 3


def sheet() -> Mesh:
    return mesh_of(PLAIN, "swatch")


def doubled(mesh: Mesh, gap: float) -> State:
    """A sheet laid double, its sides so many thicknesses apart."""
    return State(hairpin(mesh.rest_nc, gap * mesh.thickness))


# ---- how far a step may go --------------------------------------------------------------------------


def test_a_step_is_cut_to_a_hundred_sizes_of_the_fabric() -> None:
    here = State(np.array([[0.0, 0.0, 0.0], [0.3, 0.1, 0.0]]))
    for reach, share in ((0.0, 1.0), (1.0, 1.0), (30.0, 1.0), (60.0, 0.5), (3000.0, 0.01)):
        assert _within_sight(here, np.array([-reach, 0.5 * reach])) == pytest.approx(share)
    wide = State(here.x_nc, np.array([0.2, 0.6]))  # a cell is as large as its periods
    assert _within_sight(wide, np.array([2.0 * FARTHEST * 0.6])) == pytest.approx(0.5)
    narrow = State(here.x_nc, np.array([0.1, 0.2]))
    assert _within_sight(narrow, np.array([2.0 * FARTHEST * 0.3])) == pytest.approx(0.5)


def test_what_moves_all_alike_moves_nothing_apart() -> None:
    """Shifted, turned, stretched and sheared: an affine map; and a single stitch by what it moves more."""
    mesh = sheet()
    before = State(mesh.rest_nc + 0.001 * np.random.default_rng(0).normal(size=mesh.rest_nc.shape))
    affine = before.x_nc @ np.array([[1.2, 0.3, 0.0], [-0.1, 0.8, 0.4], [0.2, 0.0, 1.0]]) + [0.1, -0.2, 0.3]
    assert _moved_apart(before, State(affine)) < 1e-12
    one_nc = before.x_nc.copy()
    one_nc[30, 2] += 0.004
    assert 0.9 * 0.004 < _moved_apart(before, State(one_nc)) < 0.004
    one_nc[30, 2] = np.inf
    assert _moved_apart(before, State(one_nc)) == 0.0


class Watchful(Contact):
    """Says of each look where it was, and that it is too near, or crosses, from there on."""

    def __init__(self, from_share: float, how: str) -> None:
        super().__init__(**vars(Contact.of(fabric_of(sheet()))))
        self.from_share, self.how = from_share, how
        self.seen: list[float] = []

    def share_of(self, x_nc: Floats) -> float:
        return float((x_nc - self.fabric.mesh.rest_nc)[30, 2]) / self.far

    def _nearest(self, state: State) -> float:
        share = self.share_of(state.x_nc)
        self.seen.append(round(share, 9))
        return 0.1 if self.how == "near" and share >= self.from_share else np.inf

    def allowed(self, energy: Any, q_f: Floats, new_f: Floats) -> bool:
        return self.how == "near" or self.share_of(energy.state(new_f).x_nc) < self.from_share

    def asked(self, thicknesses: float) -> float:
        """Return how much of a step may be taken that moves one stitch so many thicknesses up."""
        mesh, energy = self.fabric.mesh, self.energy
        self.far = thicknesses * mesh.thickness
        x_nc = mesh.rest_nc.copy()
        x_nc[30, 2] += self.far
        q_f = energy.free(State(mesh.rest_nc))
        self.seen.clear()
        return self.longest(energy, q_f, energy.free(State(x_nc)) - q_f)


@pytest.mark.parametrize("how", ["near", "crossing"])
@pytest.mark.parametrize("thicknesses", [0.3, 2.0, 9.0])
def test_a_step_ends_before_the_first_look_at_which_anything_is_too_near_or_crosses(
    how: str, thicknesses: float
) -> None:
    """Looks are half a thickness apart at most; where the very first is too near, half of the way to it."""
    for from_share in (0.01, 0.4, 0.99, 2.0):
        contact = Watchful(from_share, how)
        share = contact.asked(thicknesses)
        looked = contact.seen[1:]  # after one where it is
        apart = np.diff([0.0, *looked])
        assert (apart * thicknesses <= 0.5 + 1e-6).all()
        if from_share == 2.0:
            assert share == 1.0 == looked[-1]
        else:
            assert all(one < from_share for one in looked[:-1])
            assert looked[-1] >= from_share  # and from there on it looks no more
            assert share == pytest.approx(looked[-2] if len(looked) > 1 else 0.5 * looked[0])


def test_a_step_that_would_take_too_many_looks_is_cut_short() -> None:
    contact = Watchful(2.0, "near")
    share = contact.asked(100.0)
    assert len(contact.seen) == 1 + LOOKS
    assert share == pytest.approx(contact.seen[-1]) == pytest.approx(LOOKS * 0.5 / 100.0, rel=0.1)


def test_places_that_are_too_near_already_may_come_no_nearer() -> None:
    """Below half of their room, as at a random start: there the least distance so far is the least allowed."""
    mesh = sheet()
    contact = Contact.of(fabric_of(mesh))
    energy, here = contact.energy, doubled(mesh, 0.3)
    q_f = energy.free(here)
    upper = mesh.column_n >= 12
    for by, most in ((-0.2, 0.5), (0.2, 1.0)):
        step_f = energy.free(State(here.x_nc + by * mesh.thickness * upper[:, None] * [0.0, 0.0, 1.0])) - q_f
        assert contact.longest(energy, q_f, step_f) <= most
        assert (contact.longest(energy, q_f, step_f) == 1.0) == (by > 0.0)


# ---- what is noticed -------------------------------------------------------------------------------


@pytest.mark.parametrize(("gap", "noticed"), [(1.2, True), (1.45, True), (1.52, False), (1.62, False)])
def test_a_list_is_made_where_any_come_near_of_all_that_are_not_far(gap: float, noticed: bool) -> None:
    """Nearest of all are stitches around the bend: at 1.5 thicknesses 1.2538 times their room."""
    mesh = sheet()
    contact = Contact.of(fabric_of(mesh))
    state = doubled(mesh, gap)
    assert contact.notice(state) == noticed
    want = pairs_within(mesh, surface(mesh), state, LISTED)
    assert len(contact.watched) == (len(want) if noticed else 0)
    assert not contact.notice(state)  # there is nothing more to add
    if noticed:
        over_p = contact.watched.apart_p / contact.watched.room_p
        assert over_p.min() < 1.25 < 1.4 < over_p.max() < 1.6  # what is a little farther is watched along
        assert len(np.unique(contact.watched.keys())) == len(contact.watched)
        contact.notice(doubled(mesh, gap - 0.1))
        assert len(np.unique(contact.watched.keys())) == len(contact.watched)  # none is watched twice


@pytest.mark.parametrize("bulging", [3, 1], ids=["bulging_all", "bulging_one"])
def test_floats_are_wrapped_once_any_pulls_over_a_bulge_and_those_that_nearly_pull_along_with_it(bulging: int) -> None:
    """Three rows alike with a stitch that bulges under a float of six, in each or in the first alone; yarn of just less
    than the way behind it, just more, and much more."""
    mesh = mesh_of(("#......#",) * 3, "swatch", 0.0)
    long_f = mesh.floats.gap_f == 6
    x_nc = mesh.rest_nc.copy()
    x_nc[(mesh.column_n == 3) & (mesh.row_n < bulging), 2] -= 0.002
    way_f = Contact.of(fabric_of(mesh)).tracks.at(State(x_nc)).length_f
    for share_f, wrapped in (
        ((0.999, 1.0 / (NEARLY + 0.001), 1.0 / (NEARLY - 0.001)), (True, True, False)),
        ((1.001, 1.001, 1.2), (False, False, False)),  # nobody pulls yet
    ):
        length_f = mesh.floats.length_f.copy()
        length_f[long_f] = way_f[long_f] * share_f
        cut = replace(mesh, floats=replace(mesh.floats, length_f=length_f))
        contact = Contact.of(fabric_of(cut))
        assert contact.notice(State(x_nc)) == any(wrapped)
        assert contact.wrapped_f[long_f].tolist() == list(wrapped)
        assert not contact.wrapped_f[~long_f].any()
        # each float is in one term: straight, or behind what it passes
        straight, *behind = contact._float_terms()
        assert len(straight.node_bp) == int((~contact.wrapped_f).sum())
        assert sum(len(one.node_bp) for one in behind) == int(contact.wrapped_f.sum())
        assert not contact.notice(State(mesh.rest_nc))  # plain fabric adds nothing


# ---- what is carried over --------------------------------------------------------------------------


def test_only_a_fabric_of_the_same_stitches_is_a_like_one() -> None:
    tight = fabric_of(mesh_of(TIGHT_ROWS, "repeat", -0.05))
    contact = Contact.of(tight)
    assert contact.carried_over(fabric_of(mesh_of(TIGHT_ROWS * 2, "repeat", -0.05))) is None
    assert contact.carried_over(fabric_of(mesh_of(TIGHT_ROWS, "round", -0.05))) is None
    assert contact.carried_over(fabric_of(mesh_of(("......",) * 4, "repeat", -0.05))) is not None


def test_of_other_floats_those_that_stay_lie_where_they_lay_and_the_rest_is_looked_at() -> None:
    """The energy is that of a contact made for the new floats, with the same of them behind the fabric."""
    old, new = (fabric_of(mesh_of(rows, "repeat", -0.05)) for rows in (TIGHT_ROWS, (*TIGHT_ROWS[:-1], "......")))
    contact = Contact.of(old)
    contact.wrapped_f = np.ones_like(contact.wrapped_f)
    carried = contact.carried_over(new)
    assert carried is not None
    known = set(map(tuple, old.mesh.floats.node_f2.tolist()))
    stayed_f = np.array([tuple(ends) in known for ends in new.mesh.floats.node_f2.tolist()])
    assert 0 < stayed_f.sum() < len(old.mesh.floats)
    np.testing.assert_array_equal(carried.wrapped_f, stayed_f)
    alone = replace(Contact.of(new), wrapped_f=stayed_f)
    fresh = assemble(alone._terms(), start_of(new.mesh), held_unknowns(new.mesh))
    q_f = fresh.free(fresh.start)
    q_f = q_f + 1e-3 * np.random.default_rng(2).normal(size=q_f.shape)
    np.testing.assert_allclose(carried.energy.gradient(q_f)[1], fresh.gradient(q_f)[1], atol=1e-12)
    # in a bulging fabric those that it gets in the way of are wrapped at once
    bulging = State(old.mesh.rest_nc + [[0.0, 0.0, 2e-3]] * (old.mesh.column_n % 3 == 1)[:, None], old.mesh.period_a)
    seen = Contact.of(new).carried_over(old, bulging)
    assert seen is not None
    asked = Contact.of(old)
    asked.notice(bulging)
    np.testing.assert_array_equal(seen.wrapped_f, asked.wrapped_f)


def test_laws_and_lengths_are_those_of_the_new_fabric_on_the_old_pattern() -> None:
    """Whatever changes, energies are those of a contact made for it alone."""
    tight = fabric_of(mesh_of(TIGHT_ROWS, "repeat", -0.05))
    contact = Contact.of(tight)
    contact.clear_f = np.zeros(3)
    rng = np.random.default_rng(1)
    for other in (
        tight.with_slack_shifted(0.03),
        tight.with_stiffness(WORSTED.bent(2.0)),
        tight.with_stitches_scaled(1.1),
        replace(tight, mesh=replace(tight.mesh, grip=Grip(0, (0.03, 0.02), size=0.033))),
    ):
        carried, alone = contact.carried_over(other), Contact.of(other)
        assert carried is not None
        assert carried.fabric is other
        assert carried.clear_f is None  # what was clear there may not be here
        assert carried.energy.free(start_of(other.mesh)).shape == alone.energy.free(start_of(other.mesh)).shape
        q_f = alone.energy.free(alone.energy.start)
        q_f = q_f + 1e-3 * rng.normal(size=q_f.shape)
        assert carried.energy.value(q_f) == pytest.approx(alone.energy.value(q_f), rel=1e-9)
        np.testing.assert_allclose(carried.energy.gradient(q_f)[1], alone.energy.gradient(q_f)[1], atol=1e-9)
        np.testing.assert_array_equal(carried.energy.start.x_nc, alone.energy.start.x_nc)
        if other.mesh.grip is None:
            assert carried.energy.pattern is contact.energy.pattern  # nothing is assembled anew
        np.testing.assert_array_equal(carried.cells.mesh.rest_nc, other.mesh.rest_nc)


def test_a_load_that_comes_on_is_an_element_that_was_not_there() -> None:
    tight = fabric_of(mesh_of(TIGHT_ROWS, "repeat", -0.05))

    def hung(load: float) -> Any:
        return replace(tight, mesh=replace(tight.mesh, grip=Grip(0, (0.03, 0.02), load=load)))

    assert Contact.of(tight).carried_over(hung(3.0)) is None
    contact = Contact.of(hung(3.0))
    carried, alone = contact.carried_over(hung(5.0)), Contact.of(hung(5.0))
    assert carried is not None
    q_f = alone.energy.free(alone.energy.start)
    assert carried.energy.value(q_f) == pytest.approx(alone.energy.value(q_f), rel=1e-9)
    assert carried.energy.value(q_f) != pytest.approx(contact.energy.value(q_f), rel=1e-3)


def test_pairs_that_are_watched_have_the_room_of_the_new_fabric() -> None:
    mesh = sheet()
    contact = Contact.of(fabric_of(mesh))
    contact.notice(doubled(mesh, 1.1))
    thicker = fabric_of(replace(mesh, thickness=1.5 * mesh.thickness))
    carried = contact.carried_over(thicker)
    assert carried is not None
    assert carried.watched.room_p.max() == pytest.approx(1.5 * mesh.thickness)
    np.testing.assert_array_equal(carried.watched.place_p2, contact.watched.place_p2)


def test_what_was_found_clear_is_not_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    contact = Contact.of(fabric_of(sheet()))
    energy, looks = contact.energy, []
    monkeypatch.setattr(Cells, "crossing", lambda cells, state: looks.append(1) or 0)
    q_f = energy.free(energy.start)
    for _ in range(3):
        assert contact.allowed(energy, q_f, q_f.copy())
    assert len(looks) == 1
    assert contact.allowed(energy, q_f, q_f + 1e-3)
    assert len(looks) == 2


# ---- pieces of it, by hand -------------------------------------------------------------------------

A, B, C = np.eye(3)
"""The corners of a triangle; its middle is at a third of each."""


@pytest.mark.parametrize(
    ("begin", "end", "through"),
    [
        ((0.0, 0.0, 0.0), (1.0, 1.0, 1.0), True),
        ((1.0, 1.0, 1.0), (0.0, 0.0, 0.0), True),
        ((0.0, 0.0, 0.0), (0.3, 0.3, 0.3), False),  # it ends before
        ((0.4, 0.4, 0.4), (1.0, 1.0, 1.0), False),  # it begins behind
        ((0.0, 0.0, 0.0), (1 / 3, 1 / 3, 1 / 3), False),  # it ends on it
        ((1 / 3, 1 / 3, 1 / 3), (1.0, 1.0, 1.0), False),
        ((0.0, 0.0, 0.0), (1.0, 1.0, 0.0), False),  # through an edge
        ((0.0, 0.0, 0.0), (2.0, 0.0, 0.0), False),  # through a corner
        ((0.0, 0.0, 0.0), (1.0, 1.0, -0.1), False),  # just beside each of its edges
        ((0.0, 0.0, 0.0), (1.0, -0.1, 1.0), False),
        ((0.0, 0.0, 0.0), (-0.1, 1.0, 1.0), False),
        ((0.0, 0.0, 0.0), (1.0, 1.0, 0.1), True),
        ((0.0, 0.0, 0.0), (0.1, 1.0, 1.0), True),
        ((1.0, 0.0, 0.0), (0.0, 0.5, 0.5), False),  # within its plane
        ((0.5, -0.5, 1.0), (0.5, 1.5, -1.0), False),
    ],
)
def test_a_segment_goes_through_a_triangle_or_beside_it(
    begin: tuple[float, ...], end: tuple[float, ...], through: bool
) -> None:
    ends = np.array([begin]), np.array([end])
    for corners in ((A, B, C), (B, C, A), (C, B, A)):
        assert _pierces(*ends, *(one[None] for one in corners)).tolist() == [through]


def test_of_a_cell_shrunk_to_nothing_no_more_images_are_looked_at_than_there_may_be() -> None:
    """Of an image and its opposite one, and of each image every place with every other."""
    place_sc = np.array([[0.0, 0.0, 0.0], [1e-9, 0.0, 0.0]])
    pair_p2, shift_p2 = near(place_sc, np.array([1e-9, 1e-9]), 1.0)
    images = MOST_IMAGES * (2 * MOST_IMAGES + 1) + MOST_IMAGES
    assert len(pair_p2) == 1 + 4 * images
    assert np.abs(shift_p2).max() == MOST_IMAGES


def test_a_dead_load_hangs_on_the_cell_and_what_is_held_has_its_size() -> None:
    """The load on a strip as high as the cell was at rest; what is held starts at its size."""
    mesh = mesh_of(TIGHT_ROWS, "repeat")
    assert mesh.period_a is not None
    for axis in (0, 1):
        hung = replace(mesh, grip=Grip(axis, (0.03, 0.02), load=5.0))
        (term,) = load_terms(hung)
        force = 5.0 * (0.02, 0.03)[axis]
        assert hung.grip is not None
        assert hung.grip.force == pytest.approx(force)
        length = term.measures(mesh.rest_nc, mesh.period_a)
        np.testing.assert_allclose(length, mesh.period_a[axis])
        np.testing.assert_allclose(term.law(length)[0], -force * mesh.period_a[axis])
        held = replace(mesh, grip=Grip(axis, (0.03, 0.02), size=0.04))
        assert load_terms(held) == load_terms(mesh) == []
        assert held_unknowns(held) == [*held_unknowns(mesh), mesh.rest_nc.size + axis]
        assert held_unknowns(hung) == held_unknowns(mesh)
        begin = start_of(held)
        assert begin.period_a is not None
        assert begin.period_a[axis] == 0.04
        assert begin.period_a[1 - axis] == mesh.period_a[1 - axis]
        by = 0.04 / mesh.period_a[axis]
        np.testing.assert_allclose(begin.x_nc[:, axis], by * mesh.rest_nc[:, axis])
        np.testing.assert_array_equal(begin.x_nc[:, 1 - axis], mesh.rest_nc[:, 1 - axis])
        again = drawn_out(begin, axis, float(mesh.period_a[axis]))
        np.testing.assert_allclose(again.x_nc, mesh.rest_nc, atol=1e-15)
        assert start_of(hung).period_a is mesh.period_a
