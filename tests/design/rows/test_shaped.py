"""Shaped rows stand on one another, or say where they don't."""

from __future__ import annotations

import pytest

from fabricsim.design.floats.found import find_floats
from fabricsim.design.rows.shaped import ShapedRow, ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.errors import InputError


def two(below: int, *made: Made, tube: bool = True, drawn: bool = False) -> ShapedRows:
    return ShapedRows(
        (knitted("round 1", ["k"] * below, 0), knitted("round 2", made, 0)), tube=tube, drawn=drawn, where="hat.toml"
    )


def test_a_row_takes_up_every_stitch_below_it() -> None:
    piece = two(8, "k", "k2tog", "m1l", "ssk", "cdd")
    assert [len(row) for row in piece.rows] == [8, 5]
    assert piece.rows[1].made == ("cdd", "ssk", "m1l", "k2tog", "k")  # told from the left of the face
    assert piece.shaped
    assert not two(3, "k", "k", "k").shaped


def test_decreases_beyond_the_stitches_there_are_name_round_and_stitch() -> None:
    with pytest.raises(InputError) as told:
        two(4, "k", "k2tog", "cdd")
    assert str(told.value) == (
        "hat.toml: round 2, stitch 3: given cdd, which needs 3 stitches of the 4 in round 1; allowed: no more than are "
        "left there, 1; decrease less, or in another place"
    )


def test_stitches_left_over_are_told() -> None:
    with pytest.raises(InputError, match="round 2, stitch 3: given 3 of the 4 stitches in round 1"):
        two(4, "k", "k", "k")


def test_a_round_of_two_stitches_is_told() -> None:
    with pytest.raises(InputError, match="round 2: given stitches left: 2; allowed: at least 3, or there is no tube"):
        two(4, "k2tog", "k2tog")


def test_three_stitches_are_still_a_round_and_two_a_row() -> None:
    assert [len(row) for row in two(4, "k2tog", "k", "k").rows] == [4, 3]
    assert [len(row) for row in two(3, "k2tog", "k", tube=False).rows] == [3, 2]
    with pytest.raises(InputError, match="stitches left: 1; allowed: at least 2, or there is no fabric"):
        two(2, "k2tog", tube=False)


def test_a_crown_that_cannot_close_is_told() -> None:
    assert two(24, *["k"] * 24, drawn=True).drawn  # type: ignore[arg-type]
    with pytest.raises(InputError, match="round 2: given 25 stitches left to draw together; allowed: at most 24"):
        two(25, *["k"] * 25, drawn=True)  # type: ignore[arg-type]


def test_floats_run_over_shaped_rounds_from_use_to_use() -> None:
    # from the left of the face: 6 stitches, then 4; yarn 1 in columns 4 and 1, then in column 1
    rows = ((0, 1, 0, 0, 1, 0), (0, 1, 0, 0))
    found = find_floats(rows, closing="spiral", stitch_width=0.005, slack_by_yarn=(0.0, 0.0))
    of_one = [(one.row, one.start, one.gap, one.end_row, one.end) for one in found if one.yarn == 1]
    # from column 1, the last but one of round 1, past its last stitch and two of round 2
    assert of_one == [(0, 4, 2, 0, 1), (0, 1, 3, 1, 1)]


def test_floats_of_shaped_rounds_are_found_stitch_by_stitch() -> None:
    rows = ((0, 1, 1, 0, 2, 0, 0), (1, 0, 0, 2, 0), (0, 2, 1), (0, 1, 0, 0, 0, 1))
    found = find_floats(rows, closing="spiral", stitch_width=0.005, slack_by_yarn=(0.0,) * 3)
    strand = [(row, len(row_j) - 1 - at, yarn) for row, row_j in enumerate(rows) for at, yarn in enumerate(row_j[::-1])]
    walked = set()
    for first, (row, column, yarn) in enumerate(strand):
        for second in range(first + 1, len(strand)):
            to_row, to_column, other = strand[second]
            if other == yarn:
                if second - first > 1 and to_row - row <= 1:
                    walked.add((yarn, row, column, second - first - 1, to_row, to_column))
                break
    assert {(one.yarn, one.row, one.start, one.gap, one.end_row, one.end) for one in found} == walked


def test_parts_of_a_float_over_the_join_lie_in_the_row_where_they_begin() -> None:
    rows = ((0, 1, 0, 0, 1, 0), (0, 1, 0, 0))
    found = find_floats(rows, closing="spiral", stitch_width=0.005, slack_by_yarn=(0.0, 0.0), farthest=1)
    # from column 1 of round 1 past its last stitch and two of round 2, each step a part, to column 1 of round 2
    parts = [(one.row, one.start, one.end_row, one.end) for one in found if one.yarn == 1][-4:]
    assert parts == [(0, 1, 0, 0), (0, 0, 1, 3), (1, 3, 1, 2), (1, 2, 1, 1)]


def test_a_row_has_a_yarn_for_every_stitch() -> None:
    row = ShapedRow("round 1", ("k", "k2tog"), (0, 1))
    assert (len(row), row.takes) == (2, 3)
