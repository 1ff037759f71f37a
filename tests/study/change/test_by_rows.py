"""Rows worked otherwise: the fewest that are enough, against every choice of them, and tried in full."""

from __future__ import annotations

from itertools import chain, combinations

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.study.change import changing
from fabricsim.study.change.aims import Aims, lacking, tried_scene
from fabricsim.study.change.by_rows import ENOUGH, MIDDLING, give_by_row, larger_needles, looser_rows
from fabricsim.study.change.changing import change
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.found_ways import Changing
from fabricsim.study.change.moves import Move
from fabricsim.study.change.search import _program, changed_scene
from fabricsim.study.worn.putting_on import put_on, way_over
from tests.support.scenes import scene_of

CHART = ["#....#....", ".#..#.#..#", "..##...##.", "..........", "..........", "##.##.##.#", "#.##.##.##"]


def _scene() -> Scene:
    return scene_of(CHART, -0.06, chart={"across": 6, "plain_below": 2, "plain_above": 2})


@pytest.mark.parametrize("seed", range(6))
def test_no_fewer_rows_are_enough(seed: int) -> None:
    rng = np.random.default_rng(seed)
    given = dict(enumerate(rng.uniform(0.02, 0.3, 6).tolist()))
    need = 0.4 * 0.01 * MIDDLING * sum(given.values())
    bands = looser_rows(given, need)
    rows = [row for band in bands for row in range(band.first - 1, band.last)]
    (looser,) = {round(100.0 * band.looser) for band in bands}

    def enough(some: tuple[int, ...], by: int) -> bool:
        return 0.01 * by * sum(given[row] for row in some) >= ENOUGH * need

    assert enough(tuple(rows), looser)
    assert not enough(tuple(rows), looser - 1)
    fewer = chain.from_iterable(combinations(given, count) for count in range(len(rows)))
    assert not any(enough(some, MIDDLING) for some in fewer)


def test_rows_side_by_side_are_one_band_and_too_much_is_none() -> None:
    bands = looser_rows({1: 0.2, 2: 0.2, 4: 0.2, 7: 0.001}, 0.02)
    assert [(band.first, band.last) for band in bands] == [(2, 3), (5, 5)]
    assert looser_rows({1: 0.2}, 0.5) == ()


def test_what_rows_give_back_adds_up_to_what_all_floats_do() -> None:
    charted = at_rest_as_charted(_scene())
    given = give_by_row(charted)
    assert sorted(given) == [0, 1, 4, 5, 6]
    assert sum(given.values()) == pytest.approx(-float(charted.known.loss_f.sum()), rel=1e-12)


def test_needles_are_for_rows_with_floats() -> None:
    one, two, three = larger_needles(tuple(tuple(row) for row in _scene().chart_rows()))
    assert [(band.first, band.last, band.needle_sizes) for band in one] == [(1, 2, 1), (5, 7, 1)]
    assert {band.needle_sizes for band in (*two, *three)} == {2, 3}


@pytest.fixture(scope="module")
def found() -> Changing:
    return change(_scene(), Aims(within=False, may_lose=0.05), kinds=("rows", "needles"))


def test_both_ways_meet_the_aim_as_they_are_told_to(found: Changing) -> None:
    assert found.needed == ("may_lose",)
    for way in found.ways:
        assert way.proposal is not None
        assert way.tried is not None
        assert not way.tried.misses(found.aims)
        again = tried_scene(changed_scene(found.scene, (), (), 0, way.proposal.bands), None, None)
        assert again.lost == pytest.approx(way.tried.lost, abs=1e-9)


def test_rows_are_no_looser_than_need_be(found: Changing) -> None:
    way = found.ways[0]
    assert way.proposal is not None
    less = tuple(band.model_copy(update={"looser": band.looser - 0.01}) for band in way.proposal.bands)
    assert tried_scene(changed_scene(found.scene, (), (), 0, less), None, None).misses(found.aims)


def test_needles_are_no_larger_than_need_be(found: Changing) -> None:
    way = found.ways[1]
    assert way.proposal is not None
    assert {band.needle_sizes for band in way.proposal.bands} == {1}


def test_going_over_is_what_putting_on_tells() -> None:
    tried = tried_scene(_scene(), None, None, aims=Aims(over="head", size="man"))
    off = tried.forecast.equilibrium
    way = put_on(off, "head", "man").way
    assert way_over(off, "head", "man")[1].needed_i.tolist() == way.needed_i.tolist()
    assert not way.goes_on
    assert tried.lacking == pytest.approx(max(way.needed_i / way.opens_i) - 1.0)
    assert tried.misses(Aims(within=False, over="head")) == ("over",)
    assert lacking(tried.forecast, Aims()) == 0.0


def test_of_as_many_changes_those_seen_least_are_proposed() -> None:
    """Alike in all but how far apart in lightness the two yarns are; that it loses more counts less."""
    moves = [Move(1, -0.02, seen=0.9), Move(1, -0.01, seen=0.1), Move(1, -0.015, seen=0.5)]
    assert _program(moves, frozenset(), [], (0, 4), 0.1, None) == frozenset({1})
    lighter = [Move(2, 0.0, seen=0.0), Move(1, 0.0, seen=1.0)]
    assert _program(lighter, frozenset(), [], (0, 4), 0.1, None) == frozenset({1})  # but fewer come first


@pytest.mark.usefixtures("already_loaded")
def test_several_processes_find_the_same_ways(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(changing, "LARGE_CHART", 1)
    scene = scene_of(["#......", ".##...#", "#..##.."], -0.05, chart={"across": 4}, floats={"longest_gap": 4})
    aims = Aims(within=True, may_lose=0.03)
    alone, shared = (change(scene, aims, "repeat", processes=processes) for processes in (1, 2))
    assert [way.kind for way in shared.ways] == [way.kind for way in alone.ways]
    for one, other in zip(alone.ways, shared.ways, strict=True):
        assert (one.proposal is None) == (other.proposal is None)
        if one.proposal is not None and other.proposal is not None:
            assert other.proposal.counts == one.proposal.counts
            assert other.proposal.lost == pytest.approx(one.proposal.lost, abs=1e-9)
    found = [way.proposal.changes for way in shared.ways if way.proposal is not None and not way.proposal.bands]
    assert len(set(found)) == len(found)
