"""Titles and names in any script, or full of signs that mean something to a library, come out in every plot and picture
without a warning: letters of no font at hand as question marks."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from fabricsim.cli import main
from fabricsim.render.basics.files import figures_as
from fabricsim.render.plots.shape import dress
from fabricsim.render.plots.slack_curves import SlackCurve, curves_figure
from fabricsim.render.plots.stretch import Pulled, stretch_curves
from fabricsim.render.plots.variation import VarianceShares, variation_figure
from tests.render.plots.spread import spread

TEXTS = [
    "Grün žluťoučký ŉ ſ, 緑の毛糸 เขียว क्\u200dष می\u200cخواهم",
    "зелёный πράσινο ירוק الأخضر, 👩\u200d🌾 ᴥ ꝩ ⎷ é ☃",
    r"$\frac{$ \$ $x$ a_b^c {} % & \ <b> ]]>" + " \"one\" 'two' `three`",
]


def _dressed(text: str) -> Figure:
    figure = Figure()
    dress(figure.add_subplot(), text)
    return figure


def _varied(text: str) -> Figure:
    bars = VarianceShares([text, "gauge"], ["pucker"], np.array([[80.0, 5.0]]), np.array([[3.0, 3.0]]))
    return variation_figure([spread("pucker, mm", np.arange(9.0), 0.0)], bars, text)


def _stretched(text: str) -> Figure:
    load_p = np.linspace(0.0, 20.0, 5)
    return stretch_curves([Pulled("pulled across", load_p, 0.01 * load_p)], 0.05, text)


FIGURES: dict[str, Callable[[str], Figure]] = {
    "curves": lambda text: curves_figure([SlackCurve(text, [0.0, 0.1], [1.0, 0.0], [1.0, 0.0])] * 2, text, text),
    "shape": _dressed,
    "variation": _varied,
    "stretch": _stretched,
}
SCENE = """\
title = {title}
worked = "round"
item = "hat"
chart = {{ rows = ["A......A", "A..AA..A"] }}
gauge = {{ stitches = 19, rows = 25.5 }}
yarns = [
    {{ symbol = ".", name = {title}, colour = "#f4ead6", tex = 500 }},
    {{ symbol = "A", name = "other", colour = "#004000", tex = 500 }},
]
"""
PICTURES = {
    "chart": ["chart", "--out", "it.pdf"],
    "chart in words": ["chart", "--out", "it.svg"],
    "catches": ["catches", "--map", "it.svg"],
    "colours": ["colours", "--out", "it.png"],
    "large print": ["rounds", "--large-print", "--out", "it.pdf"],
}


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("name", FIGURES)
def test_plots(name: str, text: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert figures_as(".svg", [FIGURES[name](text)], text)


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("suffix", [".png", ".pdf"])  # as lines all plots are
def test_every_kind_of_file(suffix: str, text: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert figures_as(suffix, [_dressed(text)], text)


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("name", PICTURES)
def test_pictures_of_a_scene(name: str, text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from fabricsim.design.scene.wording import quoted

    monkeypatch.chdir(tmp_path)
    Path("scene.toml").write_text(SCENE.format(title=quoted(text)), encoding="utf-8")
    command, *options = PICTURES[name]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert main([command, "scene.toml", *options]) == 0
    assert any(one.stat().st_size > 1000 for one in tmp_path.glob("it*"))
