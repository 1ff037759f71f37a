"""Light laid on its ground: paper where nothing is, a soft shadow to the lower right, nothing at all if so asked."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from fabricsim.colour import linear, srgb
from fabricsim.render.trace.ground import SHADOW, SHADOW_OFF, SHADOW_SOFT, _shadow, composited
from fabricsim.render.trace.shade import SHOULDER, softened

PAPER = (240, 230, 220)
STITCH = 20.0


def block(cover: float = 1.0, size: int = 300, low: int = 100, high: int = 200) -> np.ndarray:
    """Return light of a dull red square, and how much of each pixel it covers."""
    light = np.zeros((size, size, 4), dtype=np.float32)
    light[low:high, low:high] = (0.3 * cover, 0.1 * cover, 0.05 * cover, cover)
    return light


def test_fabric_keeps_its_colour_and_paper_shows_beside_it() -> None:
    shown = np.asarray(composited(PAPER, block(), STITCH))
    assert shown.shape == (300, 300, 3)
    red = np.rint(255.0 * srgb(np.array([0.3, 0.1, 0.05], dtype=np.float32)))
    assert np.abs(shown[100:200, 100:200] - red).max() <= 1
    assert (shown[:60, :60] == PAPER).all()
    half = np.asarray(composited(PAPER, block(0.5), STITCH))[150, 150]
    paper = linear((np.array(PAPER) / 255.0).astype(np.float32)) * (1.0 - 0.5 * SHADOW)
    assert half == pytest.approx(255.0 * srgb(0.5 * paper + 0.5 * np.array([0.3, 0.1, 0.05])), abs=1.5)


def test_the_shadow_falls_to_the_lower_right_as_deep_and_as_far_as_it_should() -> None:
    shown = np.asarray(composited((255, 255, 255), block(), STITCH)).astype(float)
    lost = 1.0 - linear((shown[..., 1] / 255.0).astype(np.float32))
    row = lost[150, 200:]
    assert row[0] == pytest.approx(SHADOW * 0.77, abs=0.04)  # 8 px within an edge that is soft over 11
    half = float(np.interp(-0.5 * SHADOW, -row, np.arange(len(row))))
    assert half == pytest.approx(SHADOW_OFF * STITCH, abs=1.0)
    assert lost[150, 95] < 0.2 * SHADOW < row[4]
    assert lost[200:, 150] == pytest.approx(row, abs=1e-3)
    assert row[60:].max() < 1e-3


@pytest.mark.parametrize("stitch", [4.0, 11.0, 20.0, 47.0, 90.0])
def test_the_shadow_is_that_of_every_pixel_by_itself(stitch: float) -> None:
    """Reckoned in blocks, whose edges fall anywhere on the fabric's: to less than is seen between two greys."""
    tall, wide = round(12.0 * stitch), round(14.3 * stitch)
    cover = np.zeros((tall, wide), dtype=np.float32)
    cover[round(3.1 * stitch) : round(6.4 * stitch), round(3.3 * stitch) : round(9.2 * stitch)] = 1.0
    blurred = ndimage.gaussian_filter(cover.astype(np.float64), SHADOW_SOFT * stitch, mode="constant")
    want = SHADOW * ndimage.shift(blurred, [SHADOW_OFF * stitch] * 2, order=1, mode="constant")
    got = _shadow(cover, stitch)
    assert got is not None
    assert got.shape == cover.shape
    assert want.max() > 0.9 * SHADOW
    assert np.abs(got - want).max() < 1.0 / 255.0


def test_without_a_ground_what_is_clear_stays_clear_and_the_shadow_is_a_veil() -> None:
    shown = np.asarray(composited(None, block(), STITCH)).astype(float)
    assert shown.shape == (300, 300, 4)
    assert (shown[150, 150, 3], shown[10, 10, 3]) == (255.0, 0.0)
    veil = shown[150, 202]
    assert veil[:3].max() <= 2.0
    assert 0.4 * SHADOW < veil[3] / 255.0 < SHADOW
    clear = np.asarray(composited(None, block(0.5), STITCH)).astype(float)[150, 150]
    assert clear[3] / 255.0 == pytest.approx(0.5 + 0.5 * 0.5 * SHADOW, abs=0.01)


def test_fabric_that_fills_the_picture_throws_no_shadow() -> None:
    full = np.full((300, 40, 4), (0.2, 0.2, 0.2, 1.0), dtype=np.float32)
    shown = np.asarray(composited(PAPER, full, STITCH))
    assert len(np.unique(shown.reshape(-1, 3), axis=0)) == 1


def test_bright_light_is_pressed_below_white_and_dull_light_kept() -> None:
    dull = np.array([[0.1, 0.2, SHOULDER]])
    assert softened(dull) == pytest.approx(dull)
    bright = softened(np.array([[2.0, 1.0, 0.5]]))[0]
    assert SHOULDER < bright[0] < 1.0
    assert bright / bright[0] == pytest.approx([1.0, 0.5, 0.25])
    room = 1.0 - SHOULDER
    assert bright[0] == pytest.approx(SHOULDER + room * (1.0 - np.exp(-(2.0 - SHOULDER) / room)), abs=1e-6)
