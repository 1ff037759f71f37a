"""Pictures as bytes, and figures as pictures."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from fabricsim.render.basics.files import (
    figure_image,
    figure_pdf,
    figure_png,
    figure_svg,
    figures_as,
    figures_pdf,
    image_png,
    page_png,
)
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


def test_files_of_figures_are_what_they_are_called_have_a_title_and_are_the_same_again() -> None:
    one, other = paper_figure((1.0, 2.0)), paper_figure((2.0, 1.0))
    alone = figure_pdf(one, "Hat band")
    assert alone.startswith(b"%PDF")
    assert b"(Hat band)" in alone
    assert b"/Count 1" in alone
    assert b"CreationDate" not in alone
    assert figure_pdf(one, "Hat band") == alone == figures_pdf([one], "Hat band")
    assert figures_as(".pdf", [one, other], "Both") == [figures_pdf([one, other], "Both")]
    assert b"/Count 2" in figures_pdf([one, other], "Both")
    assert figures_as(".svg", [one, other], "Both") == [figure_svg(one), figure_svg(other)]
    assert b"<svg" in figure_svg(one)
    assert b"dc:date" not in figure_svg(one)
    assert figures_as(".png", [one], "One") == [figure_png(one)]


def test_a_page_in_256_colours_of_its_own_looks_the_same() -> None:
    """Paper, ink and its greys are there to the letter; a picture in thousands of colours is off by a few of 255."""
    rng = np.random.default_rng(3)
    across, up = np.meshgrid(np.linspace(0.0, 1.0, 160), np.linspace(0.0, 1.0, 120))
    page = np.stack([200 - 120 * across, 60 + 100 * up, 90 + 60 * across * up], axis=-1) + rng.normal(
        0, 2, (120, 160, 3)
    )
    page[:20] = PAPER
    page[:20, 40:60] = rgb(INK)
    shown = Image.fromarray(page.round().clip(0, 255).astype(np.uint8))
    data = page_png(shown)
    with Image.open(io.BytesIO(data)) as file:
        assert file.format == "PNG"
        assert file.mode == "P"
        there = np.asarray(file.convert("RGB")).astype(float)
    assert np.abs(there[:20, :40] - PAPER).max() <= 3
    assert np.abs(there[:20, 40:60] - rgb(INK)).max() <= 3
    assert np.sqrt(np.mean((there - np.asarray(shown)) ** 2)) < 6.0
    assert len(data) < 0.6 * len(image_png(shown))
    with Image.open(io.BytesIO(image_png(shown, 300.0))) as exact:
        assert (np.asarray(exact) == np.asarray(shown)).all()
        assert exact.info["dpi"] == pytest.approx((300.0, 300.0), abs=0.1)
