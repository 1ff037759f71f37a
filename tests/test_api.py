"""The package as it is used from Python and from a notebook."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image

import fabricsim

SCENE = Path(__file__).parent.parent / "scenes" / "three_colours.toml"


def test_scene_floats_relax_measure_draw() -> None:
    scene = fabricsim.read_scene(SCENE)
    assert len(fabricsim.floats(scene)) > 100
    rest = fabricsim.relax(scene, "repeat", slack=-0.04)
    assert 0.03 < fabricsim.measure(rest).widths.overall < 0.04
    picture = fabricsim.draw(rest, "back", width_px=400, quality="draft")
    assert abs(picture.width - 400) <= 1  # margins are whole pixels


def test_a_notebook_shows_an_equilibrium_as_a_picture() -> None:
    rest = fabricsim.relax(fabricsim.read_scene(SCENE), "repeat")
    shown = rest._repr_png_()
    assert shown is not None
    picture = Image.open(io.BytesIO(shown))
    assert picture.format == "PNG"
    assert abs(picture.width - 700) <= 1
