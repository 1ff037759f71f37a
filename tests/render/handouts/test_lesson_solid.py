"""The page in 3-D: its camera sees all of the fabric, and what it shows is the yarn, packed."""

from __future__ import annotations

import base64
import gzip
import json
import re
import struct

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.render.handouts.lesson_solid import ABOUT, DOWN, FIELD, KEYS, MISSING, ROOM, solid_page, with_camera
from fabricsim.render.solid.yarn import as_bytes, yarn_bodies
from tests.render.fabrics import CHECK, fabric


def parts(glb: bytes) -> tuple[dict[str, object], bytes]:
    """Return the JSON of a GLB and what follows it, read as Khronos glTF 2.0 has it."""
    magic, version, total = struct.unpack_from("<4sII", glb)
    assert (magic, version, total) == (b"glTF", 2, len(glb))
    length, kind = struct.unpack_from("<I4s", glb, 12)
    assert kind == b"JSON"
    assert length % 4 == 0
    return json.loads(glb[20 : 20 + length]), glb[20 + length :]


@pytest.mark.parametrize(("about", "down"), [(0.0, 0.0), (0.4, 0.3), (-1.0, 0.9)])
def test_the_camera_sees_every_point_from_in_front_and_none_too_near(about: float, down: float) -> None:
    x_vc = np.random.default_rng(0).uniform((-0.05, 0.0, -0.01), (0.02, 0.1, 0.02), (300, 3))
    plain = as_bytes(yarn_bodies(fabric(CHECK), "coarse"), "glb")
    tree, rest = parts(with_camera(plain, x_vc, about, down))
    before, same = parts(plain)
    assert rest == same
    camera = tree["cameras"][0]  # type: ignore[index]
    lens = camera["perspective"]
    assert camera["type"] == "perspective"
    assert (lens["yfov"], lens["aspectRatio"]) == (FIELD, 1.0)
    node = tree["nodes"][-1]  # type: ignore[index]
    assert (node["name"], node["camera"]) == ("camera", 0)
    assert tree["scenes"][0]["nodes"][-1] == len(tree["nodes"]) - 1  # type: ignore[index, arg-type]
    assert tree["nodes"][:-1] == before["nodes"]  # type: ignore[index]
    pose = np.array(node["matrix"]).reshape(4, 4).T  # columns first
    axes, at = pose[:3, :3], pose[:3, 3]
    assert np.allclose(axes.T @ axes, np.eye(3))
    assert np.linalg.det(axes) == pytest.approx(1.0)
    assert axes[2, 2] > 0  # from in front of the face
    assert np.arcsin(axes[1, 2]) == pytest.approx(down)  # looking down on it
    seen = (x_vc - at) @ axes
    assert (seen[:, 2] < 0).all()
    assert (np.abs(seen[:, :2]) <= -seen[:, 2:] * np.tan(0.5 * FIELD)).all()
    far = np.linalg.norm(at - 0.5 * (x_vc.min(axis=0) + x_vc.max(axis=0)))
    reach = 0.5 * np.linalg.norm(np.ptp(x_vc, axis=0))
    assert far == pytest.approx(ROOM * reach / np.sin(0.5 * FIELD))  # its ball just fits
    assert lens["znear"] < far - reach
    assert lens["zfar"] > far + reach
    turned = with_camera(plain, x_vc, about + np.pi, down)
    assert np.array(parts(turned)[0]["nodes"][-1]["matrix"]).reshape(4, 4).T[2, 2] < 0  # type: ignore[index]


def test_the_page_holds_the_yarn_and_the_words() -> None:
    case: Case = "repeat"
    rest = fabric(CHECK, case)
    text = solid_page(rest, title="A <b>hat</b>", said="tight as it is", back="hat.html")
    assert "<b>hat</b>" not in text
    for one in ("A &lt;b&gt;hat&lt;/b&gt;", "tight as it is", "hat.html"):
        assert one in text
    packed = max(re.findall(r"[A-Za-z0-9+/=]{1000,}", text), key=len)
    viewer = gzip.decompress(base64.b64decode(packed)).decode().replace("\\u0027", "'")
    for one in (KEYS, MISSING, "Color(0xf7f4ee)"):
        assert one in viewer, one
    assert "Color(0xffffff)" not in viewer
    assert viewer.rstrip().endswith("</html>")
    assert "in 3-D. tight as it is" in viewer
    bodies = yarn_bodies(rest, "coarse")
    x_vc = np.concatenate([body.vertex_vc for body in bodies])
    glb = with_camera(as_bytes(bodies, "glb"), x_vc, ABOUT, float(DOWN[case]))
    assert base64.b64encode(glb).decode() in viewer
