"""Rows on needles of their own: all rows on larger ones are plain fabric of another gauge, to the last bit."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.counted.needles import ONE_SIZE, times_as_wide
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.cell import copied
from fabricsim.fabric.measures import FLAT_TO, measure
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import set_up
from fabricsim.fabric.whole import set_up_whole
from tests.support.scenes import scene_of

CHART = ["..#....#..", ".##..#..#.", "#....##...", "..#.#...#."]


@pytest.mark.parametrize("case", ["repeat", "round"])
@pytest.mark.parametrize("sizes", [-1, 1, 2])
def test_plain_fabric_is_as_much_wider_and_taller(case: Case, sizes: int) -> None:
    scene = scene_of(["......"] * 5, chart={"across": 4}, bands=[{"first": 1, "last": 5, "needle_sizes": sizes}])
    rest = come_to_rest(set_up(scene, case))
    found = measure(rest)
    # along the spiral the strand climbs by a row height a round, which is as much larger too
    assert 1.0 - found.widths.loss_i == pytest.approx(np.full(5, (1.0 + ONE_SIZE) ** sizes), rel=1e-3)
    assert found.height_change == pytest.approx(times_as_wide(sizes) - 1.0, rel=1e-3)
    assert rest.effort.energy == pytest.approx(0.0, abs=1e-20)


def test_flat_colourwork_is_the_same_of_a_larger_gauge() -> None:
    """Everything in the plane grows alike: floats, bars and their stiffness a metre."""
    more = {"chart": {"across": 2}, "floats": {"short_mm": 0.0}}
    plain = come_to_rest(set_up(scene_of(CHART, -0.03, **more), "repeat"))  # type: ignore[arg-type]
    bands = [{"first": 1, "last": 4, "needle_sizes": 1}]
    larger = come_to_rest(set_up(scene_of(CHART, -0.03, bands=bands, **more), "repeat"))  # type: ignore[arg-type]
    kept = [1.0 - measure(one).widths.overall for one in (plain, larger)]
    assert measure(plain).pucker.rms < FLAT_TO
    assert kept[1] / kept[0] == pytest.approx(1.0 + ONE_SIZE, rel=1e-3)


def test_a_band_on_larger_needles_is_wider_where_it_is() -> None:
    scene = scene_of(["......"] * 12, chart={"across": 8}, bands=[{"first": 7, "last": 12, "needle_sizes": 1}])
    loss_i = measure(come_to_rest(set_up(scene))).widths.loss_i
    assert abs(loss_i[0]) < 0.012
    assert loss_i[-1] < -0.04
    assert (np.diff(loss_i) < 5e-3).all()  # from one to the other without going back


def test_copies_of_an_endless_fabric_keep_their_needles() -> None:
    fabric = set_up(scene_of(CHART, bands=[{"first": 2, "last": 3, "needle_sizes": 1}]), "repeat")
    twice = copied(fabric, 8, 10).mesh
    assert twice.needle_i is not None
    larger = 1.0 + ONE_SIZE
    assert twice.needle_i.tolist() == pytest.approx([1.0, larger, larger, 1.0] * 2)


def test_a_whole_piece_has_them_in_the_rows_of_its_chart() -> None:
    bands = [{"first": 1, "last": 2, "needle_sizes": 1, "looser": 0.02}]
    scene = scene_of(
        CHART, -0.04, chart={"across": 6, "plain_below": 2}, item="hat", sizes={"crown": False}, bands=bands
    )
    made = set_up_whole(scene)
    mesh = made.fabric.mesh
    assert mesh.needle_i is not None
    at = np.flatnonzero(mesh.needle_i > 1.0)
    assert len(at) == 2
    slack_f = [one.slack for one in made.fabric.floats if one.row in at]
    assert slack_f == pytest.approx([-0.02] * len(slack_f))
    assert len(slack_f) > 0


def test_other_slacks_of_the_yarns_leave_a_band_as_much_looser() -> None:
    scene = scene_of(CHART, -0.04, bands=[{"first": 2, "last": 2, "looser": 0.02}])
    table = set_up(scene, "repeat").with_slack_of_yarns([0.01, 0.03]).mesh.floats
    row_f = table.node_f2[:, 0] // len(CHART[0])
    expected_f = np.array([0.01, 0.03])[table.yarn_f] + np.where(row_f == 1, 0.02, 0.0)
    assert table.slack_f == pytest.approx(expected_f)
    assert table.length_f == pytest.approx(table.span_f * (1.0 + expected_f))
