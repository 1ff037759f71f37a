"""Cut faces: which places of a plane lie inside which strand."""

from __future__ import annotations

import numpy as np

from fabricsim.render.trace.cut_faces import CutFaces
from fabricsim.render.yarn.tubes import tubes
from tests.render.yarn.test_tubes import strands_of

ACROSS = np.array([0.0, 0.0, 1.0])


def straight(x: float, slope: float = 0.0) -> np.ndarray:
    """Return a strand through the plane z = 0 at ``x``, a thickness from point to point."""
    z = np.arange(-5.0, 6.0) + 0.3
    return np.stack([x + slope * z, np.zeros_like(z), z], axis=1)


def places(x: np.ndarray) -> np.ndarray:
    return np.stack([x, np.zeros_like(x), np.zeros_like(x)], axis=1).astype(np.float32)


def test_a_place_is_inside_just_up_to_half_a_thickness_from_the_middle() -> None:
    faces = CutFaces(tubes(strands_of(straight(0.0)), 6), ACROSS)
    x = np.linspace(-1.0, 1.0, 81) + 1e-4
    assert np.array_equal(faces.ring_at(places(x)) >= 0, np.abs(x) < 0.5)


def test_a_strand_cut_aslant_shows_as_much_more() -> None:
    faces = CutFaces(tubes(strands_of(straight(0.0, slope=1.0)), 6), ACROSS)
    x = np.linspace(-1.0, 1.0, 81) + 1e-4
    assert np.array_equal(faces.ring_at(places(x)) >= 0, np.abs(x) < 0.5 * np.sqrt(2.0))


def test_of_strands_pressed_into_each_other_the_nearer_middle_has_the_place() -> None:
    made = tubes(strands_of(straight(0.0), straight(0.7)), 6)
    x = np.linspace(-0.4, 1.1, 61) + 1e-4
    ring = CutFaces(made, ACROSS).ring_at(places(x))
    assert (ring >= 0).all()
    assert np.array_equal(made.strand_g[ring], (x > 0.35).astype(int))


def test_no_strand_is_met_where_none_goes_through() -> None:
    along = np.stack([np.arange(9.0), np.zeros(9), np.full(9, 40.0)], axis=1)
    assert (CutFaces(tubes(strands_of(along), 6), ACROSS).ring_at(places(np.arange(9.0))) == -1).all()


def test_the_ends_of_the_first_and_of_the_last_strand_are_cut_as_the_others() -> None:
    """What lies in the first and in the last two rings of all is looked at too."""
    short = np.array([[0.0, 0.0, -0.6], [0.0, 0.0, 0.4]])
    made = tubes(strands_of(short, short + np.array([3.0, 0.0, 0.0])), 6)
    x = np.linspace(-1.0, 4.0, 201) + 1e-4
    ring = CutFaces(made, ACROSS).ring_at(places(x))
    inside = np.minimum(np.abs(x), np.abs(x - 3.0)) < 0.5
    assert np.array_equal(ring >= 0, inside)
    assert np.array_equal(made.strand_g[ring[inside]], (x > 1.5).astype(int)[inside])


def test_a_strand_of_fewer_rings_than_are_looked_at_is_cut_too() -> None:
    faces = CutFaces(tubes(strands_of(straight(0.0)[5:7] - [0.0, 0.0, 0.8]), 6), ACROSS)
    assert np.array_equal(faces.ring_at(places(np.array([0.1, 0.7]))) >= 0, [True, False])
