"""Starting from a like fabric at rest: the same answer as from plain fabric, on the same pattern; and no dice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.pairs import apart
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.mechanics.assemble import State
from tests.support.folds import hairpin
from tests.support.meshes import WIDTH, mesh_of
from tests.support.scenes import fabric_of, scene_of

MOTIF = ("#.....", ".....#", "..#...", "......")
LEAF = ("....#....", "...###...", "..#####..", ".#######.", "..#####..", "...###...", "....#....", ".........")

every_case = pytest.mark.parametrize("case", ["repeat", "swatch", "round"])


SMALL: dict[Case, tuple[str, int, float]] = {
    "repeat": ("round", 2, -0.06),
    "swatch": ("flat", 2, -0.025),
    "round": ("round", 6, -0.15),
}
"""How it is worked, charts across and a slack at which floats pull the fabric in and it stays smooth, so that there is
one way to be at rest; inside a tube floats are chords and pull late."""


def small(case: Case) -> Fabric:
    worked, across, slack = SMALL[case]
    return set_up(scene_of(MOTIF, slack, worked=worked, chart={"across": across}), case)


def softer(stiffness: Stiffness) -> Stiffness:
    return replace(stiffness, bend_across=0.6 * stiffness.bend_across, shear=0.7 * stiffness.shear)


@every_case
@pytest.mark.parametrize("change", ["tighter", "looser", "other stiffness", "both"])
def test_a_warm_start_comes_to_the_cold_answer_on_the_same_pattern(case: Case, change: str) -> None:
    """To a hundred-thousandth of a stitch: both are at rest to 1e-9 of the force that doubles its width, and soft modes
    move by some thousand times that. Where nothing new comes into contact, nothing is assembled anew; on the way to
    rest a swatch may bulge into a float for a step."""
    fabric = small(case)
    rest = come_to_rest(fabric)
    other = fabric
    if change in ("tighter", "both"):
        other = other.with_slack_shifted(-0.01)
    if change == "looser":
        other = other.with_slack_shifted(0.02)
    if change in ("other stiffness", "both"):
        other = other.with_stiffness(softer(other.stiffness))
    warm, cold = come_to_rest(other, rest), come_to_rest(other)
    np.testing.assert_allclose(warm.x_nc, cold.x_nc, atol=1e-5 * WIDTH)
    np.testing.assert_allclose(warm.tension_f, cold.tension_f, atol=3e-4 * cold.tension_f.max())
    nothing_new = (warm.contact.wrapped_f == rest.contact.wrapped_f).all() and not len(warm.contact.watched)
    assert (warm.contact.energy.pattern is rest.contact.energy.pattern) == nothing_new
    assert nothing_new or case == "swatch"
    assert np.abs(warm.x_nc - rest.x_nc).max() > 1e-3 * WIDTH  # and it is another answer
    assert warm.effort.energy == pytest.approx(cold.effort.energy, rel=1e-9)


@pytest.mark.parametrize("slack", [-0.11, -0.13])
def test_floats_that_already_lie_on_the_fabric_are_known_at_once(slack: float) -> None:
    """Those of a puckered fabric stay wrapped when the slack changes, with the laws of the new one: no force is left,
    and tensions are what the new yarn makes them."""
    fabric = set_up(scene_of(LEAF, -0.12), "repeat")
    rest = come_to_rest(fabric)
    before = rest.contact.wrapped_f.copy()
    assert before.any()
    other = fabric.with_slack_shifted(slack + 0.12).with_stiffness(softer(fabric.stiffness))
    warm = come_to_rest(other, rest)
    assert (warm.contact.wrapped_f >= before).all()
    table = other.mesh.floats
    stiff_f = other.stiffness.float_ratio * other.stiffness.stretch_across * other.mesh.row_height / table.span_f
    pull_f = stiff_f * np.maximum(warm.way_f - (1.0 + slack) * table.span_f, 0.0)
    np.testing.assert_allclose(warm.tension_f, pull_f, rtol=1e-9, atol=1e-12)
    fresh = Contact.of(other)
    fresh.notice(warm.state)
    energy = fresh.renewed(fresh.energy, fresh.energy.free(warm.state)) or fresh.energy
    assert energy is fresh.energy  # what is noticed once is known
    # The fabric that was started from is as it was.
    np.testing.assert_array_equal(rest.contact.wrapped_f, before)
    assert rest.contact.fabric is fabric or rest.contact.fabric.mesh is fabric.mesh


def test_contacts_are_taken_along_with_the_room_that_they_have_in_the_other_fabric() -> None:
    """Twice as thick, a sheet laid double pushes itself apart from twice as far; what is watched stays the same."""
    fabric = fabric_of(mesh_of(("." * 20,) * 3, "swatch"))
    mesh = fabric.mesh
    thick = replace(fabric, mesh=replace(mesh, thickness=2.0 * mesh.thickness, rest_nc=mesh.rest_nc.copy()))
    contact, lying = Contact.of(fabric), State(hairpin(mesh.rest_nc, 1.1 * mesh.thickness))
    assert contact.renewed(contact.energy, contact.energy.free(lying)) is not None
    other = contact.carried_over(thick)
    assert other is not None
    np.testing.assert_array_equal(other.watched.place_p2, contact.watched.place_p2)
    plain_p = apart(contact.surface.at(State(mesh.rest_nc)), None, contact.watched.place_p2, contact.watched.shift_p2)
    for one, thickness in ((contact, mesh.thickness), (other, 2.0 * mesh.thickness)):
        np.testing.assert_allclose(one.watched.room_p, np.minimum(thickness, 0.5 * plain_p), rtol=1e-12)
    assert (other.watched.room_p > 1.5 * mesh.thickness).any()
    assert other.cells.mesh is thick.mesh


def test_something_new_in_contact_makes_a_new_pattern() -> None:
    """From floats that hang to some that lie on the bulges: here the energy has to be put together anew."""
    fabric = set_up(scene_of(LEAF, 0.05), "repeat")
    rest = come_to_rest(fabric)
    other = fabric.with_slack_shifted(-0.17)
    warm = come_to_rest(other, rest)
    assert not rest.contact.wrapped_f.any()
    assert warm.contact.wrapped_f.any()
    assert warm.contact.energy.pattern is not rest.contact.energy.pattern


@pytest.mark.parametrize("rows", [tuple(row * 2 for row in MOTIF), tuple(map("".join, zip(*MOTIF, strict=True)))])
def test_another_piece_shares_no_contact(rows: tuple[str, ...]) -> None:
    """Wider, or as many stitches in other rows: what was in contact there says nothing here."""
    rest = come_to_rest(set_up(scene_of(MOTIF, -0.06), "repeat"))
    assert rest.contact.carried_over(set_up(scene_of(rows, -0.06), "repeat")) is None


@every_case
def test_the_same_fabric_comes_to_rest_to_the_same_last_bit(case: Case) -> None:
    """Tight enough to pucker and to be in contact: no dice, and no order left to chance."""
    scene = scene_of(LEAF, -0.13, worked="flat" if case == "swatch" else "round", chart={"across": 2})
    first, second = (come_to_rest(set_up(scene, case)) for _ in range(2))
    assert first.x_nc.tobytes() == second.x_nc.tobytes()
    assert first.tension_f.tobytes() == second.tension_f.tobytes()
    assert first.pressed == second.pressed
    assert first.effort == second.effort


@pytest.mark.parametrize("case", ["repeat", "round", "swatch"])
def test_what_floats_weigh_makes_new_terms_for_a_swatch_alone(case: Case) -> None:
    """Nothing else is heavier for its weight; stiffer fabric has new terms whatever the case."""
    fabric = fabric_of(mesh_of(("." * 8,) * 6, case))
    contact = Contact.of(fabric)
    for change, anew in (("areal_mass", case == "swatch"), ("bend_across", True)):
        stiffness = replace(fabric.stiffness, **{change: 1.1 * getattr(fabric.stiffness, change)})
        carried = contact.carried_over(replace(fabric, stiffness=stiffness))
        assert carried is not None
        assert (carried.cloth is not contact.cloth) == anew
        fresh = Contact.of(replace(fabric, stiffness=stiffness))
        q_f = fresh.energy.free(fresh.energy.start) * 1.01
        np.testing.assert_allclose(
            carried.energy.gradient(q_f)[1], fresh.energy.gradient(q_f)[1], rtol=1e-12, atol=1e-18
        )
