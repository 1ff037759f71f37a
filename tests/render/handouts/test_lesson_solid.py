"""The page in 3-D: it holds the yarn, packed, the scripts that draw it, and its words."""

from __future__ import annotations

import base64
import gzip
import json
import re
import struct
from typing import get_args

import numpy as np
import pytest

from fabricsim.arrays import AnyArray
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.form import shapes
from fabricsim.render.browser.script import one_script
from fabricsim.render.handouts.lesson_solid import ABOUT, DOWN, DRAWN, KEYS, MISSING, STEPS, solid_frame, solid_page
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.tiling import tiled
from tests.render.fabrics import CHECK, fabric

KINDS = {"f4": "<f4", "i4": "<i4", "i1": "i1", "u1": "u1"}


def parts(data: bytes) -> tuple[dict[str, object], dict[str, AnyArray]]:
    """Return head and arrays of a frame, read as its format says."""
    (size,) = struct.unpack_from("<I", data)
    assert size % 4 == 0
    head = json.loads(data[4 : 4 + size])
    arrays = {}
    for one in head["arrays"]:
        assert one["offset"] % 4 == 0
        count = int(np.prod(one["shape"]))
        arrays[one["name"]] = np.frombuffer(data, KINDS[one["dtype"]], count, 4 + size + one["offset"]).reshape(
            one["shape"]
        )
    return head, arrays


@pytest.mark.parametrize("case", get_args(Case))
def test_the_frame_holds_the_fabric_at_rest(case: Case) -> None:
    rest = fabric(CHECK, case)
    head, arrays = parts(solid_frame(rest))
    assert tuple(arrays) == DRAWN
    tiling = tiled(rest)
    np.testing.assert_allclose(arrays["place"], 1e3 * tiling.x_nc[: tiling.stitches], rtol=1e-6, atol=1e-5)
    strands = yarn_paths(tiling, STEPS)
    assert head["thickness_mm"] == pytest.approx(1e3 * strands.thickness)
    assert (head["case"], head["yaw"], head["pitch"]) == (case, ABOUT, DOWN[case])
    if case == "repeat":
        left, right, bottom, top = head["window_mm"]  # type: ignore[misc]
        assert ((arrays["point"][:, 0] >= left - 1e-3) & (arrays["point"][:, 0] <= right + 1e-3)).all()
        assert ((arrays["point"][:, 1] >= bottom - 1e-3) & (arrays["point"][:, 1] <= top + 1e-3)).all()
    else:
        assert head["window_mm"] is None
        np.testing.assert_allclose(arrays["point"], 1e3 * strands.x_pc, rtol=1e-6, atol=1e-4)
    assert arrays["first"][0] == 0
    assert arrays["first"][-1] == len(arrays["point"]) == len(arrays["normal"])
    assert len(head["colours"]) == len(rest.scene.yarns)  # type: ignore[arg-type]


def test_what_is_worn_is_shown_on_its_form() -> None:
    """Its surface from below the fabric to the top of the head, every corner on the form and looking out of it."""
    rest = fabric(CHECK, "round")
    assert parts(solid_frame(rest))[0]["body"] is None
    form = shapes.head(float(2.2 * np.pi * np.hypot(rest.x_nc[:, 0], rest.x_nc[:, 2]).max()))
    head, arrays = parts(solid_frame(rest, form))
    assert tuple(arrays) == (*DRAWN, "body", "body_out", "body_face")
    red, green, blue = head["body"]  # type: ignore[misc]
    assert 1.0 > red > green > blue > 0.5  # linear light of plaster
    corner_vc, out_vc = arrays["body"], arrays["body_out"][:, :3] / 127.0
    size_v = form.parts(1e-3 * corner_vc.astype(np.float64))[0].sum(axis=1)
    np.testing.assert_allclose(size_v, 0.0, atol=1e-5)
    assert corner_vc[:, 1].min() < 1e3 * rest.x_nc[:, 1].min()
    assert corner_vc[:, 1].max() == pytest.approx(1e3 * form.top, rel=1e-5)
    side_vc = corner_vc[:, [0, 2]] / np.maximum(np.hypot(*corner_vc[:, [0, 2]].T), 1e-9)[:, None]
    wide_v = np.hypot(*corner_vc[:, [0, 2]].T) > 1.0
    assert ((out_vc[:, [0, 2]] * side_vc).sum(axis=1)[wide_v] > 0.0).all()
    assert arrays["body_face"].max() < len(corner_vc)


def test_the_page_holds_the_yarn_the_scripts_and_the_words() -> None:
    rest = fabric(CHECK, "repeat")
    text = solid_page(rest, title="A <b>hat</b>", said="tight as it is", back="hat.html")
    assert "<b>hat</b>" not in text
    for one in ("A &lt;b&gt;hat&lt;/b&gt;", "tight as it is", "hat.html", KEYS, MISSING.replace("'", "&#39;")):
        assert one in text, one
    packed = max(re.findall(r"[A-Za-z0-9+/=]{1000,}", text), key=len)
    assert gzip.decompress(base64.b64decode(packed)) == solid_frame(rest)
    assert one_script("alone/page.js") in text
    assert re.findall(r"\b(?:src|href)=\"([^\"]*)\"", text) == ["hat.html"]  # nothing is loaded
    assert "</script" not in one_script("alone/page.js")
    assert text == solid_page(rest, title="A <b>hat</b>", said="tight as it is", back="hat.html")
