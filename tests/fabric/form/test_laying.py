"""How a tube is laid on a form before it comes to rest: along its outline, and nowhere in it."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.form import shapes
from fabricsim.fabric.form.laying import is_closed, laid
from fabricsim.fabric.giving import ruffle
from fabricsim.fabric.measures import girths
from fabricsim.fabric.mesh import Mesh
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.energies.clearance import Clearance
from tests.support.meshes import HEIGHT, WIDTH, mesh_of
from tests.support.scenes import fabric_of
from tests.support.shapes import crown_rows, mesh_of_rows


def tube(rows: int, stitches: int) -> Mesh:
    return mesh_of(("." * stitches,) * rows, "round")


def hat() -> Mesh:
    return fabric_of(mesh_of_rows(crown_rows(6, 8, 2, below=10))).mesh


def off_form(form: shapes.Form, x_nc: np.ndarray) -> np.ndarray:
    return np.asarray(Clearance(form.parts).measure(x_nc[:, None], 0).s_b)


def test_on_a_cylinder_rounds_are_as_wide_as_it_and_lower_for_it() -> None:
    mesh = tube(11, 40)
    form = shapes.cylinder(1.1 * 40 * WIDTH, 1.0)
    found = laid(mesh, mesh.rest_nc, form, 0.5, poisson=0.66)
    assert found.touches
    radius = form.half_width + 0.5 * mesh.thickness
    np.testing.assert_allclose(off_form(form, found.x_nc), 0.5 * mesh.thickness, rtol=1e-3)
    np.testing.assert_allclose(np.hypot(found.x_nc[:, 0], found.x_nc[:, 2]), radius, rtol=1e-3)
    wider = 2.0 * np.pi * radius / girths(mesh, mesh.rest_nc)[1:-1].mean() - 1.0
    np.testing.assert_allclose(np.diff(found.height_i), HEIGHT * (1.0 - 0.66 * wider), rtol=1e-3)
    assert found.height_i[5] == pytest.approx(0.5, abs=1e-12)
    # on a straight wall the spiral climbs evenly, as it does off it
    assert np.ptp(found.x_nc[:, 1]) == pytest.approx(11 * HEIGHT * (1.0 - 0.66 * wider), rel=0.02)


def test_on_a_ball_rounds_lie_their_own_distance_apart_along_it() -> None:
    mesh = tube(15, 40)
    form = shapes.ball(1.4 * 40 * WIDTH)
    found = laid(mesh, mesh.rest_nc, form, 0.0)
    radius_i = girths(mesh, found.x_nc) / (2.0 * np.pi)
    ball = form.half_width + 0.5 * mesh.thickness
    np.testing.assert_allclose(np.hypot(radius_i[2:-2], found.height_i[2:-2]), ball, rtol=3e-3)
    apart_i = ball * np.diff(np.arcsin(found.height_i / ball))
    np.testing.assert_allclose(apart_i, HEIGHT, rtol=3e-3)  # arc over chord, and the steps of the outline


def test_a_tube_that_is_too_wide_is_laid_as_it_is() -> None:
    mesh = tube(9, 40)
    found = laid(mesh, mesh.rest_nc, shapes.cylinder(0.8 * 40 * WIDTH, 1.0), 0.5, poisson=0.66)
    assert not found.touches
    lift_nc = found.x_nc - mesh.rest_nc
    np.testing.assert_allclose(lift_nc - lift_nc.mean(axis=0), 0.0, atol=1e-6)


@pytest.mark.parametrize("form", [shapes.hand(1.1 * 40 * WIDTH, 0.0), shapes.board(1.1 * 40 * WIDTH, 0.4)])
def test_flat_forms_are_gone_round_evenly_and_outside(form: shapes.Form) -> None:
    mesh = tube(9, 40)
    found = laid(mesh, mesh.rest_nc, form, 0.0 if form.bottom < 0.0 else 0.2)
    assert found.touches
    assert off_form(form, found.x_nc).min() > 0.9 * 0.5 * mesh.thickness


@pytest.mark.parametrize("form", [shapes.hand(0.3, 0.0), shapes.board(0.3, 0.4)])
def test_stitches_go_as_far_round_a_flat_form_as_off_it(form: shapes.Form) -> None:
    """Also where they lie unevenly in their rounds, as where stitches were made: each stays above the one below."""
    mesh = tube(9, 40)
    angle_n = np.arctan2(mesh.rest_nc[:, 2], mesh.rest_nc[:, 0])
    uneven_nc = mesh.rest_nc.copy()
    radius_n = np.hypot(mesh.rest_nc[:, 0], mesh.rest_nc[:, 2])
    angle_n = angle_n + 0.3 * np.sin(angle_n)  # its first stitch, at half a turn, stays where it is
    uneven_nc[:, [0, 2]] = radius_n[:, None] * np.column_stack([np.cos(angle_n), np.sin(angle_n)])
    at = 0.0 if form.bottom < 0.0 else 0.2
    found = laid(mesh, uneven_nc, form, at)
    assert found.touches
    row = mesh.row_n == 4
    round_nc = found.x_nc[row]
    steps = np.linalg.norm(np.diff(round_nc, axis=0), axis=1)
    own = np.linalg.norm(np.diff(uneven_nc[row], axis=0), axis=1)
    shares, own_shares = steps / steps.sum(), own / own.sum()
    # chords round an edge are a little shorter than what goes along it
    np.testing.assert_allclose(shares, own_shares, rtol=0.08)
    assert own_shares.max() > 1.5 * own_shares.min()


def test_a_round_that_is_wider_than_a_flat_form_stands_off_it_as_round_as_can_be() -> None:
    mesh = tube(9, 40)
    around = 40 * WIDTH
    wide, narrow = (laid(mesh, mesh.rest_nc, shapes.board(share * around, 0.4), 0.2) for share in (0.5, 0.95))
    deep = [float(np.ptp(one.x_nc[:, 2]) / np.ptp(one.x_nc[:, 0])) for one in (wide, narrow)]
    assert deep[0] == pytest.approx(1.0, abs=0.02)  # there is room for it as it is
    assert deep[1] < 0.6
    for one, share in ((wide, 0.5), (narrow, 0.95)):
        assert off_form(shapes.board(share * around, 0.4), one.x_nc).min() > 0.9 * 0.5 * mesh.thickness


def test_a_cuff_goes_on_beyond_the_wrist() -> None:
    """A cone has no end there: rounds below lie their own distance apart too."""
    mesh = tube(15, 40)
    form = shapes.arm(1.8 * 40 * WIDTH, 0.0)
    found = laid(mesh, mesh.rest_nc, form, 5.0 * HEIGHT)
    assert found.touch_i.all()
    assert found.height_i[0] < 0.0
    apart_i = np.hypot(np.diff(found.height_i), np.diff(girths(mesh, found.x_nc)) / (2.0 * np.pi))
    np.testing.assert_allclose(apart_i[1:-1], HEIGHT, rtol=0.02)


@pytest.mark.parametrize("lowest", [-1.0, 0.0])
def test_a_crown_goes_down_until_it_meets_the_head_or_its_rim_is_where_it_belongs(lowest: float) -> None:
    mesh = hat()
    assert is_closed(mesh)
    form = shapes.head(1.02 * float(girths(mesh, mesh.rest_nc).max()))
    found = laid(mesh, mesh.rest_nc, form, lowest)
    off_n = off_form(form, found.x_nc)
    gap = 0.5 * mesh.thickness
    assert off_n.min() > 0.95 * gap
    count_i = np.bincount(mesh.row_n)
    crown_n = count_i[mesh.row_n] < count_i.max()
    if lowest < -0.5:
        assert off_n[crown_n].min() == pytest.approx(gap, rel=0.02)  # it touches, as near as three tries come to it
    else:
        assert found.height_i[0] == pytest.approx(lowest, abs=1e-12)
        assert off_n[crown_n].min() > 2.0 * gap  # it stands off


def test_a_crown_that_ruffles_is_laid_with_even_rounds_so_that_no_dent_holds_it_up() -> None:
    """Off the head its dents are as deep as half of it, and would rest on the top; on it there is room for its yarn."""
    mesh = fabric_of(mesh_of_rows(crown_rows(8, 10, 1, below=14))).mesh
    off_nc, count_i = mesh.rest_nc, np.bincount(mesh.row_n)
    assert ruffle(mesh) is not None
    deep_i = np.array([np.ptp(off_nc[mesh.row_n == row, 1]) for row in range(mesh.rows)])
    assert deep_i[10] > 5.0 * HEIGHT
    form = shapes.head(1.1 * 80 * WIDTH)
    found = laid(mesh, off_nc, form, form.bottom)
    assert found.touches
    assert not found.touch_i[count_i < 72].any()
    gap = 0.5 * mesh.thickness
    assert -1e-6 < found.height_i[-1] - form.top - gap < 1.5 * HEIGHT  # no dent holds it up
    assert off_form(form, found.x_nc).min() > 0.95 * gap
    assert crossing_cells(mesh, State(found.x_nc)) == 0
    for row in range(mesh.rows - 2):  # a circle but for what it climbs, eight stitches narrower from round to round
        round_nc = found.x_nc[mesh.row_n == row]
        assert np.ptp(np.hypot(round_nc[:, 0], round_nc[:, 2])) < 8 * WIDTH / (2.0 * np.pi)
        assert np.ptp(round_nc[:, 1]) < 1.2 * HEIGHT
    # its face stays outside
    goes = [np.diff(np.unwrap(np.arctan2(x_nc[:80, 2], x_nc[:80, 0]))).sum() for x_nc in (found.x_nc, off_nc)]
    np.testing.assert_allclose(goes, -2.0 * np.pi, rtol=0.1)
    # stitches stand on those below: none leans by as much as a stitch is wide, and no round leans as a whole
    assert mesh.standing is not None
    leg_b2 = mesh.standing.leg_b2[mesh.row_n[mesh.standing.leg_b2[:, 1]] < mesh.rows - 2]
    below_nc, above_nc = found.x_nc[leg_b2].transpose(1, 0, 2)
    turn_b = np.arctan2(above_nc[:, 2], above_nc[:, 0]) - np.arctan2(below_nc[:, 2], below_nc[:, 0])
    lean_b = np.angle(np.exp(1j * turn_b)) * np.hypot(below_nc[:, 0], below_nc[:, 2])
    assert np.abs(lean_b).max() < WIDTH
    row_b = mesh.row_n[leg_b2[:, 0]]
    assert np.abs(np.bincount(row_b, lean_b) / np.bincount(row_b)).max() < 0.05 * WIDTH


def test_a_crown_that_ruffles_on_a_head_that_is_too_small_does_not_touch() -> None:
    """Its rounds rest on the top, which is no stretch."""
    mesh = fabric_of(mesh_of_rows(crown_rows(8, 10, 1, below=14))).mesh
    form = shapes.head(0.6 * 80 * WIDTH)
    assert not laid(mesh, mesh.rest_nc, form, form.bottom).touches


def test_an_open_tube_is_not_closed() -> None:
    assert not is_closed(tube(9, 40))


@pytest.mark.parametrize("rows", [8, 9])
def test_the_middle_of_the_tube_comes_to_lie_where_it_is_held(rows: int) -> None:
    mesh = tube(rows, 40)
    found = laid(mesh, mesh.rest_nc, shapes.cylinder(1.1 * 40 * WIDTH, 1.0), 0.5)
    assert found.height_i.mean() == pytest.approx(0.5, abs=1e-9)


def test_on_a_soft_form_it_is_sunk_in_by_half_of_what_gives() -> None:
    mesh, soft = tube(7, 40), 4e-4
    form = shapes.cylinder(1.1 * 40 * WIDTH, 1.0)
    found = laid(mesh, mesh.rest_nc, form, 0.5, soft=soft)
    np.testing.assert_allclose(off_form(form, found.x_nc), 0.5 * mesh.thickness - 0.5 * soft, rtol=1e-3)


@pytest.mark.parametrize("pointed", [1.0, 1.8])
def test_a_crown_as_it_is_off_the_head_goes_down_until_some_stitch_of_it_touches(pointed: float) -> None:
    """One that falls away faster than the head touches beside its top, which so stays above it."""
    mesh = hat()
    count_i = np.bincount(mesh.row_n)
    crown_n = count_i[mesh.row_n] < count_i.max()
    off_nc = mesh.rest_nc.copy()
    rim = off_nc[~crown_n, 1].max()
    off_nc[crown_n, 1] = rim + pointed * (off_nc[crown_n, 1] - rim)
    form = shapes.head(1.02 * float(girths(mesh, mesh.rest_nc).max()))
    found = laid(mesh, off_nc, form, -1.0)
    gap = 0.5 * mesh.thickness
    apex = off_nc[mesh.row_n == mesh.rows - 1, 1].mean()
    let_down_nc = off_nc - [off_nc[:, 0].mean(), apex - found.height_i[-1], off_nc[:, 2].mean()]
    assert off_form(form, let_down_nc)[crown_n].min() == pytest.approx(gap, rel=0.2)
    if pointed > 1.0:
        assert found.height_i[-1] > form.top + 2.0 * gap
