"""Colours of the screen in numbers: sRGB to linear light and back, luminance, and CIELAB.

The one home of these formulas. Rendering calls them for millions of pixels, so they keep the precision of what they are
given: float32 in, float32 out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np

from fabricsim.arrays import Floats, Singles

Numbers = TypeVar("Numbers", Singles, Floats)
Colours = Floats | Sequence[Sequence[float]]
"""(k, 3): red, green, blue, 0 to 255, as sRGB codes them."""

XYZ_OF_RGB = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
"""CIE 1931 X, Y, Z of linear red, green and blue: IEC 61966-2-1, whose white is D65."""
LUMINANCE = XYZ_OF_RGB[1]
"""Shares of linear red, green and blue in luminance, white = 1: Y above; as in ITU-R BT.709 and WCAG 2."""
BEND = (6.0 / 29.0) ** 3
"""Share of white's X, Y or Z below which CIELAB is a straight line: ISO/CIE 11664-4."""


def linear(coded: Numbers) -> Numbers:
    """Return linear light of sRGB values, both 0 to 1 (IEC 61966-2-1)."""
    light: Numbers = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    return light


def srgb(light: Numbers) -> Numbers:
    """Return sRGB values of linear light, both 0 to 1 (IEC 61966-2-1); light out of range is clipped."""
    light = np.clip(light, 0.0, 1.0)
    coded: Numbers = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1.0 / 2.4) - 0.055)
    return coded


def luminance(rgb_k3: Colours) -> Floats:
    """Return (k,) relative luminance, 0 to 1, of sRGB colours.

    >>> luminance([(0, 0, 0), (255, 255, 255)])
    array([0., 1.])
    """
    shares: Floats = linear(np.asarray(rgb_k3, dtype=np.float64) / 255.0) @ LUMINANCE
    return shares


def lab(rgb_k3: Colours) -> Floats:
    """Return (k, 3) CIELAB L*, a*, b* (CIE 1976) of sRGB colours.

    Against sRGB's own white, D65, without adaptation to another, so that L* is that of the luminance and white lies at
    (100, 0, 0) to the last bit. Colour management counts against D50 and gives red and blue some units more or less.
    """
    xyz_k3 = linear(np.asarray(rgb_k3, dtype=np.float64) / 255.0) @ XYZ_OF_RGB.T / XYZ_OF_RGB.sum(axis=1)
    x, y, z = np.where(xyz_k3 > BEND, np.cbrt(xyz_k3), xyz_k3 / (3.0 * BEND ** (2.0 / 3.0)) + 4.0 / 29.0).T
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=1)
