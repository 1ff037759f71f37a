"""What ways count and whether they are worth it, which floats cost what, and what is tried last: from made-up rests."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.row_bands import RowBand
from fabricsim.study.change import agreeing
from fabricsim.study.change.agreeing import Agreeing, _look
from fabricsim.study.change.aims import Aims
from fabricsim.study.change.band_pieces import AGREE_KINDS, AgreeTask, AgreeWay
from fabricsim.study.change.banding import ChartBand
from fabricsim.study.change.by_rows import give_by_row
from fabricsim.study.change.costs import _by_chart
from fabricsim.study.change.search import MOST_COUNT, MOST_SHARE, most_changes
from fabricsim.study.change.ways import WORTH, _counts, _worth
from tests.support.scenes import scene_of

SCENE = scene_of(["#...", ".#.."], -0.04, chart={"across": 2, "up": 2, "plain_below": 1})
"""Five rows of eight stitches, of which row 0 is plain."""


def known(nodes: list[tuple[int, int]], loss: list[float], cost: list[float]) -> Any:
    """Return what a made-up rest knows of floats that hang between these nodes."""
    floats = SimpleNamespace(
        node_f2=np.array(nodes), gap_f=np.full(len(nodes), 3), yarn_f=np.zeros(len(nodes), dtype=int)
    )
    mesh = SimpleNamespace(row_n=np.repeat(np.arange(5), 8), column_n=np.tile(np.arange(8), 5), floats=floats)
    return SimpleNamespace(rest=SimpleNamespace(mesh=mesh), loss_f=np.array(loss), cost_f=np.array(cost))


# in rows 1 and 3, and one from row 2 over the join of rounds into row 3, which is row 2's
NODES = [(9, 13), (13, 17), (25, 29), (22, 24)]


def test_a_float_belongs_to_the_row_where_it_begins() -> None:
    charted: Any = SimpleNamespace(known=known(NODES, [-0.1, -0.2, -0.4, -0.8], [0.0] * 4))
    assert give_by_row(charted) == {1: pytest.approx(0.3), 3: pytest.approx(0.4), 2: pytest.approx(0.8)}


def test_floats_that_are_copies_of_one_cost_together() -> None:
    costs, slopes = _by_chart(SCENE, known(NODES, [-1.0, -2.0, -4.0, -8.0], [0.1, 0.2, 0.4, 0.8]), 1)
    assert costs == {(0, 1, 3, 0): pytest.approx(0.1 + 0.2 + 0.4), (1, 2, 3, 0): pytest.approx(0.8)}
    assert slopes == {(0, 1, 3, 0): pytest.approx(-7.0), (1, 2, 3, 0): pytest.approx(-8.0)}


@pytest.mark.parametrize(("rows", "stitches", "most"), [(2, 3, MOST_COUNT), (40, 50, int(MOST_SHARE * 2000))])
def test_large_charts_may_change_more(rows: int, stitches: int, most: int) -> None:
    ground: Any = SimpleNamespace(chart_ij=((0,) * stitches,) * rows)
    assert most_changes(ground) == most


def test_a_band_counts_its_rows_or_the_sizes_of_its_needles() -> None:
    assert _counts(RowBand(first=3, last=7, looser=0.02)) == 5
    assert _counts(RowBand(first=4, last=4, looser=0.02)) == 1
    assert _counts(RowBand(first=3, last=7, needle_sizes=2)) == 2


@pytest.mark.parametrize(
    ("within", "may_lose", "over", "lost", "worth"),
    [
        (True, 0.02, 0, 0.06 - WORTH * 0.04 - 1e-9, True),
        (True, 0.02, 0, 0.06 - WORTH * 0.04 + 1e-9, False),
        (True, 0.02, 1, 0.02, False),  # floats over the limit that are to be within
        (False, 0.02, 1, 0.02, True),
        (True, None, 0, 0.02, False),  # no width to win back
        (True, 0.07, 0, 0.02, False),  # nor here, as no more is lost than may be
    ],
)
def test_what_misses_an_aim_is_worth_it_by_the_width_won_back(
    within: bool, may_lose: float | None, over: int, lost: float, worth: bool
) -> None:
    task: Any = SimpleNamespace(now=SimpleNamespace(lost=0.06), aims=Aims(within=within, may_lose=may_lose))
    nearest: Any = SimpleNamespace(lost=lost, over=over)
    assert _worth(task, nearest) is worth


def test_needles_and_slack_together_are_tried_where_nothing_else_does(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[AgreeTask] = []

    def none(task: AgreeTask) -> AgreeWay:
        asked.append(task)
        return AgreeWay(task.kind, (0, 0), (0, 0), (), None)

    monkeypatch.setattr(agreeing, "way_of", none)
    now: Any = object()
    bands = (ChartBand(0, 0), ChartBand(1, 1))
    found = Agreeing(SCENE, bands, 0.02, "round", now)
    _look(found, 1, None)
    assert [way.kind for way in found.ways] == [*AGREE_KINDS, "needles and slack"]
    assert asked[-1] == AgreeTask("needles and slack", SCENE, bands, 0.02, "round", now)
    monkeypatch.setattr(agreeing, "does", lambda tried, within: True)
    tried: Any = object()
    monkeypatch.setattr(agreeing, "way_of", lambda task: AgreeWay(task.kind, (0, 0), (0, 0), (), tried))
    counts: list[int] = []

    def counted(what: str, of: int) -> Callable[[int], None]:
        assert (what, of) == ("ways tried", len(AGREE_KINDS))
        return counts.append

    _look(found, 1, counted)
    assert [way.kind for way in found.ways] == [*AGREE_KINDS]
    assert counts == list(range(1, len(AGREE_KINDS) + 1))
