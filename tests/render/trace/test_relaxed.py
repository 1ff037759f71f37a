"""Pictures of scenes that the solver has let come to rest, at full quality: puckered, drawn in, with edges."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.fabric.measures import pucker
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.views import camera_for
from tests.render import rests
from tests.render.looking import seen, unlit


@pytest.fixture(
    scope="module",
    params=[(rests.stars, 2.9e-3), (rests.three_colours, 0.0), (rests.swatch, 0.0), (rests.band, 0.0)],
    ids=lambda given: given[0].__name__,
)
def drawn(request: pytest.FixtureRequest) -> YarnModel:
    """A scene at rest, which puckers at least as high as said, as its yarn."""
    at_rest, least_pucker = request.param
    equilibrium = at_rest()
    assert pucker(equilibrium).peak_to_valley >= least_pucker
    assert equilibrium.tension_f.max() > 0.0
    return unlit(equilibrium, "full")


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
