"""The yarn's colour in the picture against the one that was asked for, in CIELAB as Pillow's LittleCMS reckons it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from PIL import Image, ImageCms

from fabricsim.render import build_yarns
from fabricsim.render.trace.camera import Scale, windowed
from fabricsim.render.trace.ground import composited
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.paint import Paint
from fabricsim.render.trace.trace import trace
from fabricsim.render.trace.views import camera_for
from tests.render.fabrics import GAUGE, PLAIN, fabric

W = GAUGE.stitch_width
MARGIN, SHOWN = 4.0, 9.0
"""Where a part of the face that is looked at begins, and how large it is, stitch widths: 100 stitches speak for all."""
IN_CIELAB = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB")
DARK = {"coal": (16, 16, 18)}
MIDDLE = {
    "ink": (29, 43, 79),
    "juniper": (39, 83, 107),
    "scarlet": (200, 16, 46),
    "pewter": (128, 128, 128),
    "moss": (138, 154, 91),
    "sky": (127, 168, 201),
}
LIGHT = {"yolk": (242, 194, 0), "oat": (233, 223, 200), "snow": (255, 255, 255)}
COLOURS = {**DARK, **MIDDLE, **LIGHT}


@dataclass(frozen=True)
class Shown:
    """Of a yarn of ``own_c`` L*, a*, b*: ``lab_pc`` (p, 3) of all pixels, and their sRGB ``rgb_pc``, 0 to 255."""

    own_c: np.ndarray
    lab_pc: np.ndarray
    rgb_pc: np.ndarray

    @property
    def lit_c(self) -> np.ndarray:
        """The lighter half of the pixels: the median of its L* and the means of its a*, b*, which are whole numbers."""
        light = self.lab_pc[self.lab_pc[:, 0] >= np.median(self.lab_pc[:, 0])]
        return np.append(np.median(light[:, 0]), light[:, 1:].mean(axis=0))

    @property
    def range(self) -> float:
        """From the darkest tenth to the lightest tenth, L*."""
        low, high = np.percentile(self.lab_pc[:, 0], [10, 90])
        return float(high - low)


def lab(image: Image.Image) -> np.ndarray:
    """Return L* 0 to 100, a* and b*, (p, 3), of 8 bits each."""
    bytes_hwc = np.asarray(ImageCms.applyTransform(image, IN_CIELAB))
    signed = bytes_hwc.view(np.int8)
    return np.stack([bytes_hwc[..., 0] / 2.55, signed[..., 1], signed[..., 2]], axis=-1).reshape(-1, 3)


@cache
def plain() -> YarnModel:
    """Plain fabric, whose face fills its picture; only paint is put on it anew."""
    return build_yarns(fabric(PLAIN))


@cache
def shown(name: str, width_px: int = 360) -> Shown:
    """Return the middle of its face in one yarn, the face ``width_px`` wide."""
    rgb = COLOURS[name]
    paint = Paint(np.array([rgb], dtype=float), np.zeros_like(plain().stage.skin.paint_g))
    model, (left, right, bottom, _) = plain().painted(paint), plain().tiling.window_a
    window = [left + MARGIN * W, left + (MARGIN + SHOWN) * W, bottom + MARGIN * W, bottom + (MARGIN + SHOWN) * W]
    scale = Scale(metres_per_px=(right - left) / width_px)
    camera = windowed(camera_for(model, "face", scale).axes_ac, np.array(window), scale)
    image = composited(None, trace(model.stage, camera, model.level.samples), W / camera.metres_per_px).convert("RGB")
    return Shown(lab(Image.new("RGB", (1, 1), rgb))[0], lab(image), np.asarray(image).reshape(-1, 3))


def hue_and_chroma(lab_c: np.ndarray) -> tuple[float, float]:
    return float(np.degrees(np.arctan2(lab_c[2], lab_c[1]))), float(np.hypot(*lab_c[1:]))


@pytest.mark.parametrize("name", MIDDLE)
def test_well_lit_yarn_has_the_lightness_of_its_dye(name: str) -> None:
    seen = shown(name)
    # a tenth more or less light makes 1.2 to 2.8 L*, by lightness: either would take some of these yarns beyond
    assert 0.0 <= seen.lit_c[0] - seen.own_c[0] < 2.8
    # all of it, with the shadows between its loops, is as much darker as its lit parts are lighter, or a little more
    assert -4.5 < np.median(seen.lab_pc[:, 0]) - seen.own_c[0] < 0.0


@pytest.mark.parametrize("name", ["ink", "sky", "snow"])
def test_yarn_is_as_light_from_afar_as_from_near_by(name: str) -> None:
    # from yarn 6 pixels thick, its plies unseen, to yarn 16 pixels thick, in which they show in full
    far, near = (shown(name, width_px).lit_c for width_px in (360, 960))
    assert far[0] == pytest.approx(near[0], abs=0.8)  # two steps of 8 bits; grooves unmade up for would make 1 to 1.5


@pytest.mark.parametrize("name", [name for name in MIDDLE if name != "pewter"] + ["yolk"])
def test_hue_and_strength_of_a_dye_are_kept(name: str) -> None:
    seen = shown(name)
    (hue, chroma), (own_hue, own_chroma) = hue_and_chroma(seen.lit_c), hue_and_chroma(seen.own_c)
    # light that is multiplied keeps it but for the light's own warmth; whole numbers of a*, b* alone make 1.5 degrees
    assert abs((hue - own_hue + 180.0) % 360.0 - 180.0) < 5.0
    assert chroma == pytest.approx(own_chroma, rel=0.1)


@pytest.mark.parametrize("name", ["pewter", "snow", "coal"])
def test_grey_yarn_stays_grey(name: str) -> None:
    # the key light is a little warm, the sky a little cool: less than a practised eye tells from grey, about 3
    assert hue_and_chroma(shown(name).lit_c)[1] < 2.5


@pytest.mark.parametrize("name", LIGHT)
def test_light_yarn_is_light_and_still_shows_its_loops(name: str) -> None:
    seen = shown(name)
    assert -6.0 < seen.lit_c[0] - seen.own_c[0] < 1.0
    assert seen.rgb_pc.max() < 255  # nothing is burnt out
    assert seen.range > 18.0  # a fifth of all from black to white


def test_black_yarn_is_dark_and_still_shows_its_loops() -> None:
    seen = shown("coal")
    assert seen.lit_c[0] < 14.0  # drawn as if it were a little lighter than it is, so that it does
    assert seen.range > 5.0
