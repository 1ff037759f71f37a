"""Which stitch stands on which."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.rows.shaped import ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.fabric.mesh import build_mesh
from fabricsim.fabric.standing import Standing, standing_of
from tests.support.meshes import HEIGHT, WIDTH, WORSTED
from tests.support.shapes import crown_rows, plain_rows, random_rows


def standing(below: int, *made: Made, tube: bool = False) -> Standing:
    rows = (knitted("row 1", ["k"] * below, 0), knitted("row 2", made, 0))
    return standing_of(ShapedRows(rows, tube=tube))


def triangles_of(cell_s4: np.ndarray) -> set[frozenset[int]]:
    return {frozenset(one) for one in cell_s4.tolist()}


def euler(s: Standing) -> int:
    """Return stitches less sides of cells plus cells: 1 of a disc, 0 of a tube (Euler)."""
    sides = np.concatenate([s.cell_s4[:, pair] for pair in ([0, 1], [2, 3], [0, 2], [1, 3])])
    sides = np.unique(np.sort(sides[sides[:, 0] != sides[:, 1]], axis=1), axis=0)
    return len(s.row_n) - len(sides) + len(s.cell_s4)


def test_plain_rounds_are_the_tube_that_they_always_were() -> None:
    stitches, rows = 7, 4
    s = standing_of(ShapedRows(tuple(plain_rows(stitches, rows)), tube=True))
    grid = np.zeros((rows, stitches), dtype=np.intp)
    mesh = build_mesh(grid, (), "round", stitch_width=WIDTH, row_height=HEIGHT, thickness=WORSTED.thickness)
    assert np.array_equal(s.neighbour_n4, mesh.neighbour_n4)
    assert np.array_equal(s.row_n, mesh.row_n)
    assert np.array_equal(s.column_n, mesh.column_n)
    assert not s.triangle_s.any()


@pytest.mark.parametrize(("made", "top"), [("k2tog", 1), ("ssk", 2)])
def test_of_two_together_the_one_on_top_says_where_it_leans(made: Made, top: int) -> None:
    # columns of the row below, from the left: 0 1 2 3; worked from the right, stitch 3 first, then 2 and 1 together
    s = standing(4, "k", made, "k")
    over = 4 + 1
    assert sorted(s.leg_b2[s.leg_b2[:, 1] == over, 0]) == [1, 2]
    assert s.neighbour_n4[over, 2] == top  # the left one lies on top of one that leans right, and the other way round
    assert triangles_of(s.cell_s4[s.triangle_s]) == {frozenset({1, 2, over})}
    assert triangles_of(s.cell_s4[~s.triangle_s]) == {frozenset({2, 3, 5, 6}), frozenset({0, 1, 4, 5})}


def test_a_centred_double_stands_on_three_its_middle_on_top() -> None:
    s = standing(5, "k", "cdd", "k")
    assert sorted(s.leg_b2[s.leg_b2[:, 1] == 6, 0]) == [1, 2, 3]
    assert s.neighbour_n4[6, 2] == 2
    assert triangles_of(s.cell_s4[s.triangle_s]) == {frozenset({1, 2, 6}), frozenset({2, 3, 6})}


def test_a_stitch_that_is_made_stands_beside_its_strand() -> None:
    s = standing(2, "k", "m1l", "k")  # two below (0, 1), three above (2, 3, 4)
    assert sorted(s.leg_b2[s.leg_b2[:, 1] == 3, 0]) == [0, 1]
    assert triangles_of(s.cell_s4) == {frozenset({1, 3, 4}), frozenset({0, 1, 3}), frozenset({0, 2, 3})}
    assert (s.neighbour_n4[[0, 1], 3] == [2, 4]).all()  # what stands on a stitch is its own wale, not the one made


def test_several_made_at_once_share_the_two_beside_them() -> None:
    """Of three the first stands on the last stitch taken, the last on the next, the middle one on both."""
    s = standing(2, "k", "m1l", "m1l", "m1l", "k")  # two below (0, 1), five above (2 to 6), worked from 6
    feet = {over: sorted(s.leg_b2[s.leg_b2[:, 1] == over, 0].tolist()) for over in range(2, 7)}
    assert feet == {6: [1], 5: [1], 4: [0, 1], 3: [0], 2: [0]}
    assert euler(s) == 1


def test_a_column_may_end_at_an_edge_and_begin_there() -> None:
    s = standing(4, "k2tog", "k", "m1", "k")
    assert list(s.count_i) == [4, 4]
    assert euler(s) == 1


def test_the_drawn_up_top_closes_the_crown() -> None:
    s = standing_of(crown_rows(6, 4, 2))
    assert s.apex == len(s.row_n) - 1
    assert (s.leg_b2[:, 1] == s.apex).sum() == 6
    assert euler(s) == 1  # a tube closed at one end is a disc
    left, right, down, up = s.neighbour_n4[s.apex]
    assert len({left, right, down, up}) == 4


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("tube", [True, False])
def test_random_rows_make_one_sheet_of_fabric(seed: int, tube: bool) -> None:
    piece = random_rows(seed, tube)
    s = standing_of(piece)
    assert euler(s) == (0 if tube and not piece.drawn else 1)
    sides = np.concatenate([s.cell_s4[:, pair] for pair in ([0, 1], [2, 3], [0, 2], [1, 3])])
    sides = np.sort(sides[sides[:, 0] != sides[:, 1]], axis=1)
    _, times = np.unique(sides, axis=0, return_counts=True)
    assert times.max() <= 2  # no side belongs to three cells
    bars = np.sort(np.concatenate([s.course_b2, s.leg_b2]), axis=1)
    assert {tuple(one) for one in sides.tolist()} <= {tuple(one) for one in bars.tolist()}  # a bar along every side
    there = s.neighbour_n4[:, 0] >= 0
    assert (s.neighbour_n4[s.neighbour_n4[there, 0], 1] == np.flatnonzero(there))[:-1].all()
