"""Colours in numbers: how light, how far apart, in grey, and to the colour-blind.

Lightness and hue are CIELAB, from the colour management that comes with Pillow, in 8 bits: to 0.4 of lightness.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from PIL import Image, ImageCms

from fabricsim.arrays import Floats

Colours = Floats | Sequence[Sequence[float]]
"""(k, 3): red, green, blue, 0 to 255, as sRGB codes them."""
Eye = Literal["protan", "deutan", "tritan"]

SEEN: dict[Eye, Floats] = {
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
"""What is left of linear red, green and blue to eyes that lack one kind of cone, at full severity: G. M. Machado,
M. M. Oliveira, L. A. F. Fernandes 2009, IEEE Trans. Vis. Comput. Graph. 15(6), 1291 (numbers from memory; copies of the
table elsewhere agree). The first two lose one dimension of colour wholly, the third only nearly: its determinant is
0.24."""
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""Shares of linear red, green and blue in luminance: ITU-R BT.709, as in WCAG 2."""
FLARE = 0.05
"""Stray light added to both luminances of a contrast ratio: WCAG 2.2, definition of contrast ratio."""
_LAB = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB")


def linear(rgb_k3: Colours) -> Floats:
    """Return (k, 3) linear light, 0 to 1, of sRGB colours (IEC 61966-2-1)."""
    share = np.asarray(rgb_k3, dtype=np.float64) / 255.0
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def coded(light_k3: Floats) -> Floats:
    """Return (k, 3) sRGB colours, 0 to 255, of linear light; light out of range is clipped."""
    light = np.clip(light_k3, 0.0, 1.0)
    return 255.0 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def luminance(rgb_k3: Colours) -> Floats:
    """Return (k,) relative luminance, 0 to 1."""
    light: Floats = linear(rgb_k3) @ LUMINANCE
    return light


def contrast(one: Sequence[float], other: Sequence[float]) -> float:
    """Return the contrast ratio of two sRGB colours, 1 to 21: (L1 + 0.05)/(L2 + 0.05), the lighter first (WCAG 2.2)."""
    low, high = np.sort(luminance([one, other]))
    return float((high + FLARE) / (low + FLARE))


def lab(rgb_k3: Colours) -> Floats:
    """Return (k, 3) CIELAB L*, a*, b* of sRGB colours, white at (100, 0, 0)."""
    image = Image.fromarray(np.rint(np.asarray(rgb_k3, dtype=np.float64)).astype(np.uint8)[None])
    turned = ImageCms.applyTransform(image, _LAB)
    assert turned is not None
    code = np.asarray(turned)[0].astype(np.float64)
    a_b = np.where(code[:, 1:] > 127, code[:, 1:] - 256, code[:, 1:])  # signed bytes
    return np.column_stack([code[:, 0] / 2.55, a_b])


def difference(one: Floats, other: Floats) -> float:
    """Return how far apart two colours are in CIELAB: their distance (CIE 1976)."""
    return float(np.linalg.norm(one - other))


def grey(rgb_k3: Colours) -> Floats:
    """Return (k, 3) greys as light as the sRGB colours are, 0 to 255."""
    return coded(np.repeat(luminance(rgb_k3)[:, None], 3, axis=1))


def seen(rgb_k3: Colours, eye: Eye) -> Floats:
    """Return (k, 3) sRGB colours as they look to eyes that lack one kind of cone."""
    return coded(linear(rgb_k3) @ SEEN[eye].T)
