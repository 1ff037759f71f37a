"""Planned catches: enough, even, and never stacked where it can be helped."""

from __future__ import annotations

from math import ceil

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabricsim.design.catches import longest_open, plan_catches
from fabricsim.design.floats import faults, find_floats, floats_of_repeat
from fabricsim.design.scene import Scene
from tests.design.scenes import scene_table


def _none(grid_ij: np.ndarray) -> np.ndarray:
    return np.zeros(grid_ij.shape, dtype=bool)


@given(rows=st.integers(1, 6), stitches=st.integers(2, 24), most=st.integers(0, 7), seed=st.integers(0, 10**6))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_no_piece_of_a_float_is_longer_than_the_limit(rows: int, stitches: int, most: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    grid_ij = (rng.random((rows, stitches)) < rng.uniform(0.05, 0.5)).astype(np.int64)
    caught_ij = plan_catches(grid_ij, most, _none(grid_ij))
    pieces = find_floats(grid_ij, closing="row", stitch_width=1.0, slack_by_yarn=[0.0, 0.0], catches=caught_ij)
    assert max((one.gap for one in pieces), default=0) <= most
    open_before = find_floats(grid_ij, closing="row", stitch_width=1.0, slack_by_yarn=[0.0, 0.0])
    if max((one.gap for one in open_before), default=0) <= most:
        assert not caught_ij.any()  # nothing is caught that need not be


@pytest.mark.parametrize(("gap", "most"), [(6, 5), (7, 5), (10, 5), (11, 5), (15, 5), (16, 5), (9, 3), (5, 2)])
def test_a_lone_gap_gets_as_many_catches_as_the_trade_says_and_even_ones(gap: int, most: int) -> None:
    """ceil(n/L) - 1 catches in a gap of n at limit L, segments as even as they can be (derived)."""
    grid_ij = np.zeros((1, gap + 2), dtype=np.int64)
    grid_ij[0, [0, -1]] = 1
    caught_j = plan_catches(grid_ij, most, _none(grid_ij))[0]
    assert caught_j.sum() == ceil(gap / most) - 1
    open_k = np.diff(np.flatnonzero(np.concatenate([[True], caught_j[1:-1], [True]]))) - 1
    assert open_k.max() <= most
    assert np.ptp(open_k) <= 1


def test_catches_do_not_stand_in_one_column_row_on_row() -> None:
    grid_ij = np.zeros((8, 10), dtype=np.int64)
    grid_ij[:, 0] = 1  # a gap of 9 in every row: one catch each, all best in the middle
    caught_ij = plan_catches(grid_ij, 5, _none(grid_ij))
    column_i = caught_ij.argmax(axis=1)
    assert (caught_ij.sum(axis=1) == 1).all()
    assert (np.diff(column_i) != 0).all()
    assert column_i[0] != column_i[-1]  # the chart repeats upwards too
    assert ((column_i > 1) & (column_i < 9)).all()  # never next to a change of colour


def test_what_is_listed_is_kept_and_spared() -> None:
    grid_ij = np.zeros((1, 12), dtype=np.int64)
    grid_ij[0, 0] = 1
    listed = _none(grid_ij)
    listed[0, 6] = True
    assert np.array_equal(plan_catches(grid_ij, 5, listed), listed)


@pytest.mark.parametrize(
    ("gap", "cm", "width", "want"), [(5, 2.5, 0.005, 5), (5, 2.5, 0.00526, 4), (9, 2.5, 0.0033, 7)]
)
def test_the_stricter_limit_counts(gap: int, cm: float, width: float, want: int) -> None:
    """Fingering 7 stitches, DK 5, worsted 4 behind 2.5 cm: common practice."""
    assert longest_open(gap, cm / 100.0, width) == want


def test_a_scene_with_planned_catches_has_no_float_over_its_limits() -> None:
    table = scene_table(rows=["A" + "." * 15, "." * 15 + "A", "." * 16])
    plain, planned = (
        Scene.model_validate(table | {"floats": {"longest_gap": 4, "longest_cm": 9.0, "catches": catches}})
        for catches in ("none", "planned")
    )
    assert faults(floats_of_repeat(plain), plain.limits)
    assert not faults(floats_of_repeat(planned), planned.limits)
    assert planned.floats.plan_catches
