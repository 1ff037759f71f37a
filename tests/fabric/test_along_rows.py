"""Stitches lie a width apart and stand straight above what they stand on, as nearly as both can be."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.arrays import Floats, Ints
from fabricsim.design.rows.shaped import ShapedRow, ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.fabric.along_rows import Lengths, lengths, upright
from fabricsim.fabric.standing import Standing, standing_of
from tests.support.meshes import HEIGHT, WIDTH, WORSTED
from tests.support.shapes import mesh_of_rows, plain_rows


def laid(rows: list[ShapedRow], tube: bool) -> tuple[Standing, Lengths]:
    standing = standing_of(ShapedRows(tuple(rows), tube=tube))
    return standing, lengths(standing, np.full(len(standing.row_n), WIDTH), tube, HEIGHT, WORSTED)


def leans(standing: Standing, gauge: Lengths) -> tuple[Ints, Floats]:
    """Return legs and how far each leans beyond what is upright for it, in stitch widths."""
    stands, wanted_b = upright(standing, np.full(len(standing.row_n), WIDTH))
    leg_b2 = standing.leg_b2[stands]
    return leg_b2, (gauge.leaning(standing, *leg_b2.T) - wanted_b) / WIDTH


def sleeve(stitches: int, times: int) -> list[ShapedRow]:
    """Return rounds with two stitches more in every sixth, on either side of the line under the arm."""
    rows = plain_rows(stitches, 6)
    for number in range(times):
        made: list[Made] = ["k", "m1l", *["k"] * (stitches + 2 * number - 2), "m1r", "k"]  # type: ignore[list-item]
        rows += [knitted(f"more {number}", made, 0), *plain_rows(len(made), 5)]
    return rows


@pytest.mark.parametrize("tube", [True, False])
def test_plain_rows_lie_evenly_and_upright(tube: bool) -> None:
    standing, gauge = laid(plain_rows(9, 4), tube)
    assert gauge.sideways(standing, *standing.course_b2.T) == pytest.approx(WIDTH, rel=1e-9)
    assert gauge.sideways(standing, *standing.leg_b2.T) == pytest.approx(0.0, abs=1e-9 * WIDTH)


def test_a_flat_piece_widened_at_its_edges_keeps_all_lengths() -> None:
    """It lies flat: what is new is cast on beside the rest, so nothing has to lean or to give."""
    rows = plain_rows(8, 2)
    for number in range(3):
        made: list[Made] = ["m1", *["k"] * (8 + 2 * number), "m1"]  # type: ignore[list-item]
        rows.append(knitted(f"wider {number}", made, 0))
    standing, gauge = laid(rows, False)
    assert gauge.sideways(standing, *standing.course_b2.T) == pytest.approx(WIDTH, rel=1e-7)
    assert leans(standing, gauge)[1] == pytest.approx(0.0, abs=1e-7)


def test_far_from_what_came_stitches_keep_the_width_of_the_gauge() -> None:
    """Under an arm columns run on side by side, which a cone has no level rounds for: kept level, rounds would be a
    tenth too wide opposite that line and a quarter too narrow beside it, and their floats taut."""
    standing, gauge = laid(sleeve(40, 10), True)
    wide_b = gauge.sideways(standing, *standing.course_b2.T) / WIDTH
    count_n = standing.count_i[standing.row_n]
    off_n = np.minimum(standing.column_n, count_n - 1 - standing.column_n)  # columns from the line
    far_b = off_n[standing.course_b2].min(axis=1) >= 4
    assert far_b.mean() > 0.8
    assert wide_b[far_b] == pytest.approx(1.0, abs=0.03)
    leg_b2, lean_b = leans(standing, gauge)
    assert np.abs(lean_b[off_n[leg_b2].min(axis=1) >= 4]).max() < 0.03


def test_rounds_of_a_sleeve_slope_as_the_edges_of_a_seam_meet() -> None:
    """A stitch more on either side in every sixth round turns the columns there by the angle whose tangent is that
    width over six rows; between, round the tube, they turn evenly (derived, of a cone that is unrolled)."""
    standing, gauge = laid(sleeve(40, 10), True)
    middle = standing.row_n == 40
    count = int(middle.sum())
    share_n = 2.0 * (standing.column_n[middle] + 0.5) / count - 1.0  # of the way from the front to the line
    evenly = np.abs(share_n) < 0.8
    turned = share_n * WIDTH / (6.0 * HEIGHT)
    assert gauge.slope_n[middle][evenly] == pytest.approx(turned[evenly], abs=0.02)


def test_lean_dies_out_along_two_rows_as_springs_have_it() -> None:
    """Row on row, a stitch made in the middle: one row is drawn out as much as the other is pressed together, so from
    stitch to stitch lean falls by r, r + 1 / r = 2 + 2 x lean stiffness over that along rows (derived)."""
    half = 30
    made: list[Made] = [*["k"] * half, "m1", *["k"] * half]  # type: ignore[list-item]
    standing, gauge = laid([*plain_rows(2 * half, 1), knitted("more", made, 0)], False)
    ratio = (WORSTED.shear * WIDTH / HEIGHT) / (WORSTED.stretch_across * HEIGHT / WIDTH)
    falls = 1.0 + ratio - np.sqrt(ratio * (ratio + 2.0))
    leg_b2, lean_b = leans(standing, gauge)
    straight = standing.made_n[leg_b2[:, 1]] == standing.made_n[0]
    right_b = lean_b[straight][:half]  # legs come from the right, so the last of these is beside the new stitch
    assert right_b[-5:-1] / right_b[-4:] == pytest.approx(falls, rel=1e-3)
    assert 0.2 < abs(right_b[-1]) < 0.5  # half a stitch at most, as there is one more between the two
    left_b = lean_b[straight][half:]
    assert left_b == pytest.approx(-right_b[::-1], abs=1e-6)


def test_a_sleeve_leans_beside_the_line_under_its_arm_alone() -> None:
    standing, gauge = laid(sleeve(30, 4), True)
    leg_b2, lean_b = leans(standing, gauge)
    head = leg_b2[:, 1]
    beside_b = np.minimum(standing.column_n[head], standing.count_i[standing.row_n[head]] - 1 - standing.column_n[head])
    assert np.abs(lean_b).max() < 0.35  # a whole stitch where rounds are spaced evenly
    assert np.abs(lean_b[beside_b > 5]).max() < 0.12  # five stitches away it was 0.7 of one
    give_b = gauge.sideways(standing, *standing.course_b2.T) / WIDTH
    assert 0.7 < give_b.min() < 0.95  # where two have come between, all lie closer
    assert give_b.max() < 1.2


def test_the_legs_of_a_sleeve_at_rest_are_a_row_high() -> None:
    rows = sleeve(24, 2)
    mesh = mesh_of_rows(ShapedRows(tuple(rows), tube=True))
    assert mesh.standing is not None
    head = mesh.standing.leg_b2[:, 1]
    long_b = np.linalg.norm(np.diff(mesh.rest_nc[mesh.standing.leg_b2], axis=1)[:, 0], axis=1) / HEIGHT
    assert np.abs(long_b[mesh.standing.made_n[head] == mesh.standing.made_n[0]] - 1.0).max() < 0.08
    assert long_b.max() < 1.4  # those of a stitch that is made stand apart
