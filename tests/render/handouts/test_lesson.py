"""What a lesson's page is made of, part by part, without a browser."""

from __future__ import annotations

import base64
import hashlib
import io
import re

import numpy as np
import pytest
from PIL import Image

from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.handouts.lesson import (
    Lesson,
    Plate,
    Scene3D,
    Station,
    bands,
    data_uri,
    lesson_page,
    policy,
    ramp,
)
from fabricsim.render.handouts.lesson_curves import curve

COLOURS = ColourScale("Pull", ("slack", "taut"), ((0.5, "half"),), np.array([[0.4, 10.6, 255.0], [128.0, 0.0, 64.49]]))
SLACKS = (-0.1, -0.005, 0.0, 0.1)


def station(slack: float, group: str) -> Station:
    plates = tuple(
        Plate(kind, f"{kind} of it", f"alt of {kind} at {slack:g}", Image.new("RGB", (400, 20), (9, 9, 9)))
        for kind in ("face", "back", "pull", "section")
    )
    name = f"<slack {slack:g}>"
    return Station(slack, group, name, f"verdict {slack:g}", f"heard {slack:g}", (("Width", f"{slack:g} cm"),),
                   (f"telling {slack:g}",), plates, slack in (-0.1, 0.1))  # fmt: skip


def page(solid: Scene3D | None = None) -> str:
    return lesson_page(
        Lesson(
            title="A <b>hat</b> & band",
            lead=("First lead", "Second lead"),
            stations=tuple(station(slack, "tight" if slack < 0 else "right" if slack else "") for slack in SLACKS),
            shown=0,
            curves=(curve("Draw-in", "%", SLACKS, (4.0, 3.0, 2.0, 1.0), 1.0),),
            metres_per_px=1e-4,
            colours=COLOURS,
            made=(("Scene", "Hat"), ("By", "us")),
            notes=("First note", "Second note"),
            scene_3d=solid,
        )
    )


def test_all_that_is_said_is_on_the_page_and_names_do_no_harm() -> None:
    text = page(Scene3D("hat-3d.html", "the fabric in 3-D"))
    assert "<b>hat</b>" not in text
    assert "A &lt;b&gt;hat&lt;/b&gt; &amp; band" in text
    said = ["First lead", "Second lead", "First note", "Second note", "Scene", "Hat", "By", "us", "hat-3d.html",
            "the fabric in 3-D", "Draw-in", "slack", "taut"]  # fmt: skip
    for slack in SLACKS:
        said += [f"verdict {slack:g}", f"heard {slack:g}", f"telling {slack:g}", f"{slack:g} cm"]
        said += [f"alt of {kind} at {slack:g}" for kind in ("face", "back", "pull", "section")]
        said += [f"&lt;slack {slack:g}&gt;"]
    for one in said:
        assert one in text, one
    assert "hat-3d.html" not in page()


def test_nothing_but_its_own_style_and_script_may_run() -> None:
    text = page()
    (rule,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', text)
    rule = rule.replace("&#39;", "'")
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    (script,) = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    assert rule == policy(style, script)
    for part in (style, script):
        assert base64.b64encode(hashlib.sha256(part.encode()).digest()).decode() in rule
    assert policy("a", "b") == (
        "default-src 'none'; img-src data:; style-src 'sha256-ypeBEsobvcr6wjGzmiPcTaeG7/gUfE5yuYB3ha/uSLs='; "
        "script-src 'sha256-PiPoFgA5WUoziU9lZOGxNIu9egCI1CxKy3PurtWcAJ0='; base-uri 'none'; form-action 'none'"
    )
    assert "http" not in text.replace("http-equiv", "").replace("http://www.w3.org/2000/svg", "")


def test_the_slider_has_a_column_a_step_and_the_bar_its_length() -> None:
    """400 px of 0.1 mm are 4 cm: at most 35 % of it is 1 cm, a quarter."""
    text = page()
    assert ":root { --steps: 4; --bar: 25.000%; }" in text
    assert ".band.tight { grid-column: 1 / span 2; }" in text
    assert ".band.right { grid-column: 4 / span 1; }" in text
    assert "1 cm" in text


def test_groups_of_neighbouring_steps() -> None:
    assert bands(["tight", "tight", "", "right", "loose", "loose"]) == [
        ("tight", 1, 2), ("right", 4, 1), ("loose", 5, 2),
    ]  # fmt: skip
    assert bands(["", ""]) == []
    assert bands(["tight", "", "tight"]) == [("tight", 1, 1), ("tight", 3, 1)]


@pytest.mark.parametrize(("slack", "tick"), [(-0.1, "−10"), (0.0, "0"), (0.0004, "0"), (0.05, "+5"), (-0.125, "−12.5")])
def test_a_tick_of_the_slider(slack: float, tick: str) -> None:
    assert station(slack, "").tick == tick


def test_colours_as_a_picture_one_pixel_high_and_pictures_as_text() -> None:
    made = ramp(COLOURS)
    assert np.asarray(made).tolist() == [[[0, 11, 255], [128, 0, 64]]]
    kind, data = data_uri(Image.new("RGB", (8, 6), (200, 30, 30))).split(",")
    assert kind == "data:image/webp;base64"
    read = Image.open(io.BytesIO(base64.b64decode(data)))
    assert (read.format, read.size) == ("WEBP", (8, 6))
    assert np.abs(np.asarray(read.convert("RGB")).astype(int) - (200, 30, 30)).max() < 12
