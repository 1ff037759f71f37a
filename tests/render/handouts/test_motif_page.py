"""A page of motifs: every chart several times over, its numbers and why beside it."""

from __future__ import annotations

import re

import numpy as np
import pytest

from fabricsim.render.handouts.motif_page import SQUARES, MotifCard, motif_page

COLOURS = ("#eeeae0", "#1d2b4f")


def page_of(*cards: MotifCard) -> str:
    return motif_page("Small motifs", ["Best first."], cards, COLOURS)


def painted(page: str, tall: int, wide: int) -> np.ndarray:
    """Return how often each square is painted, (rows from the bottom, stitches), read from the path."""
    (path,) = re.findall(r'<path d="([^"]*)" fill="#1d2b4f"/>', page)
    found = np.zeros((tall, wide), dtype=int)
    for left, top, run, back in re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", path):
        assert run == back
        found[tall - 1 - int(top), int(left) : int(left) + int(run)] += 1
    assert len(path) == sum(map(len, re.findall(r"M\d+ \d+h\d+v1h-\d+z", path)))
    return found


@pytest.mark.parametrize(
    "chart", [((1, 0, 0), (0, 1, 1)), ((0, 1, 1, 0, 1),), ((1,) * 13, (0,) * 12 + (1,)), ((0, 0),)]
)
def test_a_motif_is_repeated_and_its_repeat_is_framed(chart: tuple[tuple[int, ...], ...]) -> None:
    page = page_of(MotifCard("checks", chart, (), ""))
    rows, stitches = len(chart), len(chart[0])
    up, across = -(-SQUARES // rows), -(-SQUARES // stitches)
    tall, wide = up * rows, across * stitches
    assert (painted(page, tall, wide) == np.tile(chart, (up, across))).all()
    assert f'viewBox="-0.1 -0.1 {wide + 0.2} {tall + 0.2}"' in page
    assert f'<rect width="{wide}" height="{tall}" fill="#eeeae0"/>' in page
    assert f'<rect class="repeat" x="0" y="{tall - rows}" width="{stitches}" height="{rows}"/>' in page


def test_what_is_said_stands_beside_it_and_nothing_in_it_is_obeyed() -> None:
    page = page_of(
        MotifCard("checks, <b>no. 1</b>", ((0, 1),), [("draw-in", "3.0 %")], "it is flat & even"),
        MotifCard("dots", ((1, 0),), [("pucker", "1.5 mm")], "floats are short"),
    )
    assert page.count("<li>") == page.count("<svg") == 2
    assert "checks, &lt;b&gt;no. 1&lt;/b&gt;" in page
    assert "it is flat &amp; even" in page
    for said in ("Small motifs", "Best first.", "draw-in", "3.0 %", "pucker", "1.5 mm", "floats are short"):
        assert said in page
    assert page.index("it is flat") < page.index("floats are short")
    assert re.search(r"default-src (&#39;|')none", page)
    assert not re.search(r"(src|href)=|url\(", page)
