"""Pinned out, fabric does what closed forms say: plain fabric as it is pinned, floats as long as they are."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.errors import InputError
from fabricsim.fabric.form.placed import Placed
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import come_to_rest, relax
from fabricsim.fabric.whole import set_up_whole
from fabricsim.study.washed.blocking import check_blocking
from fabricsim.study.washed.washing import Washed, washed
from tests.study.washed.test_washing import out_of_the_wash, scene
from tests.support.scenes import scene_of

SAME = {"stitches": 19.0, "rows": 25.5}
PLAIN = ("......",) * 3
WIDE = 24 * 10.0 / 19.0
"""cm: four repeats of six stitches of that gauge."""


def pinned(slack: float, by: float, case: Case, rows: tuple[str, ...] | None = None, **more: Any) -> Washed:
    """Return a piece whose wash changed nothing, pinned ``by`` so much of its plain width more."""
    gauge = {**SAME, "pinned_cm": WIDE * (1.0 + by), **more}
    return out_of_the_wash(scene(slack, gauge) if rows is None else scene(slack, gauge, rows), case)


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_plain_fabric_is_as_wide_as_it_is_pinned_and_lower_for_it(case: Case) -> None:
    """Flat alike in every stitch, so a piece with edges does what the endless one does; a tube of 13 cm bends
    round the edges of its board, half of its way."""
    block, endless = (pinned(0.0, 0.05, one, PLAIN).blocked for one in (case, "repeat"))
    assert block is not None
    assert endless is not None
    assert block.rest is not None
    np.testing.assert_allclose(block.width_i, 0.01 * WIDE * 1.05, rtol=1e-2 if case == "round" else 1e-3)
    assert endless.taller < -0.01
    assert block.taller == pytest.approx(endless.taller, rel=0.2 if case == "round" else 2e-2)
    assert block.hardest is None


@pytest.mark.parametrize("case", ["repeat", "swatch"])
@pytest.mark.parametrize("slack", [0.02, 0.05])
def test_floats_go_taut_where_it_is_as_much_wider_as_they_are_slack(case: Case, slack: float) -> None:
    """Flat and pulled evenly all floats of one slack reach their length at once, at (1 + slack) times plain; pins give
    a little."""
    less, more = (pinned(slack, (1.0 + slack) * (1.0 + off) - 1.0, case) for off in (-3e-3, 3e-3))
    assert less.blocked is not None
    assert more.blocked is not None
    assert not less.blocked.taut_f.any()
    assert more.blocked.taut_f.mean() > (
        0.9 if case == "swatch" else 0.999
    )  # at the sides the taut ones relieve others
    assert more.blocked.hardest is not None


def test_a_row_follows_as_far_as_its_short_floats_let_it() -> None:
    """The stitches that no float bridges are as wide as plain ones: what is left to the others is the floats' yarn."""
    slack, gauge = 0.01, {"stitches": 18.0, "rows": 25.5}
    rows = ("............", "#...#.......")  # as charts are drawn, row 1 at the bottom
    found = out_of_the_wash(scene(slack, gauge, rows), "round")
    new, old = 0.1 / 18.0, 0.1 / 19.0
    way = found.following
    np.testing.assert_allclose(way.plain_i, 48 * new, rtol=1e-3)
    # four stitches from one # to the next, eight to the one after; from the join of rounds to the first # it is plain
    share = 40.0 / 48.0
    follows = 1.0 - share + share * (1.0 + slack) * old / new
    np.testing.assert_allclose(way.widest_i[::2] / way.plain_i[::2], follows, rtol=1e-9)
    # but for the float over the join, behind one stitch
    join = 2.0 / 48.0
    np.testing.assert_allclose(
        way.widest_i[1::2] / way.plain_i[1::2], 1.0 - join + join * (1.0 + slack) * old / new, rtol=1e-9
    )
    assert way.least == 0


