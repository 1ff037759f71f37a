"""How charts are laid out on paper: every square once, all of them legible."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.errors import InputError
from fabricsim.render.chart.layout import LEAST, MOST, SHEETS, STEP, SheetLayout, SheetSize, fit

UPRIGHT, ASIDE = SHEETS


def room_on(sheet: SheetSize) -> SheetSize:
    return sheet[0] - 40.0, sheet[1] - 70.0


def made(rows: int, stitches: int, shape: float = 0.75) -> SheetLayout:
    return fit(rows, stitches, shape, room_on)


@given(st.integers(1, 220), st.integers(1, 220), st.floats(0.4, 1.6))
def test_every_square_lies_on_one_sheet_and_none_is_too_small(rows: int, stitches: int, shape: float) -> None:
    layout = made(rows, stitches, shape)
    covered = np.zeros((rows, stitches), dtype=int)
    for tile in layout.tiles:
        covered[slice(*tile.rows), slice(*tile.columns)] += 1
        assert (tile.columns[1] - tile.columns[0]) * layout.wide <= room_on(layout.sheet)[0] + 1e-9
        assert (tile.rows[1] - tile.rows[0]) * layout.tall <= room_on(layout.sheet)[1] + 1e-9
    assert (covered == 1).all()
    assert min(layout.wide, layout.tall) >= LEAST - 1e-9
    assert max(layout.wide, layout.tall) <= MOST + 1e-9
    assert layout.tall == pytest.approx(shape * layout.wide)
    assert layout.sheet in SHEETS
    assert len(layout.tiles) == layout.across * layout.up
    assert len({(tile.across, tile.up) for tile in layout.tiles}) == len(layout.tiles)


@given(st.integers(1, 220), st.integers(1, 220), st.floats(0.4, 1.6))
def test_no_more_sheets_than_the_least_squares_need(rows: int, stitches: int, shape: float) -> None:
    least = LEAST / min(1.0, shape)
    needed = []
    for sheet in SHEETS:
        wide, tall = room_on(sheet)
        needed.append(-(-stitches // int(wide / least + 1e-9)) * -(-rows // int(tall / (least * shape) + 1e-9)))
    assert len(made(rows, stitches, shape).tiles) <= min(needed)


def test_the_way_round_follows_the_chart() -> None:
    assert made(20, 60).sheet == ASIDE
    assert made(60, 30).sheet == UPRIGHT
    assert made(8, 8).sheet == UPRIGHT  # as large either way


def test_sheets_are_in_the_order_of_the_knitting_and_cut_at_heavier_lines() -> None:
    layout = made(120, 100)
    assert len(layout.tiles) > 1
    first = layout.tiles[0]
    assert first.rows[0] == 0
    assert first.columns[1] == 100
    for tile in layout.tiles:
        assert tile.rows[0] % STEP == 0
        assert (100 - tile.columns[1]) % STEP == 0
        assert (tile.columns[1] < 100) == (tile.across > 0)
    assert [(tile.up, tile.across) for tile in layout.tiles] == sorted((tile.up, tile.across) for tile in layout.tiles)


def test_a_key_without_end_is_refused_in_one_line() -> None:
    with pytest.raises(InputError, match="key") as refused:
        fit(10, 10, 1.0, lambda sheet: (sheet[0], 20.0))
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("room", [(LEAST - 0.1, 200.0), (200.0, LEAST - 0.1)])
def test_a_sheet_without_room_for_a_square_is_left_out(room: SheetSize) -> None:
    with pytest.raises(InputError, match="a key that leaves room"):
        fit(1, 1, 1.0, lambda _: room)
    assert fit(20, 60, 1.0, lambda sheet: room if sheet == ASIDE else (60.0, 60.0)).sheet == UPRIGHT
