"""The fewest changes: none fewer do, of all that there are; and the same whichever way round a chart is typed."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import widths
from fabricsim.study.change.aims import Aims
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.moves import ChangeGround
from fabricsim.study.change.search import Searched, Wanted, changed_scene, floats_over, search, slack_keys
from fabricsim.study.change.ways import TIGHTER, _tighter
from tests.study.change.brute import all_changes
from tests.support.scenes import scene_of

WITHIN = 5e-5
"""Of the share lost, the same fabric from two starts: floats may cut in by a hair before they lie on the back."""


def _small(rows: list[str], slack: float, most: int) -> Scene:
    return scene_of(rows, slack, chart={"across": 3, "up": 2}, floats={"longest_gap": most})


def _ground(scene: Scene, *, symmetric: bool = False) -> ChangeGround:
    charted = at_rest_as_charted(scene)
    ground = ChangeGround.of(scene, charted, symmetric=symmetric)
    ground.looser = {0: widths(charted.rest).overall}
    return ground


CHARTS = {
    "narrow": ([".#.#.", "#..#.", ".##.."], -0.06, 5),
    "both": (["#....", "##..#", ".#.#."], -0.05, 3),
}


@pytest.mark.parametrize("name", CHARTS)
def test_no_fewer_changes_of_one_or_two_stitches_do(name: str) -> None:
    scene = _small(*CHARTS[name])
    ones = list(all_changes(scene, 1))
    lost = sorted(one for _, one, over in ones if not over) or sorted(one for _, one, _ in ones)
    ground = _ground(scene)
    for aim in (ground.looser[0] + 1.0, 0.5 * (lost[0] + lost[1]), lost[0] - 0.25 * abs(ground.looser[0] - lost[0])):
        wanted = Wanted(aim)
        every = [*ones, *all_changes(scene, 2)] if aim < lost[0] else ones
        fewest = min((counts for counts, one, over in every if one <= aim and not over), default=None)
        found = search(ground, ground.stitches(), wanted).proposal
        if fewest is None:
            assert found is None or len(found.edit) > 2
            continue
        assert found is not None
        assert found.counts <= fewest
        assert len(found.edit) > 2 or found.counts == fewest
        assert wanted.met(found)


def _found(rows: list[str], aim_share: float) -> Searched:
    ground = _ground(_small(rows, -0.05, 4))
    moves = [*ground.stitches(), *ground.catches()]
    return search(ground, moves, Wanted(aim_share * ground.looser[0]))


def test_a_mirror_and_a_shift_change_nothing() -> None:
    rows = ["#.....", "##..#.", ".#.#..", "#...##"]
    shown = [_found(one, 0.995) for one in (rows, [row[::-1] for row in rows], [row[2:] + row[:2] for row in rows])]
    first = shown[0].proposal
    assert first is not None
    for other in (one.proposal for one in shown[1:]):
        assert other is not None
        assert other.counts == first.counts
        assert other.lost == pytest.approx(first.lost, abs=WITHIN)


def test_what_is_told_is_what_comes_of_it() -> None:
    scene = _small(["#.....", "##..#.", ".#.#..", "#...##"], -0.05, 4)
    ground = _ground(scene)
    found = search(ground, [*ground.stitches(), *ground.catches()], Wanted()).proposal
    assert found is not None
    after = changed_scene(scene, found.edit, found.holds, found.looser)
    assert floats_over(scene) > 0
    assert floats_over(after) == found.over == 0
    assert widths(at_rest_as_charted(after).rest).overall == pytest.approx(found.lost, abs=WITHIN)


def test_symmetry_is_kept_with_every_stitch() -> None:
    scene = _small(["#.....", ".#...#", "..#.#.", "...#.."], -0.05, 4)
    ground = _ground(scene, symmetric=True)
    assert ground.kept
    for move in ground.stitches():
        after = changed_scene(scene, move.edit, (), 0)
        assert all(one.holds(tuple(tuple(row) for row in after.chart_rows())) for one in ground.kept)


def test_an_aim_out_of_reach_tells_what_came_nearest() -> None:
    ground = _ground(_small(["#.....", "##..#.", ".#.#..", "#...##"], -0.05, 4))
    found = search(ground, ground.stitches(), Wanted(0.2 * ground.looser[0]))
    assert found.proposal is None
    assert found.nearest is not None
    assert found.nearest.lost > 0.2 * ground.looser[0]


def test_one_that_was_proposed_is_not_proposed_again() -> None:
    ground = _ground(_small(["#.....", "##..#.", ".#.#..", "#...##"], -0.05, 4))
    moves = [*ground.stitches(), *ground.catches()]
    first = search(ground, moves, Wanted()).proposal
    assert first is not None
    second = search(ground, moves, Wanted(), not_these=[first]).proposal
    assert second is not None
    assert second.changes != first.changes
    assert second.counts >= first.counts


def test_looser_floats_are_one_slack_or_one_for_each_yarn() -> None:
    scene = scene_of(["#..", ".#."], -0.04)
    assert slack_keys(scene, 3) == {"slack": -0.01}
    apart = scene_of(["#..", ".#."], -0.04, floats={"slack_by_yarn": {"#": 0.0}})
    assert slack_keys(apart, 3) == {"slack_by_yarn": {".": -0.01, "#": 0.03}}


def test_a_stitch_alone_and_a_row_s_last_count_one_more() -> None:
    """Counted by hand: the lone stitch of row 1 taken out leaves a plain row; one put far from any other is alone."""
    ground = _ground(_small(["#.......", "........", "##..##..", "##......"], -0.02, 7))
    counts = {move.edit: move.counts for move in ground.stitches()}
    assert counts[((3, 0), 0),] == 2  # the top row's only stitch
    assert counts[((1, 2), 1),] == 1  # beside others
    assert counts[((3, 4), 1),] == 2  # far from any


def test_what_covers_long_floats_comes_first() -> None:
    ground = _ground(_small(["#.........", ".##.##.##.", "#..#..#..#"], -0.02, 5))
    assert ground.windows
    found = search(ground, ground.catches(), Wanted())
    assert found.proposal is not None
    assert found.tried == 1
    assert not found.proposal.over


def test_an_aim_missed_is_made_tighter_by_as_much() -> None:
    aims = Aims(may_lose=0.03, pucker=1e-3)

    def told(lost: float, pucker: float, lacking: float = 0.0) -> Any:
        return SimpleNamespace(lost=lost, pucker=pucker, lacking=lacking)

    assert _tighter(aims, told(0.06, 5e-4), 0.08) == pytest.approx(0.04)
    assert _tighter(aims, told(0.02, 4e-3), 0.08) == pytest.approx(0.02)
    assert _tighter(aims, told(0.0301, 5e-4), 0.08) == pytest.approx(TIGHTER * 0.08)
    assert _tighter(aims, told(0.04, 5e-4, 0.03), 0.08) == pytest.approx(0.02)  # floats by as much longer
