"""From a scene file to a ``Scene``, or to one clear line about what is wrong with it."""

from __future__ import annotations

import hashlib
import json
from importlib import resources
from pathlib import Path
from typing import Any

from fabricsim.design.scene.inches import in_cm
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.part_file import part_of_text, read_part

DEMO = "hat_band.toml"


def read_scene(path: str | Path) -> Scene:
    """Return the scene written in the TOML file ``path``, its chart read and checked.

    Raises ``InputError``, naming file and key, for anything that isn't a scene: no such file, not TOML,
    unknown or missing keys, values out of range, a chart that doesn't fit its yarns, a piece above the stitch
    limit.
    """
    path = Path(path)
    return read_part(path, Scene, "a scene", context={"source": path}, before=in_cm)


def scene_of_text(text: str, path: Path) -> Scene:
    """Return the scene that a ``text`` in TOML says, as if it stood in the file ``path``, which need not be there.

    Raises ``InputError`` as ``read_scene`` does; files that it names are looked for beside ``path``.
    """
    return part_of_text(text, path, Scene, "a scene", context={"source": path}, before=in_cm)


def demo_scene() -> Scene:
    """Return the scene that comes with the package: a hat band in the round.

    >>> scene = demo_scene()
    >>> scene.gauge.stitches, scene.symbols, scene.stitches_per_repeat
    (19.0, ('.', '#'), 12)
    """
    with resources.as_file(resources.files("fabricsim.design.scene") / "demo" / DEMO) as path:
        return read_scene(path)


def scene_hash(scene: Scene) -> str:
    """Return the SHA-256 of all that the scene says, as 64 hexadecimal digits.

    The chart counts as its stitches, so that it doesn't matter whether it was drawn as rows, a file or a
    picture, nor where the scene's file lies.
    """
    said = scene.model_dump(mode="json")
    for drawn in ("rows", "file", "image"):
        del said["chart"][drawn]
    said["chart"]["stitches"] = scene.chart_rows()
    del said["knitter"]
    for key in ("on", "shaping"):
        if said[key] is None:
            del said[key]
    if not said["bands"]:
        del said["bands"]
    if said["steek"] is None:
        del said["steek"]
    del said["units"]  # what it is said in changes nothing
    if not scene.slack_is_written:  # it may be anybody's then, and is not the same as one that is written
        del said["floats"]["slack"]
    if not said["floats"]["below"]:  # as the yarns are listed: scenes that say nothing of it keep their hash
        del said["floats"]["below"]
    if said["floats"]["needles"] is None:  # nor how much shorter floats would be round corners
        del said["floats"]["needles"], said["floats"]["corner_shorter"]
    if said["fabric"]["edges"] != "curl":  # no number says how it is seen lying
        del said["fabric"]["edges"]
    for key in ("needle_mm", "colourwork", "washed"):
        if said["gauge"][key] is None:
            del said["gauge"][key]
    if scene.hands is not None:  # what its file holds, wherever that lies; scenes without one keep their hash
        said["knitter"] = scene.hands.model_dump(mode="json")
    return hashlib.sha256(json.dumps(said, sort_keys=True, allow_nan=False).encode()).hexdigest()


def scene_schema() -> dict[str, Any]:
    """Return the JSON Schema of a scene file (draft 2020-12), every key described."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **Scene.model_json_schema()}
