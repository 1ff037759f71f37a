"""Pictures of scenes that the solver has let come to rest, at full quality: puckered, drawn in, with edges."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.fabric.measures import pucker
from fabricsim.fabric.relax import relax
from fabricsim.render import build_yarns
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.views import camera_for
from tests.render.looking import seen

SCENES = Path(__file__).parents[3] / "scenes"


def scene(name: str, across: int | None = None, up: int | None = None) -> Scene:
    """Return a scene of the project's own, with fewer repeats where a smaller piece will do."""
    read = read_scene(SCENES / f"{name}.toml")
    more = {key: count for key, count in (("across", across), ("up", up)) if count is not None}
    return read.model_copy(update={"chart": read.chart.model_copy(update=more)})


@pytest.fixture(
    scope="module",
    params=[
        (scene("across_the_edge"), "repeat", 2.9e-3),
        (scene("rings_from_a_picture"), "repeat", 3e-3),
        (scene("three_colours"), "repeat", 0.0),
        (scene("flat_swatch"), "swatch", 0.0),
        (scene("hat_band", across=2, up=1), "round", 0.0),
    ],
    ids=lambda given: given[0].source.stem,
)
def drawn(request: pytest.FixtureRequest) -> YarnModel:
    """A scene at rest, which puckers at least as high as said, as its yarn."""
    asked, case, least_pucker = request.param
    equilibrium = relax(asked, case)
    assert pucker(equilibrium).peak_to_valley >= least_pucker
    assert equilibrium.tension_f.max() > 0.0
    return build_yarns(equilibrium, "full")


def test_the_face_is_closed_and_shows_each_colour_as_often_as_the_chart(drawn: YarnModel) -> None:
    face = seen(drawn, camera_for(drawn, "face", Scale(600)))
    grid = drawn.equilibrium.mesh.yarn_n
    assert face.gaps < 0.005
    assert face.carried <= 0.01
    for yarn in np.unique(grid):
        # a view of a slope or of a tube's flank shows fewer pixels of it, and an edge stitch lies half outside its row
        assert face.share(yarn) == pytest.approx((grid == yarn).mean(), abs=0.02)


def test_the_back_is_closed_and_shows_the_floats(drawn: YarnModel) -> None:
    back = seen(drawn, camera_for(drawn, "back", Scale(600)))
    assert back.gaps < 0.005
    assert back.carried > 0.2  # rows without floats among them
