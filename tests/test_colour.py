"""sRGB and CIELAB against published values, and against a colour management that reckons for itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from fabricsim.colour import BEND, LUMINANCE, XYZ_OF_RGB, lab, linear, luminance, srgb

IN_CIELAB = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB")
level = st.integers(0, 255)
colour = st.tuples(level, level, level)
D50 = np.array(
    [[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]]
)
"""sRGB's linear red, green and blue in XYZ adapted to D50 by the Bradford transform: B. Lindbloom's tables (memory)."""


@pytest.mark.parametrize(
    ("rgb", "want"),
    [
        ((255, 0, 0), (53.2408, 80.0925, 67.2032)),
        ((0, 255, 0), (87.7347, -86.1827, 83.1793)),
        ((0, 0, 255), (32.2970, 79.1875, -107.8602)),
        ((119, 119, 119), (50.0344, 0.0, 0.0)),
    ],
)
def test_published_colours(rgb: tuple[int, int, int], want: tuple[float, float, float]) -> None:
    # CIELAB of the primaries under D65 as colour calculators give them, from a matrix of seven digits; the standard's
    # has four, of which half the last makes up to 0.03 here
    assert lab([rgb])[0] == pytest.approx(want, abs=0.03)


def test_black_and_white_are_exact() -> None:
    assert lab([(0, 0, 0), (255, 255, 255)]).tolist() == [
        pytest.approx([0.0, 0.0, 0.0], abs=1e-12),
        pytest.approx([100.0, 0.0, 0.0], abs=1e-12),
    ]
    assert LUMINANCE.sum() == pytest.approx(1.0, abs=1e-15)


@given(colour)
def test_colour_management_that_counts_against_its_own_white_agrees(rgb: tuple[int, int, int]) -> None:
    # the same formula after another matrix and white, against Pillow's LittleCMS, whose answer has 8 bits
    xyz = D50 @ linear(np.array(rgb) / 255.0) / D50.sum(axis=1)
    x, y, z = np.where(xyz > BEND, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    data = ImageCms.applyTransform(Image.new("RGB", (1, 1), rgb), IN_CIELAB)
    byte = np.asarray(data)[0, 0]
    theirs = [byte[0] / 2.55, *byte[1:].view(np.int8)]
    np.testing.assert_allclose([116 * y - 16, 500 * (x - y), 200 * (y - z)], theirs, atol=0.65)  # half a step, rounded


@given(colour)
def test_lightness_is_that_of_the_luminance_alone(rgb: tuple[int, int, int]) -> None:
    y = luminance([rgb])[0]
    want = 116.0 * y ** (1 / 3) - 16.0 if y > BEND else 24389 / 27 * y  # CIE 15: the slope as a fraction
    assert lab([rgb])[0, 0] == pytest.approx(want, abs=1e-10)


def test_lightness_rises_with_every_grey_and_meets_itself_at_the_darkest() -> None:
    greys = lab(np.repeat(np.arange(256.0)[:, None], 3, axis=1))
    steps = np.diff(greys[:, 0])
    assert (steps > 0.0).all()
    assert np.abs(greys[:, 1:]).max() < 1e-12
    # value and slope are continuous at the bend, near grey 14
    assert np.abs(np.diff(steps[:41])).max() < 0.1


def test_light_of_published_codes() -> None:
    # IEC 61966-2-1: half the code is 0.2140 of the light; both branches meet at 0.04045
    assert linear(np.array([0.5, 0.04045])) == pytest.approx([0.21404114, 0.04045 / 12.92], rel=1e-7)
    assert linear(np.array([0.04045, 0.040451])) == pytest.approx([0.0031308, 0.0031309], abs=1e-7)
    assert srgb(np.array([-1.0, 0.0, 1.0, 7.0])).tolist() == pytest.approx([0.0, 0.0, 1.0, 1.0], abs=1e-15)


@pytest.mark.parametrize(("kind", "off"), [(np.float32, 1e-6), (np.float64, 1e-7)])
def test_light_there_and_back_in_the_precision_that_was_given(kind: type, off: float) -> None:
    code = np.linspace(0.0, 1.0, 1001).astype(kind)
    light = linear(code)
    back = srgb(light)
    assert (light.dtype, back.dtype) == (kind, kind)
    np.testing.assert_allclose(back, code, atol=off, rtol=0)  # the standard's branches meet to 1e-8 of the range


def test_the_matrix_is_that_of_the_standard_s_primaries_and_white() -> None:
    # BT.709's primaries and D65 by their chromaticities (IEC 61966-2-1), to the four digits that it prints
    primaries = np.array([[0.64, 0.33, 0.03], [0.30, 0.60, 0.10], [0.15, 0.06, 0.79]]).T
    white = np.array([0.3127, 0.3290, 0.3583]) / 0.3290
    np.testing.assert_allclose(primaries * np.linalg.solve(primaries, white), XYZ_OF_RGB, atol=6e-5)
