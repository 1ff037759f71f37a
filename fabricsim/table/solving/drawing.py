"""A fabric as the frame that the page draws."""

from __future__ import annotations

import hashlib
from typing import Literal

import numpy as np

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures
from fabricsim.render.browser.yarn import DrawnYarn
from fabricsim.table.solving.shape import TOPOLOGY, Shape
from fabricsim.units import MM


def shape_of(
    equilibrium: Equilibrium,
    drawn: DrawnYarn,
    *,
    apart: bool,
    rest: bool,
    revision: int,
    step: int = 0,
    measures: Measures | None = None,
    which: Literal["first", "second"] = "first",
) -> Shape:
    """Return the shape of a fabric, its yarn ``drawn``; ``apart``: yarns kept apart; ``rest``: whether it is at rest;
    ``measures`` of it, if they are known."""
    arrays = dict(drawn.arrays)
    if measures is not None:
        arrays["height"] = (measures.pucker.height_n[drawn.tiling.origin_n] / MM).astype(np.float32)
    same = hashlib.blake2b(digest_size=4)
    for name in TOPOLOGY:
        same.update(arrays[name].tobytes())
    head: dict[str, object] = {
        "revision": revision,
        "which": which,
        "case": equilibrium.mesh.case,
        "rest": rest,
        "apart": apart,
        "step": step,
        "topology": int.from_bytes(same.digest(), "little"),
        "thickness_mm": drawn.thickness / MM,
        "stitch_mm": drawn.stitch_mm,
        "window_mm": drawn.window_mm,
    }
    return Shape(head, arrays)
