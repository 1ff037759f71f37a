"""The bare cross-section of a lesson, from sections that no fabric made: to scale, where it says, in its colours."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from fabricsim.design.scene.choices import Case
from fabricsim.render.basics.palette import GREY, PAPER, rgb
from fabricsim.render.basics.scale import MOST_SPARE, pull_colours, slack_colours
from fabricsim.render.section.bare import AROUND_PX, BARE, DASH, FLOAT_EDGE, LOOP_EDGE, cut_through, section_pictures
from fabricsim.render.section.geometry import CrossSection, SectionFloat, section_of
from fabricsim.render.section.layers import PALE, layers
from fabricsim.render.section.row import LoopPiece
from tests.render.fabrics import MOTIF, fabric

PER_PX = 1e-4
THICK = 12 * PER_PX
YARN = (200, 40, 40)


def straight(y: float, left: float = -0.01, right: float = 0.01) -> np.ndarray:
    return np.column_stack([np.linspace(left, right, 9), np.full(9, y)])


def a_float(y: float, *, taut: bool = True, tension: float = 0.01, spare: float = 0.0) -> SectionFloat:
    path = straight(y)
    return SectionFloat(0, path, path[[0, -1]], np.column_stack([path, np.zeros(9)]), taut, tension, spare, 0.02, 0.02)


def section(case: Case = "repeat", *floats: SectionFloat, cut: bool = False) -> CrossSection:
    """Return a loop's far part at 2 mm, its near part at 4 mm, 2 cm wide, and floats."""
    pieces = tuple(LoopPiece(path_kc=straight(y), yarn=0, band=band) for y, band in ((0.004, 2), (0.002, 0)))
    return CrossSection(
        case=case, row=0, extent=(-0.01, 0.01), cut=cut, loops=pieces, floats=floats, beyond=(),
        line_kc=straight(0.002), thickness=THICK, rgb_y3=np.array([YARN], dtype=float), hardest=None, greatest=0.01,
        plain=0.02, now=0.02,
    )  # fmt: skip


def drawn(
    *sections: CrossSection, wide: int = 300, plain_px: float = 260.0, greatest: float = 0.01
) -> list[np.ndarray]:
    made = section_pictures(sections, PER_PX, wide, plain_px, greatest)
    assert all(isinstance(one, Image.Image) for one in made)
    return [np.asarray(one).astype(int) for one in made]


def rows_of(picture: np.ndarray, colour: np.ndarray, column: int = 150) -> np.ndarray:
    return np.flatnonzero(np.abs(picture[:, column] - colour).max(axis=1) <= 2)


def paler() -> np.ndarray:
    return np.rint(np.array(YARN) + PALE * (np.array(PAPER) - YARN))


def test_loops_and_floats_lie_where_they_are_and_are_as_thick() -> None:
    (picture,) = drawn(section("repeat", a_float(-0.001)))
    # from 0.6 mm above the near part at 4 mm down to 0.6 mm below the float at -1 mm
    assert picture.shape == (round((0.005 + THICK) / PER_PX) + 2 * AROUND_PX, 300, 3)
    top = AROUND_PX + 6  # of the near part's middle
    loop, pull = rows_of(picture, paler()), rows_of(picture, pull_colours()[-1])
    for rows, middle in ((loop[loop < top + 10], top), (loop[loop > top + 10], top + 20), (pull, top + 50)):
        assert rows.mean() + 0.5 == pytest.approx(middle, abs=0.7)
        assert len(rows) == pytest.approx(12 * 0.76, abs=1.6)
    for colour, middle in ((LOOP_EDGE, top), (FLOAT_EDGE, top + 50)):
        edge = rows_of(picture, np.array(colour))
        near = edge[np.abs(edge - middle) < 8]
        assert len(near) >= 1
        assert np.abs(np.abs(near + 0.5 - middle) - 5.5).max() <= 1.0
    columns = np.flatnonzero(np.abs(picture[top, :] - paler()).max(axis=1) <= 2)
    assert columns[0] == pytest.approx(50, abs=1)  # 2 cm of 300 px in the middle
    assert columns[-1] == pytest.approx(249, abs=1)
    assert (picture[: AROUND_PX - 1, 60:240] == PAPER).all()


def test_floats_have_the_colour_of_their_pull_or_of_what_they_have_to_spare() -> None:
    one = section("repeat", a_float(-0.001, tension=0.005), a_float(-0.003, taut=False, spare=0.5 * MOST_SPARE))
    far, floating, near = layers(one, 0.01)
    assert [colour.tolist() for _, colour in floating.strands] == [
        (pull_colours()[32] / 255.0).tolist(), (slack_colours()[32] / 255.0).tolist(),
    ]  # fmt: skip
    assert (far.floating, floating.floating, near.floating) == (False, True, False)
    assert [path[0, 1] for path, _ in far.strands] == [0.002]
    assert [path[0, 1] for path, _ in near.strands] == [0.004]
    (picture,) = drawn(one, greatest=0.02)
    assert len(rows_of(picture, pull_colours()[16])) > 6