def test_a_flat_row_that_is_bridged_from_edge_to_edge_follows_with_its_edges_alone() -> None:
    slack, gauge = 0.0, {"stitches": 18.0, "rows": 25.5}
    made = scene_of(["........", "#..#...."], slack, chart={"across": 3}, worked="flat")
    made = made.model_copy(update={"gauge": scene(slack, gauge).gauge})
    before = relax(made, "swatch")
    found = washed(made, before, measure(before))
    assert found is not None
    new, old = 0.1 / 18.0, 0.1 / 19.0
    # all 23 steps from edge to edge lie behind floats; half a stitch at either edge doesn't
    free = 24 * new - 23 * (new - old)
    assert found.following.widest_i[0] == pytest.approx(free, rel=1e-9)
    assert found.following.widest_i[1] == pytest.approx(24 * new, rel=1e-12)


def test_loose_floats_let_it_follow_all_the_way() -> None:
    found = out_of_the_wash(scene(0.2, {"stitches": 18.0, "rows": 25.5}))
    assert found.following.all_the_way
    assert found.following.width == pytest.approx(found.following.plain, rel=1e-12)


def test_pinned_no_wider_than_it_lies_nothing_is_pulled() -> None:
    block = pinned(0.1, -0.05, "repeat").blocked
    assert block is not None
    assert block.rest is None
    assert not block.why_not
    assert block.taller == 0.0


@pytest.mark.parametrize(
    ("more", "case", "whole", "said"),
    [
        ({"pinned_cm": 2.0 * WIDE}, "round", False, "as plain fabric of as many stitches is 12.6 cm wide washed"),
        ({"pinned_cm": 0.4 * WIDE}, "repeat", False, "pinned_cm"),
        ({"pinned_cm": WIDE, "over": "head"}, "swatch", False, "only a tube goes over a form"),
        (
            {"pinned_cm": WIDE},
            "round",
            True,
            "isn't as wide all along; allowed: the chart alone; block that: --no-whole",
        ),
        ({"pinned_cm": WIDE}, "swatch", True, "allowed: the chart alone; block that: --no-whole"),
    ],
)
def test_what_can_not_be_pinned_so_is_refused(more: dict[str, Any], case: Case, whole: bool, said: str) -> None:
    with pytest.raises(InputError, match=said):
        check_blocking(scene(0.0, {**SAME, **more}), case, whole=whole)


def test_a_whole_hat_is_blocked_over_what_its_top_can_lie_on() -> None:
    hat = scene(0.0, {**SAME, "pinned_cm": WIDE}).model_copy(update={"item": "hat"})
    with pytest.raises(
        InputError, match="'head' or 'hand', as its top is drawn together; name one, or block the chart"
    ):
        check_blocking(hat, "round", whole=True)


def test_nothing_to_pin_is_nothing_to_refuse() -> None:
    check_blocking(scene(0.0, None), "swatch")
    check_blocking(scene(0.0, SAME), "swatch", whole=True)


def test_a_whole_hat_keeps_its_stitches_and_rounds_in_the_wash_and_dries_over_a_head() -> None:
    """However many rounds its new gauge would ask for, it has those that were knitted."""
    made = scene_of(["#..."] * 4, -0.03, item="hat", chart={"across": 10}, sizes={"rib": "1x1", "rib_cm": 1})
    gauge = {"stitches": 18.24, "rows": 22.0, "pinned_cm": 22.1, "over": "head"}
    table = {"stitches": made.gauge.stitches, "rows": made.gauge.rows, "washed": gauge}
    made = made.model_validate({**made.model_dump(exclude={"gauge", "source"}), "gauge": table})
    fabric = set_up_whole(made).fabric
    before = come_to_rest(fabric)
    found = washed(made, before, measure(before))
    assert found is not None
    assert found.after.mesh.rows == fabric.mesh.rows
    assert len(found.after.mesh.rest_nc) == len(fabric.mesh.rest_nc)
    np.testing.assert_array_equal(found.after.mesh.floats.length_f, fabric.mesh.floats.length_f)
    assert found.follows_up == pytest.approx(made.gauge.rows / 22.0 - 1.0, abs=0.02)
    block = found.blocked
    assert block is not None
    assert block.form is not None
    assert block.rest is not None
    # nothing hangs inside the head that it dries on
    assert Placed(block.form, block.rest.x_nc[0]).outside(block.rest.x_nc) > 0.0
    assert len(block.width_i) == len(found.following.plain_i)
