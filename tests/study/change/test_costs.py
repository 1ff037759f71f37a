"""What floats and squares cost: told by rows, the same whichever way round a chart is typed."""

from __future__ import annotations

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import widths
from fabricsim.study.change.charted import ChartAtRest, at_rest_as_charted
from fabricsim.study.change.costs import costs_of, most_costly, ordered, squares_of
from tests.support.scenes import scene_of

CHART = ["..#....#", ".##..#..", "#....##.", "..#.#..."]


def test_rows_that_cost_the_greater_part() -> None:
    assert most_costly({3: 0.01, 5: 0.04, 9: 0.03}, 0.5) == [5]
    assert most_costly({3: 0.01, 5: 0.04, 9: 0.03}, 0.6) == [5, 9]
    assert most_costly({1: 0.02, 2: 0.02}, 0.5) == [1]


def test_rows_add_up_to_what_is_told_and_that_to_the_loss() -> None:
    found = costs_of(scene_of(CHART, -0.04, chart={"across": 6, "plain_below": 2}))
    assert sum(found.rows.values()) == pytest.approx(found.told, rel=1e-12)
    assert found.told == pytest.approx(found.measures.widths.overall, rel=0.05)
    assert sum(found.row_by_slack.values()) == pytest.approx(found.by_slack, rel=1e-12)


def test_a_row_made_tight_costs_nearly_all() -> None:
    """Floats that lie loose in every row but one: what is lost is of that row."""
    scene = scene_of(["#...." * 2, "#." * 5, "#." * 5], -0.1, floats={"short_mm": 0.0}, chart={"across": 4})
    loose = scene.model_copy(update={"floats": scene.floats.model_copy(update={"slack": 0.0})})
    assert costs_of(loose, "repeat").told == pytest.approx(0.0, abs=1e-6)
    assert max(costs_of(scene, "repeat").rows.values()) > 0.0


def _mirrored(scene: Scene) -> Scene:
    return scene_of([row[::-1] for row in scene.chart.rows or ()], scene.floats.slack)


def test_squares_free_as_much_in_a_mirror_and_shifted() -> None:
    scene = scene_of(CHART, -0.05)
    found, wide = squares_of(at_rest_as_charted(scene)), len(CHART[0])
    mirrored = squares_of(at_rest_as_charted(_mirrored(scene)))
    shifted = squares_of(at_rest_as_charted(scene_of([row[3:] + row[:3] for row in CHART], -0.05)))
    for ((row, column), yarn), one in found.items():
        assert mirrored[(row, wide - 1 - column), yarn].lost == pytest.approx(one.lost, rel=1e-4, abs=1e-8)
        assert shifted[(row, (column - 3) % wide), yarn].lost == pytest.approx(one.lost, rel=1e-4, abs=1e-8)


def test_the_best_square_frees_what_it_is_said_to() -> None:
    scene = scene_of(CHART, -0.05)
    before = at_rest_as_charted(scene)
    ((row, column), yarn), best = ordered(squares_of(before))[0]
    rows = [list(one) for one in scene.chart_rows()]
    rows[row][column] = yarn
    after = at_rest_as_charted(scene_of(["".join(".#"[one] for one in each) for each in reversed(rows)], -0.05))
    freed = widths(before.rest).overall - widths(after.rest).overall
    assert freed > 0.0
    assert freed == pytest.approx(-best.lost, rel=0.3)


def test_a_chart_that_takes_no_new_floats_changes_nothing() -> None:
    chart = at_rest_as_charted(scene_of(CHART, -0.05))
    rows = {row: chart.row_keys(row, yarn_j) for row, yarn_j in enumerate(chart.scene.chart_rows())}
    assert chart.estimate(rows) == (0.0, 0.0)


@pytest.mark.parametrize(("reckoned", "told"), [(1.5, 1.0), (0.5, 0.5), (-0.5, -0.5)])
def test_no_square_frees_more_than_is_lost(monkeypatch: pytest.MonkeyPatch, reckoned: float, told: float) -> None:
    """In parts of all that is lost, from a reckoning that is made up: floats that are straight by far may free more."""
    chart = at_rest_as_charted(scene_of(CHART[:2], -0.05))
    lost = widths(chart.rest).overall
    monkeypatch.setattr(ChartAtRest, "estimate", lambda *_: (-reckoned * lost, 1e-4))
    assert lost > 0.01
    for one in squares_of(chart).values():
        assert (one.lost, one.rough) == (pytest.approx(-told * lost, rel=1e-12), 1e-4)
