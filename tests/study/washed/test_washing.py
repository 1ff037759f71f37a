"""A piece out of the wash: what plain fabric does it does, as far as its floats let it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from fabricsim.study.washed.washing import Washed, as_worn, washed
from fabricsim.units import CM
from tests.support.scenes import scene_of

RINGS = ("..#...", ".#.#..", "#...#.")


def scene(slack: float, gauge: dict[str, Any] | None, rows: tuple[str, ...] = RINGS) -> Scene:
    made = scene_of(rows, slack, chart={"across": 4})
    table = {"stitches": made.gauge.stitches, "rows": made.gauge.rows, **({} if gauge is None else {"washed": gauge})}
    return Scene.model_validate({**made.model_dump(exclude={"gauge"}), "gauge": table})


def out_of_the_wash(made: Scene, case: Any = "repeat") -> Washed:
    before = relax(made, case)
    found = washed(made, before, measure(before))
    assert found is not None
    return found


def test_nothing_is_told_of_a_swatch_that_nobody_washed() -> None:
    made = scene(-0.05, None)
    before = relax(made, "repeat")
    assert washed(made, before, measure(before)) is None


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_wash_that_changes_nothing_leaves_it_as_it_was(case: str) -> None:
    found = out_of_the_wash(scene(-0.05, {"stitches": 19.0, "rows": 25.5}), case)
    assert found.follows == pytest.approx(0.0, abs=1e-5)  # found from where it lay, not from plain fabric again
    assert (found.wider, found.taller) == (0.0, 0.0)
    assert found.measured.pull.taut == found.before.pull.taut


def test_what_is_put_on_is_as_it_came_out_of_the_wash() -> None:
    unwashed = scene(0.02, None)
    rest = relax(unwashed, "round")
    assert as_worn(unwashed, rest) == (rest, None)
    made = scene(0.02, {"stitches": 18.0, "rows": 25.0, "pinned_cm": 13.0})  # on its pins it would be wider
    begun: list[str] = []
    off, knitted = as_worn(made, rest, begun=lambda name: begun.append(name))  # type: ignore[func-returns-value]
    found = washed(made, rest, measure(rest))
    assert found is not None
    np.testing.assert_array_equal(off.x_nc, found.after.x_nc)
    assert knitted is rest.mesh
    assert off.scene is made
    assert begun == ["washed"]


@pytest.mark.parametrize("case", ["repeat", "round"])
def test_planned_catches_stay_where_they_were_knitted(case: str) -> None:
    """Behind stitches that the wash makes wider the same floats are too long and others would be caught."""
    made = scene(0.3, {"stitches": 17.0, "rows": 25.5}, ("#....#", "......"))
    limits = {"plan_catches": True, "longest_cm": 2.3}  # four stitches were 2.1 cm, and are 2.4 washed
    made = made.model_copy(update={"floats": made.floats.model_copy(update=limits)})
    found = out_of_the_wash(made, case)
    before = relax(made, case)  # type: ignore[arg-type]
    np.testing.assert_array_equal(found.after.mesh.floats.length_f, before.mesh.floats.length_f)
    assert [one.gap for one in found.after.floats] == [one.gap for one in before.floats]


def test_plain_fabric_does_what_it_did_in_the_swatch() -> None:
    found = out_of_the_wash(scene(0.0, {"stitches": 18.0, "rows": 27.0}, ("......",) * 3))
    assert found.follows == pytest.approx(19.0 / 18.0 - 1.0, rel=1e-12)
    assert found.wider == pytest.approx(19.0 / 18.0 - 1.0)
    assert found.taller == pytest.approx(25.5 / 27.0 - 1.0)
    assert (found.first, found.half) == (None, None)


def test_floats_keep_their_yarn_so_tight_ones_hold_it_back_and_loose_ones_let_it_follow() -> None:
    """Loose: all of the plain fabric's; tight: what a float nearly as long as ever leaves, a share of it."""
    gauge = {"stitches": 18.0, "rows": 25.5}
    loose, tight = (out_of_the_wash(scene(slack, gauge)) for slack in (0.2, -0.05))
    assert loose.follows == pytest.approx(loose.wider, abs=1e-9)
    assert 0.0 < tight.follows < 0.5 * tight.wider
    # The yarn of every float as before, to the last bit.
    before = relax(scene(-0.05, None), "repeat")
    assert (tight.after.solved or tight.after).mesh.floats.length_f.max() == pytest.approx(
        (before.solved or before).mesh.floats.length_f.max(), rel=1e-12
    )
    # Straight where plain fabric before the wash, that much tighter, was as wide as its floats (derived).
    for found, slack in ((loose, 0.2), (tight, -0.05)):
        assert found.first == pytest.approx(24 * (1.0 + slack) / 190.0, rel=1e-9)
        assert found.half == pytest.approx(24 * (1.0 + slack) / 190.0, rel=1e-9)


def test_once_the_pins_are_out_it_lies_between_nothing_and_all() -> None:
    gauge = {"stitches": 18.5, "rows": 25.5}
    assert out_of_the_wash(scene(-0.02, gauge)).springs is None
    found = out_of_the_wash(scene(-0.02, {**gauge, "pinned_cm": 14.0}))
    assert found.springs == pytest.approx((found.measured.widths.width, 14.0 * CM), rel=1e-9)
    assert replace(found, blocked=None).springs is None
    # what is wider than its pins isn't pushed together
    found = out_of_the_wash(scene(-0.02, {**gauge, "pinned_cm": 10.0}))
    assert found.springs == pytest.approx((found.measured.widths.width,) * 2, rel=1e-9)
