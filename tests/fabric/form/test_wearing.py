"""Tubes on forms, against Laplace's law, a strip pulled as far, and a band on a ball that slips or holds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form import shapes
from fabricsim.fabric.form.laying import Laid
from fabricsim.fabric.form.passing import way_on
from fabricsim.fabric.form.wearing import Worn, _ridden, _round_the_curve, laid_on, wear
from fabricsim.fabric.form.worn import areas, worn_fit
from fabricsim.fabric.measures import girths
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import load_of, relaxed_of, stretched, without_floats
from tests.support.meshes import HEIGHT, WIDTH, mesh_of
from tests.support.scenes import fabric_of, scene_of
from tests.support.shapes import crown_rows, mesh_of_rows
from tests.support.tubes import level_tube

LOOSE = 0.9
"""Slack of floats that never pull: as plain as fabric gets."""


def tube(rows: int, stitches: int, slack: float = LOOSE) -> tuple[Fabric, Equilibrium]:
    fabric = fabric_of(level_tube(rows, stitches, 2, slack, outside=False))
    return fabric, come_to_rest(fabric)


def put_on(fabric: Fabric, off: Equilibrium, form: shapes.Form, at: float, *frictions: float) -> Worn:
    found = wear(fabric, off, form, at, (frictions[0], frictions[-1]) if frictions else None)
    assert found is not None
    return found


@pytest.mark.parametrize("wider", [0.06, 0.15])
def test_a_plain_tube_presses_with_its_tension_over_its_radius(wider: float) -> None:
    """p = T / R (Laplace), T that of a strip pulled as far, free the other way, which no form has touched."""
    rows, stitches = 17, 90
    fabric, off = tube(rows, stitches)
    worn = put_on(fabric, off, shapes.cylinder((1.0 + wider) * stitches * WIDTH, 0.2), 0.1)
    found = worn_fit(worn.on, girths(fabric.mesh, off.x_nc))
    middle = rows // 2
    strip = without_floats(fabric_of(mesh_of(("....",) * 3, "repeat")))
    # A round is a polygon: its stitches are as long as its sides.
    pulled = stretched(strip, "across", found.stretch_i[middle])
    tension = load_of(pulled, "across")  # per height at rest
    assert pulled.period_a is not None
    taller = pulled.period_a[1] / relaxed_of(pulled)[1]
    radius = found.girth_i[middle] / (2.0 * np.pi)
    # Bending adds B (1/R - 1/R0) / R^2, a ten-thousandth of it; the polygon's sine and area as little.
    assert found.pressure_i[middle] == pytest.approx(tension / taller / radius, rel=1e-3)
    # The same as statics of the middle round: what presses on half of it is what it carries at both ends.
    rest = worn.on.equilibrium
    out_n = rest.x_nc[:, 2] / np.hypot(rest.x_nc[:, 0], rest.x_nc[:, 2])
    half_n = fabric.mesh.row_n == middle
    assert 0.5 * (worn.on.push_n * np.abs(out_n))[half_n].sum() == pytest.approx(2.0 * tension * HEIGHT, rel=1e-3)


def test_areas_add_up_to_the_tube() -> None:
    fabric, off = tube(7, 60)
    worn = put_on(fabric, off, shapes.cylinder(1.1 * 60 * WIDTH, 0.2), 0.1)
    x_nc = worn.on.equilibrium.x_nc
    # Six bands of cells between seven rounds, each as wide as its polygon and as high as it lies.
    height = np.ptp(x_nc[:, 1])
    assert areas(worn.on).sum() == pytest.approx(height * girths(fabric.mesh, x_nc).mean(), rel=3e-3)


def test_how_far_a_tube_has_gone_up_is_the_mean_of_its_stitches() -> None:
    from_nc = np.array([[0.05, 0.02, 0.0], [0.0, 0.03, 0.05]])
    form = shapes.cylinder(0.05, 0.2)
    assert _ridden(form, from_nc, from_nc + np.array([0.0, 0.004, 0.0])) == pytest.approx(0.004, rel=1e-12)
    apart_nc = np.array([[0.0, 0.004, 0.0], [0.0, -0.01, 0.0]])
    assert _ridden(form, from_nc, from_nc + apart_nc) == pytest.approx(-0.003, rel=1e-12)


def test_no_stitch_is_inside_and_none_that_is_off_presses() -> None:
    fabric, off = tube(9, 60, slack=-0.05)
    worn = put_on(fabric, off, shapes.head(0.33), 0.0)
    rest = worn.on.equilibrium
    off_form = rest.contact.energy.term("form").measures(rest.x_nc)
    half = 0.5 * fabric.mesh.thickness
    assert off_form.min() > 0.8 * half  # so hard pressed as here: 10 kPa, several times what anyone wears
    assert (worn.on.push_n[off_form > half] == 0.0).all()
    assert worn.on.push_n.min() == 0.0 or off_form.max() < half


@pytest.mark.parametrize("up", [0.15, 0.4])
def test_a_band_on_a_ball_holds_or_slips_by_the_tangent_of_where_it_lies(up: float) -> None:
    """A narrow band at an angle a above the middle holds if friction is at least tan a (derived)."""
    stitches = 40
    fabric, off = tube(2, stitches)
    ball = shapes.ball(1.15 * stitches * WIDTH / np.cos(up))
    radius = ball.half_width
    worn = put_on(fabric, off, ball, radius * np.sin(up), 0.85 * np.tan(up), 1.15 * np.tan(up))
    assert worn.needs == pytest.approx(np.tan(up), rel=0.05)
    assert worn.hold(worn.slick) == "slips"
    assert worn.firm is not None
    assert worn.hold(worn.firm) == "holds"
    assert 0.0 < worn.firm.rides < HEIGHT
    # What friction holds is what would slide: no more than it may.
    assert np.abs(worn.firm.drag_n).sum() <= 1.15 * np.tan(up) * worn.firm.push_n.sum() * (1.0 + 1e-2)


def test_tighter_floats_press_harder() -> None:
    pressures = []
    for slack in (LOOSE, 0.05, 0.03):
        fabric, off = tube(9, 60, slack)
        pressures.append(worn_fit(put_on(fabric, off, shapes.head(0.335), 0.0).on, girths(fabric.mesh, off.x_nc)))
    plain, right, tight = pressures
    assert plain.pressure < right.pressure < tight.pressure
    assert (plain.taut, plain.greatest) == (0, 0.0)
    assert tight.taut == 9 * 60


@pytest.mark.parametrize("form", [shapes.head(0.224), shapes.hand(0.224, 0.0)], ids=["head", "hand"])
def test_however_a_tube_is_turned_before_it_is_put_on_it_comes_to_the_same_rest(form: shapes.Form) -> None:
    """Stitch 0, which keeps it from turning on, is held where it is laid, not where it lay off the form."""
    fabric, off = tube(7, 40, slack=0.03)
    there = put_on(fabric, off, form, 0.0).on.equilibrium
    c, s = np.cos(0.4), np.sin(0.4)
    turn_cc = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
    turned = replace(fabric, mesh=replace(fabric.mesh, rest_nc=fabric.mesh.rest_nc @ turn_cc))
    again = put_on(turned, come_to_rest(turned), form, 0.0).on.equilibrium
    # as near as forces of 1e-9 of the scale tell where a soft wave of it lies
    np.testing.assert_allclose(again.x_nc, there.x_nc, atol=1e-4 * WIDTH)


def test_what_is_too_wide_does_not_touch() -> None:
    fabric, off = tube(5, 60)
    assert wear(fabric, off, shapes.head(0.25), 0.0) is None


def test_only_a_tube_is_put_on() -> None:
    fabric = fabric_of(mesh_of(("....",) * 3, "swatch"))
    with pytest.raises(InputError, match="only a tube is put on"):
        wear(fabric, come_to_rest(fabric), shapes.head(0.25), 0.0)


def test_a_hand_and_a_board_flatten_a_tube() -> None:
    fabric, off = tube(9, 40)
    for form in (shapes.hand(1.12 * 40 * WIDTH, 0.0), shapes.board(1.12 * 40 * WIDTH, 0.2)):
        at = 0.0 if form.bottom < 0.0 else 0.1
        found = put_on(fabric, off, form, at).on.equilibrium
        assert np.ptp(found.x_nc[:, 2]) < 0.6 * np.ptp(found.x_nc[:, 0])
        assert found.effort.residual < 1e-9


def test_the_same_piece_off_the_form_is_as_before() -> None:
    fabric, off = tube(5, 30, slack=-0.03)
    put_on(fabric, off, shapes.cylinder(1.1 * 30 * WIDTH, 0.2), 0.1)
    again = come_to_rest(replace(fabric, placed=None))
    assert np.array_equal(again.x_nc, off.x_nc)


def test_a_hat_with_its_crown_is_put_on_by_the_same_code() -> None:
    """Pulled down until its top meets the head, its brim stretched over it: nothing inside, and the brim presses."""
    fabric = fabric_of(mesh_of_rows(crown_rows(6, 8, 2, below=10)))
    off = come_to_rest(fabric)
    girth_i = girths(fabric.mesh, off.x_nc)
    form = shapes.head(1.02 * float(girth_i.max()))
    worn = put_on(fabric, off, form, form.bottom)
    rest, fit = worn.on.equilibrium, worn_fit(worn.on, girth_i)
    assert rest.effort.residual < 1e-9
    assert rest.effort.factorisations <= 25
    assert rest.contact.energy.term("form").measures(rest.x_nc).min() > 0.4 * fabric.mesh.thickness
    assert (fit.pressure_i[:10] > 0.0).any()
    assert np.isfinite(fit.stretch_i).all()
    assert fit.stretch_i[:10].max() > 0.0
    way = way_on(fabric.mesh, form, rest.x_nc)
    assert (way.needed_i[-1], way.goes_on) == (0.0, True)
    np.testing.assert_allclose(way.opens_i, 1.5 * WIDTH * np.bincount(fabric.mesh.row_n), rtol=1e-9)


def test_floats_go_round_the_form_in_rounds_that_touch_it_and_straight_in_those_that_stand_off() -> None:
    """An arc over n of N stitches is as much longer than its chord as x over sin x, x = pi n / N."""
    fabric = set_up(scene_of(["#...", "#..."], 0.0, chart={"across": 3}), "round")
    form = shapes.head(1.1 * 12 * fabric.mesh.stitch_width)
    lay = Laid(fabric.mesh.rest_nc, np.zeros(2), np.array([True, False]))
    ratio_f = _round_the_curve(fabric.mesh, form, lay).length_f / fabric.mesh.floats.length_f
    row_f = fabric.mesh.row_n[fabric.mesh.floats.node_f2[:, 0]]
    half_f = np.pi * (fabric.mesh.floats.gap_f + 1) / 12
    np.testing.assert_allclose(ratio_f, np.where(row_f == 0, np.sin(half_f) / half_f, 1.0), rtol=1e-12)
    assert ratio_f.min() < 0.9


@pytest.mark.parametrize("form", [shapes.board(0.24, 0.3), shapes.cylinder(0.24, 0.3)], ids=["board", "cylinder"])
def test_a_tube_on_what_is_as_wide_all_along_is_laid_where_its_first_stitch_is_held(form: shapes.Form) -> None:
    """Nothing but that holds it there: torn off the others it would pull a thousand times as hard as any float."""
    fabric, off = tube(9, 40)
    lay = laid_on(fabric, off, form, 0.1)
    assert lay.touches
    assert lay.x_nc[0, 1] == pytest.approx(fabric.mesh.rest_nc[0, 1], abs=1e-12)
    worn = put_on(fabric, off, form, 0.1)
    at_n = worn.on.equilibrium.x_nc[:, 1]
    # the form has gone along: the tube lies as high on it as it was to lie
    assert float(at_n.mean()) - worn.form.bottom == pytest.approx(0.1 - form.bottom, abs=2.0 * HEIGHT)