def test_parts_of_the_loops_are_drawn_from_far_to_near_under_and_over_the_floats() -> None:
    one = replace(section("repeat", a_float(0.002)), loops=(LoopPiece(path_kc=straight(0.002), yarn=0, band=0),))
    (under,) = drawn(one)
    assert len(rows_of(under, pull_colours()[-1])) > 6  # the float lies over a far part
    (over,) = drawn(replace(one, loops=(LoopPiece(path_kc=straight(0.002), yarn=0, band=2),)))
    assert len(rows_of(over, pull_colours()[-1])) == 0
    shades = replace(
        one, rgb_y3=np.array([YARN, (0, 0, 250)], dtype=float), floats=(),
        loops=(LoopPiece(path_kc=straight(0.002), yarn=1, band=1), LoopPiece(path_kc=straight(0.002), yarn=0, band=0)),
    )  # fmt: skip
    far, _, _ = layers(shades, 0.01)
    assert [colour[2] > colour[0] for _, colour in far.strands] == [False, True]  # the farthest first


def greyish(colours: np.ndarray) -> np.ndarray:
    """Return what is nearer to grey than to paper: lines share pixels with it."""
    paper, grey = np.array(PAPER), np.array(rgb(GREY))
    share = ((paper - colours) / (paper - grey)).mean(axis=-1)
    return (share > 0.5) & (np.ptp(colours - PAPER, axis=-1) < 40)


def dashes(line: np.ndarray) -> list[int]:
    """Return the lengths of the runs of grey, and of what is between them."""
    grey = greyish(line).astype(int)
    edges = np.flatnonzero(np.diff(grey)) + 1
    return np.diff(edges).tolist()


def test_broken_lines_stand_at_the_edges_of_plain_fabric() -> None:
    (picture,) = drawn(section("repeat", a_float(-0.006)))
    for x in (20, 279):  # 260 px in the middle of 300
        runs = dashes(picture[:, x])
        assert set(runs[1:-1:2]) | set(runs[:-1:2]) <= {DASH, DASH + 1, BARE, BARE - 1}
        assert len(runs) > 10
    assert (picture[:, 10] == PAPER).all()
    assert (picture[:, 25] == PAPER).all()


def test_of_a_tube_the_round_of_plain_fabric_is_drawn() -> None:
    (picture,) = drawn(section("round"), wide=300, plain_px=260.0)
    # from its middle at the foot up to half of 260 px
    assert picture.shape[0] == 130 + 2 * AROUND_PX
    middle = np.array([150.0, 130.0 + AROUND_PX])
    grey = np.argwhere(greyish(picture))[:, ::-1] + 0.5
    away = np.linalg.norm(grey - middle, axis=1)
    ring = away[away > 115]
    assert len(ring) > 60
    assert np.abs(ring - 130.0).max() < 2.5
    assert (grey[away > 115][:, 1] <= middle[1] + 1.0).all()
    angles = np.sort(np.degrees(np.arctan2(middle[1] - grey[away > 115][:, 1], grey[away > 115][:, 0] - middle[0])))
    gaps = np.flatnonzero(np.diff(angles) > 1.5)
    assert len(gaps) + 1 == pytest.approx(np.pi * 130 / (DASH + BARE), abs=1)


def test_all_are_equally_high_and_what_is_cut_off_ends_in_paper() -> None:
    low, cut = drawn(section("repeat", a_float(-0.006)), replace(section("swatch", cut=True), extent=(-0.005, 0.005)))
    assert low.shape == cut.shape
    shown = np.flatnonzero(np.abs(cut[AROUND_PX + 6] - paler()).max(axis=1) <= 2)
    assert (shown[0], shown[-1]) == (pytest.approx(100, abs=1), pytest.approx(199, abs=1))
    assert len(dashes(cut[:, 20])) > 10  # the edges of plain fabric are drawn over it
    middle = replace(section("swatch"), extent=(0.0, 0.02))
    (aside,) = drawn(middle)
    columns = np.flatnonzero(np.abs(aside[AROUND_PX + 6] - paler()).max(axis=1) <= 2)
    assert columns[0] == 0  # 1 cm farther left: what is shown stands in the middle
    assert columns[-1] == pytest.approx(149, abs=1)


def test_of_a_tube_the_half_that_faces_up_is_cut_through_and_all_of_it() -> None:
    tube = fabric(MOTIF, "round", across=4)
    found = cut_through(tube, 1)
    radius = float(np.linalg.norm(found.line_kc, axis=1).max())
    left, right = found.extent
    assert left < -radius - found.thickness
    assert right > radius + found.thickness
    assert len(found.loops) > len(section_of(tube, 1).loops)  # which shows an arc alone
    flat = fabric(MOTIF, "swatch")
    assert cut_through(flat, 1).extent == section_of(flat, 1).extent
    assert not cut_through(flat, 1).cut
