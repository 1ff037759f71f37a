"""The body under what is worn: it lies where the form does, as much of it as is to be shown, and behind the yarn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from fabricsim.fabric.form.shapes import Form, ball, cylinder, head
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.model import build_yarns
from fabricsim.render.trace.rays import Rays
from fabricsim.render.trace.shade import Light, albedos
from fabricsim.render.trace.shown_form import ABOVE, BELOW, KEY, PLASTER, RINGS, SIDES, SKY, lit, shown_form
from fabricsim.render.trace.trace import trace
from fabricsim.render.trace.views import LOOK_DOWN, camera_for, draw_side
from tests.render.fabrics import fabric

ROWS = ("abab", "baba", "abab")


def stitches(low: float, high: float) -> np.ndarray:
    return np.array([[0.0, low, 0.0], [0.0, high, 0.0]])


@pytest.mark.parametrize("form", [cylinder(0.5, 0.6), ball(0.5), head(0.5)], ids=lambda form: form.name)
def test_it_lies_on_the_form(form: Form) -> None:
    """Every vertex, but where a form closes: there a root of a number near 0 is good to the root of rounding."""
    x_vc = shown_form(form, stitches(-0.03, 0.03), 1e-3).x_vc
    off_v = form.parts(x_vc)[0].sum(axis=1)
    assert np.abs(off_v).max() < 1e-12


def test_as_much_is_shown_as_goes_with_the_piece_or_as_there_is() -> None:
    tall = 0.04
    shown = shown_form(cylinder(0.5, 1.0), stitches(0.4, 0.4 + tall), 1e-3).x_vc[:, 1]
    assert (shown.min(), shown.max()) == pytest.approx((0.4 - BELOW * tall, 0.4 + (1.0 + ABOVE) * tall))
    whole = shown_form(cylinder(0.5, 0.05), stitches(0.0, 0.05), 1e-3).x_vc[:, 1]
    assert (whole.min(), whole.max()) == (0.0, pytest.approx(0.05))


def test_it_is_closed_and_as_large_as_its_form() -> None:
    """A prism of 256 sides under a cylinder of 10 cm and 6 cm radius."""
    radius, tall = 0.06, 0.10
    under = shown_form(cylinder(2.0 * np.pi * radius, tall), stitches(0.0, tall), 1e-3)
    triangle_tv = np.asarray(under.triangle_tv)
    mesh = trimesh.Trimesh(under.x_vc, triangle_tv, process=False)
    assert mesh.is_watertight
    prism = 0.5 * SIDES * np.sin(2.0 * np.pi / SIDES) * radius**2 * tall
    assert abs(mesh.volume) == pytest.approx(prism, rel=1e-9)
    assert len(under.x_vc) == (RINGS + 1) * SIDES


def test_yarn_before_it_looks_the_same_and_what_was_seen_through_the_tube_is_hidden() -> None:
    """Seen from a little above, a body shows within the rim and over it, and no pixel that shows the near half of the
    tube changes."""
    tube = fabric(ROWS, "round", across=6)
    model = build_yarns(tube, "draft")
    radius = float(np.hypot(tube.x_nc[:, 0], tube.x_nc[:, 2]).min()) - tube.mesh.thickness
    low, high = tube.x_nc[:, 1].min(), tube.x_nc[:, 1].max()
    body = replace(cylinder(2.0 * np.pi * radius, 1.0), bottom=2.0 * low - high, top=2.0 * high - low)
    worn = model.worn_on(body)
    camera = camera_for(worn, "face", Scale(160))
    off, on = (trace(one.stage, camera, 4) for one in (model, worn))
    covered_off, covered_on = (np.nonzero((one[..., 3] > 0.0).any(axis=1))[0] for one in (off, on))
    tall_px = (high - low) / camera.metres_per_px
    assert covered_off[0] - covered_on[0] > 0.5 * tall_px  # over the rim, where nothing was
    middle = off.shape[1] // 2
    same = (off[:, middle, 3] == 1.0) & (np.abs(on[:, middle] - off[:, middle]).max(axis=1) < 0.02)
    assert same.sum() > 0.8 * tall_px * np.cos(LOOK_DOWN)  # straight in front, but for gaps
    assert np.abs(on - off).max(axis=2)[covered_off[0] : covered_off[0] + 3].any()  # the far rim is hidden
    assert draw_side(worn, "face", width_px=160).image.height > draw_side(model, "face", width_px=160).image.height


def test_it_is_as_bright_as_it_faces_the_light() -> None:
    """A cylinder met from the front, 0.7 of the way to either side, lit from the left: its normal is known to half
    a facet, 2 pi / 512."""
    radius, scale = 0.06, 1e-3
    under = shown_form(cylinder(2.0 * np.pi * radius, 0.2), stitches(0.0, 0.2), scale)
    key_c = np.array([-0.6, 0.0, 0.8])
    light = Light(*(np.array(way, dtype=np.float32) for way in (key_c, (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))))
    across_k = np.array([-0.7, 0.7])
    origin_kc = np.array([[x * radius / scale, 100.0, 500.0] for x in across_k], dtype=np.float32)
    met = under.rays.first_hits(origin_kc, -light.eye_c[None])
    far_off = Rays(
        np.array([[1e4, 1e4, 1e4], [1e4 + 1, 1e4, 1e4], [1e4, 1e4 + 1, 1e4]], np.float32),
        np.array([[0, 1, 2]], np.int32),
    )
    found_kc = lit(met, np.ones(2, dtype=bool), origin_kc, light, far_off)
    out_kc = np.column_stack([across_k, np.zeros(2), np.sqrt(1.0 - across_k**2)])
    bright_k = 0.6 * SKY + KEY * np.maximum(out_kc @ key_c, 0.0)
    np.testing.assert_allclose(
        found_kc[:, 0] / albedos(np.array([PLASTER]))[0, 0], bright_k, atol=KEY * 2.0 * np.pi / 512
    )
    assert found_kc[0, 0] > found_kc[1, 0]
