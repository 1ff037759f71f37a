"""Pictures as bytes, and figures as pictures."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from fabricsim.render.basics.files import figure_image, figure_png
from fabricsim.render.basics.palette import INK, PAPER, paper_figure, rgb


@pytest.mark.parametrize("size", [(2.0, 1.5), (1.0 / 3.0, 0.777), (1777 / 150, 1.0)])
def test_a_figure_is_the_same_picture_as_in_its_file(size: tuple[float, float]) -> None:
    figure = paper_figure(size)
    figure.add_subplot().plot([0, 1], [1, 0], color=INK)
    with Image.open(io.BytesIO(figure_png(figure))) as file:
        there = np.asarray(file.convert("RGB"))
    here = np.asarray(figure_image(figure))
    assert here.shape == there.shape
    assert (here == there).all()
    assert tuple(here[0, 0]) == PAPER
    assert (here == rgb(INK)).all(axis=2).any()
