"""The built-in hat at rest, kept in the package so that it is drawn before anything that solves is loaded.

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

FOLDER, SHAPE, SAID = "kept", "hat_band.shape", "hat_band.json"


def kept_rest(order: Order) -> tuple[Shape, TellSaid] | None:
    """Return the shape and the numbers of an ``order``, if they are kept; None if they aren't."""
    folder = resources.files("fabricsim.table") / FOLDER
    try:
        kept: dict[str, Any] = json.loads((folder / SAID).read_text(encoding="utf-8"))
        if (kept["scene_hash"], kept["case"], kept["steps"]) != (scene_hash(order.scene), order.case, order.steps):
            return None
        head, arrays = unframed(zlib.decompress((folder / SHAPE).read_bytes()))
    except (OSError, ValueError, KeyError, zlib.error):
        return None  # it is only quicker with it
    told = head.model_dump(exclude={"arrays", "kind"}) | {"revision": order.revision}
    said = TellSaid.model_validate(kept["said"] | {"revision": order.revision})
    return Shape(told, arrays), said


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
