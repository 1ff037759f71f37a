"""Where a stitch lies in its piece and in the chart, as the page is told."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.render.browser.yarn import _cells
from tests.render.fabrics import scene_of

ROWS = ("aab", "abb")


def cells(case: str, row_n: list[int], column_n: list[int], below: int) -> list[list[int]]:
    scene = scene_of(ROWS, across=2, up=2)
    scene = scene.model_copy(update={"chart": scene.chart.model_copy(update={"plain_below": below})})
    equilibrium: Any = SimpleNamespace(scene=scene, mesh=SimpleNamespace(case=case))
    tiling: Any = SimpleNamespace(row_n=np.array(row_n), column_n=np.array(column_n))
    found = _cells(equilibrium, tiling)
    assert found.dtype == np.int32
    return [list(map(int, one)) for one in found]


@pytest.mark.parametrize("case", ["swatch", "round"])
def test_a_row_of_the_chart_comes_again_and_plain_rows_are_none_of_it(case: str) -> None:
    found = cells(case, [0, 2, 3, 5, 6, 7], [4, 0, 4, 5, 3, 1], below=3)
    assert found == [[0, 4, -1, -1], [2, 0, -1, -1], [3, 4, 0, 1], [5, 5, 0, 2], [6, 3, 1, 0], [7, 1, -1, -1]]


def test_a_repeat_is_the_chart_without_end_and_has_no_plain_rows() -> None:
    found = cells("repeat", [0, 1, 2, 5], [0, 4, 5, 3], below=3)
    assert found == [[0, 0, 0, 0], [1, 4, 1, 1], [2, 5, 0, 2], [5, 3, 1, 0]]
