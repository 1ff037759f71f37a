"""A page of its own with the fabric in 3-D: one file that opens from a disk and asks nobody for anything."""

from __future__ import annotations

import base64
import gzip
import json
import struct
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup
from trimesh.viewer.notebook import scene_to_html

from fabricsim.arrays import Floats
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.handouts.lesson import page_part, templates
from fabricsim.render.solid.yarn import as_bytes, yarn_bodies
from fabricsim.render.trace.camera import turned

FIELD = 0.55
"""Angle of view, upright, radians (chosen: little perspective, as of a thing held at arm's length)."""
ABOUT, DOWN = np.radians(-18.0), {"round": np.radians(28.0), "swatch": np.radians(14.0), "repeat": np.radians(14.0)}
"""How far the first view is turned, and how far it looks down: into a tube, on flat fabric less (chosen)."""
ROOM = 1.04
"""Distance of the camera over that at which the fabric just fits (chosen)."""
KEYS = "Arrow keys turn it, plus and minus come nearer and go back, Home starts again."
"""How to turn it, said when one comes to it by keyboard."""
MISSING = "This browser can't show the fabric in 3-D. Try another one, or look at the pictures of the lesson."
"""Said where a browser has no 3-D."""
GLB_HEAD, JSON_KIND = 12, 0x4E4F534A
"""Length of the head of a GLB, bytes, and the mark of its chunk of JSON (Khronos glTF 2.0, GLB file format)."""


@dataclass(frozen=True)
class _Ready:
    """What trimesh's page of a scene asks of the scene: that it has a camera, and its GLB."""

    glb: bytes
    camera: object = None

    def export(self, file_type: str) -> bytes:
        assert file_type == "glb"
        return self.glb


def solid_page(rest: Equilibrium, *, title: str, said: str, back: str) -> str:
    """Return a page of HTML with the yarn of ``rest``, coarse, to be turned by hand.

    ``said``: what it shows; ``back``: the name of the page that it belongs to. The viewer is trimesh's own, packed
    together with the yarn and unpacked by the browser, in which it takes half the room.
    """
    bodies = yarn_bodies(rest, "coarse")
    x_vc = np.concatenate([body.vertex_vc for body in bodies])
    glb = with_camera(as_bytes(bodies, "glb"), x_vc, ABOUT, float(DOWN[rest.mesh.case]))
    red, green, blue = PAPER
    viewer = scene_to_html(_Ready(glb)).replace("Color(0xffffff)", f"Color(0x{red:02x}{green:02x}{blue:02x})")
    viewer = _with_ours(viewer, name=f"{title} in 3-D", said=said)
    packed = base64.b64encode(gzip.compress(viewer.encode(), compresslevel=6, mtime=0)).decode("ascii")
    return (
        templates()
        .get_template("solid.html.j2")
        .render(
            title=title,
            said=said,
            back=back,
            packed=packed,
            style=Markup(page_part("solid.css")),
            script=Markup(page_part("solid.js")),
        )
    )


def _with_ours(viewer: str, *, name: str, said: str) -> str:
    """Return the page of the ``viewer`` with true colours, with keys that turn what it shows, and with words for it."""
    words = {"name": name, "said": f"{name}. {said}", "keys": KEYS, "missing": MISSING}
    added = (
        templates()
        .get_template("solid_viewer.html.j2")
        .render(words=words, script=Markup(page_part("solid_viewer.js")))
    )
    before, end, after = viewer.rpartition("</body>")
    return before + added + end + after


def with_camera(glb: bytes, x_vc: Floats, about: float, down: float) -> bytes:
    """Return a GLB with a camera added that sees all points ``x_vc`` (v, 3) m, turned by ``about`` and looking ``down``
    (radians) from in front of the face."""
    length, kind = struct.unpack_from("<II", glb, GLB_HEAD)
    assert kind == JSON_KIND
    begin = GLB_HEAD + 8
    tree, rest = json.loads(glb[begin : begin + length]), glb[begin + length :]
    low, high = x_vc.min(axis=0), x_vc.max(axis=0)
    far = ROOM * 0.5 * float(np.linalg.norm(high - low)) / np.sin(0.5 * FIELD)
    axes_ac = turned(about, down)
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = axes_ac.T, 0.5 * (low + high) + far * axes_ac[2]
    lens = {"yfov": FIELD, "znear": 0.01 * far, "zfar": 10.0 * far, "aspectRatio": 1.0}
    tree["cameras"] = [{"type": "perspective", "perspective": lens}]
    tree["nodes"].append({"name": "camera", "camera": 0, "matrix": pose.T.ravel().tolist()})
    tree["scenes"][tree.get("scene", 0)]["nodes"].append(len(tree["nodes"]) - 1)
    text = json.dumps(tree, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    chunk = struct.pack("<II", len(text), JSON_KIND) + text
    version = struct.unpack_from("<I", glb, 4)[0]
    return struct.pack("<4sII", b"glTF", version, GLB_HEAD + len(chunk) + len(rest)) + chunk + rest
