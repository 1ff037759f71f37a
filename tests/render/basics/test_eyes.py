"""Colours to several kinds of eyes, held against published formulas and worked values."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.colour import lab, luminance
from fabricsim.render.basics.eyes import SEEN, Eye, contrast, difference, grey, seen

WHITE, BLACK = (255, 255, 255), (0, 0, 0)
Triple = tuple[int, int, int]
level = st.integers(0, 255)
colour = st.tuples(level, level, level)


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
