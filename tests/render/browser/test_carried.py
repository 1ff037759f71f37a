"""Yarn that goes along with its stitches."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats
from fabricsim.breaks import broken_off_when
from fabricsim.errors import StoppedError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.settling import settle
from fabricsim.fabric.setup import set_up
from fabricsim.render.browser.carried import CarriedYarn
from fabricsim.render.browser.yarn import DrawnYarn, drawn_yarn
from fabricsim.units import MM
from tests.render import rests

STEPS = 12


def points(drawn: DrawnYarn | None) -> Floats:
    assert drawn is not None
    return np.asarray(drawn.arrays["point"], dtype=float)


@pytest.mark.parametrize("rest", [rests.stars, rests.swatch, rests.band])
def test_where_no_stitch_moves_no_yarn_does_and_all_of_it_is_told_as_before(rest: Callable[[], Equilibrium]) -> None:
    fabric = rest()
    drawn = drawn_yarn(fabric, STEPS, apart=True)
    along = CarriedYarn.of(drawn).along(fabric)
    assert along is not None
    assert {name: array.tobytes() for name, array in along.arrays.items()} == {
        name: array.tobytes() for name, array in drawn.arrays.items()
    }


def test_a_fabric_that_moves_as_a_whole_takes_all_its_yarn_along() -> None:
    """The shares of a point add up to one: to the last of the four bytes of a number."""
    fabric = rests.swatch()
    way_c = np.array([0.004, -0.002, 0.001])
    drawn = drawn_yarn(fabric, STEPS, apart=True)
    along = CarriedYarn.of(drawn).along(replace(fabric, x_nc=fabric.x_nc + way_c))
    np.testing.assert_allclose(points(along), points(drawn) + way_c / MM, atol=2e-5)
    share_pn = CarriedYarn.of(drawn).share_pn
    assert (share_pn.data >= 0.0).all()
    assert (share_pn.data.reshape(share_pn.shape[0], -1).min(axis=1) == 0.0).all()
    _, near_p = cKDTree(drawn.tiling.x_nc).query(points(drawn) * MM)
    most_p = share_pn.toarray().max(axis=1)
    np.testing.assert_allclose(share_pn.toarray()[np.arange(len(near_p)), near_p], most_p, atol=1e-9)


def test_yarn_that_was_taken_along_lies_about_where_it_would_be_laid() -> None:
    """Floats 2 % shorter: a point of a loop keeps its place beside its own stitch to a tenth of the yarn's thickness,
    and to less than a third of the way that the stitches went."""
    before = settle(set_up(rests.scene("across_the_edge"), "repeat", slack=-0.02))
    assert before is not None
    after = settle(set_up(rests.scene("across_the_edge"), "repeat", slack=-0.04), before)
    assert after is not None
    laid = drawn_yarn(before, STEPS, apart=False)
    along = CarriedYarn.of(laid).along(after)
    tiling = drawn_yarn(after, STEPS, apart=False).tiling
    assert along is not None
    assert along.tiling.window_a is not None
    np.testing.assert_array_equal(along.tiling.x_nc, tiling.x_nc)
    loop_p = np.asarray(laid.arrays["float"]) < 0
    stitch_p = np.asarray(laid.arrays["stitch"])[loop_p]
    beside_pc = points(along)[loop_p] - tiling.x_nc[stitch_p] / MM
    was_pc = points(laid)[loop_p] - laid.tiling.x_nc[stitch_p] / MM
    slipped_p = np.linalg.norm(beside_pc - was_pc, axis=1)
    shifted_p = np.linalg.norm((tiling.x_nc - laid.tiling.x_nc)[stitch_p] / MM, axis=1)
    assert np.sqrt(np.mean(slipped_p**2)) < 0.1 * laid.thickness / MM
    assert np.sqrt(np.mean(slipped_p**2)) < 0.3 * np.sqrt(np.mean(shifted_p**2))


def test_other_stitches_and_another_gauge_are_laid_anew() -> None:
    carried = CarriedYarn.of(drawn_yarn(rests.stars(), STEPS, apart=False))
    assert carried.along(rests.three_colours()) is None
    assert carried.along(rests.swatch()) is None
    scene = rests.scene("across_the_edge")
    gauge = scene.gauge.model_copy(update={"stitches": scene.gauge.stitches * 1.1})
    other = settle(set_up(scene.model_copy(update={"gauge": gauge}), "repeat"))
    assert other is not None
    assert carried.along(other) is None


def test_the_search_for_neighbours_may_be_broken_off() -> None:
    drawn = drawn_yarn(rests.stars(), STEPS, apart=False)
    with broken_off_when(lambda: True), pytest.raises(StoppedError):
        CarriedYarn.of(drawn)
