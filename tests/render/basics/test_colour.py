"""Colours in numbers, held against published formulas and worked values."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.render.basics.colour import SEEN, Eye, coded, contrast, difference, grey, lab, linear, luminance, seen

WHITE, BLACK = (255, 255, 255), (0, 0, 0)
Triple = tuple[int, int, int]
level = st.integers(0, 255)
colour = st.tuples(level, level, level)

# sRGB's linear red, green and blue in XYZ, adapted to the white of CIELAB as colour management has it (D50) by the
# Bradford transform (memory)
XYZ = np.array(
    [[0.4360747, 0.3850649, 0.1430804], [0.2225045, 0.7168786, 0.0606169], [0.0139322, 0.0971045, 0.7141733]]
)


def lab_by_hand(rgb: Triple) -> np.ndarray:
    """CIELAB by its definition: CIE 15, ISO/CIE 11664-4, with a branch below (6/29)^3."""
    share = np.array(rgb) / 255.0
    light = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    xyz = XYZ @ light / XYZ.sum(axis=1)
    x, y, z = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


@given(colour)
def test_lightness_and_hue_are_those_of_the_published_formula(rgb: Triple) -> None:
    np.testing.assert_allclose(lab([rgb])[0], lab_by_hand(rgb), atol=0.65)  # half a step of each byte, and a little


def test_worked_lightness() -> None:
    light = lab([WHITE, BLACK, (0x77, 0x77, 0x77)])[:, 0]
    np.testing.assert_allclose(light, [100.0, 0.0, 50.03], atol=0.2)


def test_worked_contrasts() -> None:
    assert contrast(BLACK, WHITE) == pytest.approx(21.0, abs=1e-12)  # WCAG 2.2: 1 to 21
    assert contrast(WHITE, WHITE) == 1.0
    # #767676 is the lightest grey with 4.5 : 1 on white, #777777 just misses it (memory)
    assert contrast((0x76, 0x76, 0x76), WHITE) == pytest.approx(4.54, abs=0.005)
    assert contrast((0x77, 0x77, 0x77), WHITE) == pytest.approx(4.48, abs=0.005)
    assert contrast((0, 0, 255), WHITE) == pytest.approx(1.05 / (0.0722 + 0.05))


@given(colour, colour)
def test_contrast_is_the_same_either_way_round_and_within_its_range(one: Triple, other: Triple) -> None:
    assert contrast(one, other) == contrast(other, one)
    assert 1.0 <= contrast(one, other) <= 21.0 + 1e-12


def test_differences_are_distances_in_cielab() -> None:
    one, other = lab([WHITE, BLACK])
    assert difference(one, other) == pytest.approx(100.0)
    assert difference(np.array([50.0, 3.0, 0.0]), np.array([50.0, 0.0, 4.0])) == 5.0


@given(colour)
def test_coding_undoes_linear_light(rgb: Triple) -> None:
    np.testing.assert_allclose(coded(linear([rgb]))[0], rgb, atol=1e-3)  # the two branches meet to 1e-5 of the range


@given(colour)
def test_greys_are_as_light_as_the_colours(rgb: Triple) -> None:
    shade = grey([rgb])
    assert np.ptp(shade) < 1e-9
    assert luminance(shade)[0] == pytest.approx(luminance([rgb])[0], abs=1e-9)


@pytest.mark.parametrize("eye", get_args(Eye))
def test_the_colour_blind_see_greys_as_greys(eye: Eye) -> None:
    np.testing.assert_allclose(SEEN[eye].sum(axis=1), 1.0, atol=2e-6)
    greys = np.repeat(np.arange(256.0)[:, None], 3, axis=1)
    np.testing.assert_allclose(seen(greys, eye), greys, atol=2e-3)


@pytest.mark.parametrize(("eye", "left"), [("protan", 0.0), ("deutan", 0.0), ("tritan", 0.24)])
def test_one_dimension_of_colour_is_lost(eye: Eye, left: float) -> None:
    """Eyes with two kinds of cones have two dimensions: the determinant goes to nought (of tritan eyes only nearly)."""
    assert np.linalg.det(SEEN[eye]) == pytest.approx(left, abs=0.005)


def test_each_kind_of_eyes_confuses_what_it_should() -> None:
    def left(one: Triple, other: Triple) -> dict[str, float]:
        return {eye: difference(*lab(seen([one, other], eye))) / difference(*lab([one, other])) for eye in SEEN}

    red_green = left((200, 60, 60), (120, 110, 60))
    assert max(red_green["protan"], red_green["deutan"]) < 0.5 < red_green["tritan"]
    blue_green = left((60, 130, 150), (80, 135, 90))
    assert blue_green["tritan"] < 0.6 < min(blue_green["protan"], blue_green["deutan"])
