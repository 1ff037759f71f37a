"""What colour each stretch of yarn has: its own, or one that says something about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Indices
from fabricsim.design.scene.model import Scene
from fabricsim.render.yarn.tubes import Tubes


@dataclass(frozen=True, eq=False)
class Paint:
    """Colours ``rgb_k3`` (k, 3) float, sRGB 0 to 255, and which of them each ring has, ``which_g`` (g,) int."""

    rgb_k3: Floats
    which_g: Indices


def yarn_colours(scene: Scene) -> Floats:
    """Return the colours of the yarns, (y, 3) float, sRGB 0 to 255."""
    return np.array([one.rgb for one in scene.yarns], dtype=np.float64)


def as_dyed(scene: Scene, tubes: Tubes) -> Paint:
    """Return every yarn in its own colour."""
    return Paint(yarn_colours(scene), tubes.yarn_g)
