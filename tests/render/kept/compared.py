"""How far two pictures are from being the same."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image
from scipy.ndimage import maximum_filter, minimum_filter

FOLDER = Path(__file__).parent / "pictures"
NEAR = 20
"""Of 255, how far a pixel may be from all that lie next to it in the other picture (chosen: letters that another
version of a library draws a little otherwise, and not a hairline twice as thick)."""


def kept(name: str) -> Image.Image:
    """Return the picture that is kept under a name."""
    with Image.open(FOLDER / f"{name}.png") as picture:
        return picture.convert("RGB")


def apart(one: Image.Image, other: Image.Image) -> int:
    """Return in how many pixels two pictures of one size differ: no neighbour in the other, nor any mixture of its
    neighbours, comes near."""
    assert one.size == other.size
    a, b = (np.asarray(picture.convert("RGB")).astype(int) for picture in (one, other))
    off = np.zeros(a.shape[:2], dtype=int)
    for here, there in ((a, b), (b, a)):
        least, most = minimum_filter(there, size=(3, 3, 1)), maximum_filter(there, size=(3, 3, 1))
        off = np.maximum(off, np.maximum(least - here, here - most).max(axis=2))
    return int((off > NEAR).sum())
