"""Motifs at rest: as charts drawn so, the best first, and the same on one process and on several."""

from __future__ import annotations

import pytest

import fabricsim
from fabricsim.errors import InputError
from fabricsim.fabric.measures import measure
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.compare.order import goodness
from fabricsim.study.motifs.classes import Motif, motifs
from fabricsim.study.motifs.mapping import MotifMap, MotifRow, _Job, in_order, mapped, row_of_motif
from tests.support.scenes import scene_of

SCENE = scene_of(["#...", ".#.."], -0.04, chart={"across": 3, "plain_below": 2, "up": 2})


def _map(some: list[Motif]) -> MotifMap:
    return MotifMap(SCENE, tuple(some), fabricsim.__version__)


def test_a_motif_is_typed_until_it_has_the_squares_that_are_asked_for_each_way() -> None:
    motif = Motif(2, 4, 0b00010100, symmetric=False)
    for squares, up, across in ((1, 1, 1), (4, 2, 1), (5, 3, 2)):
        scene = _map([motif]).scene_of(motif, squares)
        once = motif.chart_ij
        assert [tuple(row) for row in scene.chart_rows()] == [tuple(row) * across for row in once] * up
        assert (scene.chart.plain_below, scene.chart.across, scene.chart.up) == (0, 1, 1)


def test_a_motif_comes_to_rest_as_a_scene_drawn_so() -> None:
    motif = Motif(2, 4, 0b00010100, symmetric=False)
    rows: dict[str, MotifRow] = {}
    assert list(mapped(_map([motif]), rows)) == [motif.key]
    rest = at_rest_as_charted(scene_of(["#...", "..#."], -0.04)).rest
    row = rows[motif.key]
    assert row["draw_in_percent"] == pytest.approx(100.0 * measure(rest).widths.overall, abs=1e-3)
    assert (row["longest_gap_stitches"], row["floats_per_stitch"], row["plain_rows_percent"]) == (3, 0.5, 0.0)


@pytest.mark.usefixtures("already_loaded")
def test_several_processes_find_the_same_and_what_is_kept_is_not_found_again() -> None:
    some = motifs(3, 3)[:6]
    alone: dict[str, MotifRow] = {}
    shared: dict[str, MotifRow] = {}
    assert len(list(mapped(_map(some), alone))) == 6
    kept = some[2].key
    shared[kept] = alone[kept]
    assert sorted(mapped(_map(some), shared, processes=2)) == sorted({*alone} - {kept})
    assert shared == alone


def test_a_worker_of_another_version_finds_nothing() -> None:
    with pytest.raises(InputError, match=r"^--cluster: given workers with fabricsim .*; allowed: fabricsim 0\.0\.1; "):
        row_of_motif(_Job("0.0.1", SCENE, Motif(2, 4, 0b00010100, symmetric=False)))


def _row(lost: float, pucker: float, over: int = 0, *, rests: bool = True) -> MotifRow:
    return {"at_rest": rests, "draw_in_percent": lost, "pucker_mm": pucker, "floats_over_limit": over}


def test_the_best_rests_within_the_limits_and_loses_least() -> None:
    made = [_row(0, 0, rests=False), _row(4, 0), _row(1, 0, over=1), _row(2, 3), _row(2, 1)]
    assert sorted(made, key=goodness) == [made[at] for at in (4, 3, 1, 2, 0)]
    hair = [_row(2.0000001, 1), _row(2.0000002, 0.5), _row(2.000002, 0)]  # what the solver leaves is no difference
    assert sorted(hair, key=goodness) == [hair[at] for at in (1, 0, 2)]
    some = motifs(3, 3)[:2]
    found = in_order(_map(some), {some[0].key: _row(5, 0), some[1].key: _row(4, 0), "another": _row(0, 0)})
    assert [motif for motif, _ in found] == [some[1], some[0]]
