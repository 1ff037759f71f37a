"""The built-in hat at rest and its whole forecast, kept in the package: it is drawn, and told as ``preview`` tells it,
before anything that solves is loaded.

``python -m tests.table`` writes it anew; a test holds that it still is how the hat rests and what is said of it.
"""

from __future__ import annotations

import json
import zlib
from importlib import resources
from typing import Any

from fabricsim.design.scene.read import scene_hash
from fabricsim.table.messages.fabrics import TellSaid
from fabricsim.table.messages.frames import unframed
from fabricsim.table.solving.order import Order
from fabricsim.table.solving.shape import Shape

PACKAGE = "fabricsim.table"
FOLDER, SHAPE, SAID = "kept", "hat_band.shape", "hat_band.json"


def kept_said(order: Order) -> TellSaid | None:
    """Return the numbers of an ``order``, if they are kept; None if they aren't."""
    kept = _kept(order)
    return None if kept is None else TellSaid.model_validate(kept["said"] | {"revision": order.revision})


def kept_rest(order: Order) -> tuple[Shape, TellSaid] | None:
    """Return the shape and the numbers of an ``order``, if both are kept; None if they aren't."""
    kept, said = _kept(order), kept_said(order)
    if kept is None or said is None or kept["steps"] != order.steps:
        return None
    try:
        head, arrays = unframed(zlib.decompress((resources.files(PACKAGE) / FOLDER / SHAPE).read_bytes()))
    except (OSError, ValueError, zlib.error):
        return None  # it is only quicker with it
    told = head.model_dump(exclude={"arrays", "kind"}) | {"revision": order.revision}
    return Shape(told, arrays), said


def _kept(order: Order) -> dict[str, Any] | None:
    """Return what is kept, if it is of the scene of an ``order`` in its case."""
    try:
        kept: dict[str, Any] = json.loads((resources.files(PACKAGE) / FOLDER / SAID).read_text(encoding="utf-8"))
        same = (kept["scene_hash"], kept["case"]) == (scene_hash(order.scene), order.case)
    except (OSError, ValueError, KeyError):
        return None
    return kept if same and order.which == "first" else None


def written(order: Order, shape: Shape, said: TellSaid) -> dict[str, bytes]:
    """Return the files that keep a rest, by name."""
    kept = {
        "scene_hash": scene_hash(order.scene),
        "case": order.case,
        "steps": order.steps,
        "said": said.model_dump(mode="json"),
    }
    return {
        SAID: (json.dumps(kept, indent=1) + "\n").encode(),
        SHAPE: zlib.compress(shape.framed(whole=True), 9),
    }
