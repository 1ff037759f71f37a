"""Colours as eyes tell them apart: their contrast, their difference, in grey, and to the colour-blind."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.colour import Colours, linear, luminance, srgb

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
FLARE = 0.05
"""Stray light added to both luminances of a contrast ratio: WCAG 2.2, definition of contrast ratio."""


def contrast(one: Sequence[float], other: Sequence[float]) -> float:
    """Return the contrast ratio of two sRGB colours, 1 to 21: (L1 + 0.05)/(L2 + 0.05), the lighter first (WCAG 2.2)."""
    low, high = np.sort(luminance([one, other]))
    return float((high + FLARE) / (low + FLARE))


def difference(one: Floats, other: Floats) -> float:
    """Return how far apart two colours are in CIELAB: their distance (CIE 1976)."""
    return float(np.linalg.norm(one - other))


def grey(rgb_k3: Colours) -> Floats:
    """Return (k, 3) greys as light as the sRGB colours are, 0 to 255."""
    return 255.0 * srgb(np.repeat(luminance(rgb_k3)[:, None], 3, axis=1))


def seen(rgb_k3: Colours, eye: Eye) -> Floats:
    """Return (k, 3) sRGB colours as they look to eyes that lack one kind of cone, 0 to 255."""
    light_k3: Floats = linear(np.asarray(rgb_k3, dtype=np.float64) / 255.0) @ SEEN[eye].T
    return 255.0 * srgb(light_k3)
