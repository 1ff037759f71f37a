"""A tube worked inside out: floats all round its outside draw it in by a length that can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import root

from fabricsim.arrays import Floats
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.stiffness import Stiffness
from tests.support.meshes import WIDTH, WORSTED, at_rest
from tests.support.scenes import fabric_of
from tests.support.tubes import level_tube

STIFF = replace(WORSTED, poisson_across=0.0, lock_ratio=1.0)
"""Linear bars, so that a cell can be worked out by hand."""


def radius_at_rest(x_nc: Floats) -> float:
    """Return the radius (m) of a tube that has stayed round to 1e-8 of it."""
    off_nc = x_nc[:, [0, 2]] - x_nc[:, [0, 2]].mean(axis=0)
    radius_n = np.hypot(*off_nc.T)
    assert np.ptp(radius_n) < 1e-8 * radius_n.mean()
    return float(radius_n.mean())


def round_tube(mesh: Mesh, stiffness: Stiffness, steps: float, offset: float) -> tuple[float, float]:
    """Return radius and height (m) of two level rounds at rest, by hand.

    One cell has two bars of half the stiffness across (it lies on the edge both ways), a bar up, two diagonals and the
    coupling; each of its two stitches starts a float, whose way is ``steps`` times 2 (R + offset) long. Bends
    and twists don't change while the rounds stay round.
    """
    w, c, half = mesh.stitch_width, mesh.row_height, np.sin(np.pi / mesh.stitches)
    bars = bars_of(stiffness, w, c, "by hand")
    yarn, span = mesh.floats.length_f[0], mesh.floats.span_f[0]
    k_float = stiffness.float_ratio * stiffness.stretch_across * c / span
    diagonal = np.hypot(w, c)

    def forces(unknown: Floats) -> Floats:
        radius, height = unknown
        across, slant = 2.0 * radius * half, np.hypot(2.0 * radius * half, height)
        over = 2.0 * steps * (radius + offset) - yarn
        shear = 2.0 * bars.diagonal * (slant - diagonal) / slant
        by_across = bars.course * (across - w) + shear * across + bars.coupling * c * (height / c - 1.0)
        by_height = bars.wale * (height - c) + shear * height + bars.coupling * w * (across / w - 1.0)
        return np.array([2.0 * half * by_across + 2.0 * k_float * over * 2.0 * steps, by_height])

    radius, height = root(forces, [w / (2.0 * half), c], tol=1e-13).x
    assert np.abs(forces(np.array([radius, height]))).max() < 1e-12  # N, of floats that pull with some tenths
    assert 2.0 * steps * (radius + offset) > yarn
    assert abs(2.0 * radius * half / w - 1.0) < stiffness.jam  # as soft as at first
    return float(radius), float(height)


@pytest.mark.parametrize(("gap", "stitches", "slack"), [(1, 20, -0.05), (3, 20, -0.05), (2, 24, 0.02), (5, 40, -0.1)])
def test_floats_outside_draw_a_tube_in_by_the_way_round_it(gap: int, stitches: int, slack: float) -> None:
    """Nobody tells the fabric that its floats lie on it: started straight, all of them are found to. At rest to 1e-9 of
    the force that doubles a stitch's width, so the radius to about that share."""
    mesh = level_tube(2, stitches, gap, slack)
    rest = come_to_rest(fabric_of(mesh, STIFF))
    half = np.sin(np.pi / stitches)
    radius, height = round_tube(mesh, STIFF, (gap + 1) * half, 0.5 * mesh.thickness)
    assert radius_at_rest(rest.x_nc) == pytest.approx(radius, rel=1e-8)
    assert np.ptp(rest.x_nc[:, 1]) == pytest.approx(height, rel=1e-8)
    assert set(rest.pressed) == {tuple(range(1, gap + 1))}
    way = (gap + 1) * 2.0 * (radius + 0.5 * mesh.thickness) * half
    np.testing.assert_allclose(rest.way_f, way, rtol=1e-8)
    k_float = STIFF.float_ratio * STIFF.stretch_across * mesh.row_height / mesh.floats.span_f[0]
    np.testing.assert_allclose(rest.tension_f, k_float * (way - mesh.floats.length_f[0]), rtol=1e-6)


@pytest.mark.parametrize("outside", [False, True])
def test_straight_floats_draw_it_in_by_their_chords(outside: bool) -> None:
    """The same tube with floats that cut straight through it, or run inside: what the contact adds is told apart."""
    gap, stitches = 2, 24
    mesh = level_tube(2, stitches, gap, -0.12, outside=outside)
    offset = 0.5 * mesh.thickness if outside else -0.5 * mesh.thickness
    radius, height = round_tube(mesh, STIFF, np.sin(np.pi * (gap + 1) / stitches), offset)
    x_nc = at_rest(mesh, STIFF)[1].x_nc
    assert radius_at_rest(x_nc) == pytest.approx(radius, rel=1e-8)
    assert np.ptp(x_nc[:, 1]) == pytest.approx(height, rel=1e-8)
    in_contact = come_to_rest(fabric_of(mesh, STIFF))
    if outside:
        assert radius_at_rest(in_contact.x_nc) < 0.98 * radius
    else:
        assert not in_contact.contact.wrapped_f.any()
        assert radius_at_rest(in_contact.x_nc) == pytest.approx(radius, rel=1e-8)


@pytest.mark.parametrize("tight", [2e-3, 5e-4])
@pytest.mark.parametrize("gap", [1, 4])
def test_springs_round_a_tube_share_its_girth(gap: int, tight: float) -> None:
    """C = (E_x + E_f)/(E_x/C0 + E_f/C_f) for fabric and floats as springs side by side (derived): E is stiffness times
    the girth C at which it is just taut, C0 of the fabric, C_f of the floats. Outside, a float goes (g + 1) times the
    polygon from back to back, that is (g + 1)(C/n + t sin(pi/n)), so C_f = n l/(g + 1) - n t sin(pi/n), and with fine
    stitches the yarn of a turn less pi t. Diagonals turn, so this holds to the second order of what it draws in."""
    stitches = 24
    girth = stitches * WIDTH
    round_them = stitches * STIFF.thickness * np.sin(np.pi / stitches)
    slack = round_them / girth - tight  # floats that leave the girth a share too tight
    mesh = level_tube(2, stitches, gap, slack)
    girth_f = stitches * mesh.floats.length_f[0] / (gap + 1) - round_them
    assert girth_f == pytest.approx(girth * (1.0 + slack) - np.pi * mesh.thickness, rel=1e-3)
    k_x = 0.5 * STIFF.stretch_across * mesh.row_height / WIDTH  # of a stitch along an edge: half a row of fabric
    k_f = STIFF.float_ratio * STIFF.stretch_across * mesh.row_height / mesh.floats.span_f[0]
    e_x, e_f = k_x * girth, k_f * (gap + 1) ** 2 * girth_f
    want = (e_x + e_f) / (e_x / girth + e_f / girth_f)
    assert 1.0 - want / girth > 0.9 * tight
    rest = come_to_rest(fabric_of(mesh, STIFF))
    got = 2.0 * stitches * radius_at_rest(rest.x_nc) * np.sin(np.pi / stitches)
    assert got == pytest.approx(want, rel=tight**2)
