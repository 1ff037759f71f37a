"""The package as it is used from Python and from a notebook."""

from __future__ import annotations

import io
import pickle
from pathlib import Path

import pytest
from PIL import Image

import fabricsim
from fabricsim.fabric.equilibrium import Equilibrium

SCENE = Path(__file__).parent.parent / "scenes" / "three_colours.toml"


@pytest.fixture(scope="module")
def rest() -> Equilibrium:
    return fabricsim.relax(fabricsim.read_scene(SCENE), "repeat", slack=-0.04)


def test_scene_floats_relax_measure_draw(rest: Equilibrium) -> None:
    assert len(fabricsim.floats(fabricsim.read_scene(SCENE))) > 100
    assert 0.03 < fabricsim.measure(rest).widths.overall < 0.04
    picture = fabricsim.draw(rest, "back", width_px=400, quality="draft")
    assert abs(picture.width - 400) <= 1  # margins are whole pixels


def test_a_notebook_shows_an_equilibrium_as_a_picture(rest: Equilibrium) -> None:
    shown = rest._repr_png_()
    assert shown is not None
    picture = Image.open(io.BytesIO(shown))
    assert picture.format == "PNG"
    assert abs(picture.width - 700) <= 1


def test_a_pickle_holds_all_of_an_equilibrium(rest: Equilibrium) -> None:
    again = pickle.loads(pickle.dumps(rest))
    assert again == rest
    solved = again.solved
    assert solved is not None  # its least cell, begun where that comes first in order
    energy = solved.contact.energy
    assert energy.value(energy.free(solved.state)) == pytest.approx(rest.effort.energy)
    assert again.painter is rest.painter


def test_what_the_front_door_gives_is_compared_hashed_and_told_in_a_line(rest: Equilibrium) -> None:
    scene = rest.scene
    assert scene == fabricsim.read_scene(SCENE)
    assert hash(scene) == hash(fabricsim.read_scene(SCENE))
    assert rest != fabricsim.relax(scene, "repeat", slack=-0.05)
    assert rest.mesh == pickle.loads(pickle.dumps(rest.mesh))
    assert len({scene, rest, rest.mesh, rest.mesh.floats, rest.state, fabricsim.measure(rest)}) == 6
    assert [repr(one) for one in (scene, rest, rest.mesh, fabricsim.measure(rest))] == [
        "<Scene 'Lantern panel in three colours': 3 yarns, worked in the round>",
        "<Equilibrium of 'Lantern panel in three colours': repeat, 8 rows of 12 stitches, 60 floats>",
        "<Mesh: repeat, 8 rows of 12 stitches, 60 floats>",
        "<Measures: 4.0 % of the width lost, 0.0 mm of pucker, 60 floats taut>",
    ]
