"""Floats that go far round a tube lie along its inside, in parts: the circle is their way, not the few millimetres
between ends that are neighbours."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.fabric.carried import whole_floats
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from fabricsim.fabric.setup import case_floats
from tests.support.scenes import scene_of

STITCHES, ROWS = 24, 4
ACCENT = ["#" + "." * (STITCHES - 1)] * ROWS


def test_a_float_right_round_is_laid_in_parts_of_a_quarter() -> None:
    scene = scene_of(ACCENT, -0.05)
    whole, parts = whole_floats(scene, "round"), case_floats(scene, "round")
    assert [one.gap + 1 for one in whole if one.gap > 1] == [STITCHES] * (ROWS - 1)
    assert [one.gap + 1 for one in parts if one.gap > 1] == [STITCHES // 4] * 4 * (ROWS - 1)
    assert sum(one.span for one in parts) == pytest.approx(sum(one.span for one in whole))
    short = scene_of(["#..........." * 2] * ROWS, -0.05)  # half of the round: left whole
    assert case_floats(short, "round") == whole_floats(short, "round")
    assert case_floats(scene, "swatch") == whole_floats(scene, "swatch")


def test_their_way_in_plain_fabric_is_the_polygon_inside_the_tube() -> None:
    """A square of chords, half a thickness inside: each 2 (R - t/2) sin(pi/4), but for the climb of the spiral, a
    quarter of a row, whose square over that of the chord is less than a hundredth."""
    rest = relax(scene_of(ACCENT, 0.3), "round")
    mesh = rest.mesh
    radius = np.linalg.norm(mesh.rest_nc[0, [0, 2]])
    chord = 2.0 * (radius - 0.5 * mesh.thickness) * np.sin(np.pi / 4)
    np.testing.assert_allclose(rest.way_f[mesh.floats.gap_f > 1], chord, rtol=0.01)
    assert not measure(rest).pull.taut
    assert (mesh.floats.length_f / rest.way_f - 1.0 < 1.0).all()  # and not fifty times as much


def test_too_short_they_draw_the_tube_in_and_while_they_reach_they_don_t() -> None:
    scene = scene_of(ACCENT, 0.0)
    loose, tight = (measure(relax(scene, "round", slack=slack)) for slack in (0.0, -0.3))
    assert loose.widths.overall == pytest.approx(0.0, abs=1e-9)
    assert tight.pull.taut > 0
    assert 0.03 < tight.widths.overall < 0.3
