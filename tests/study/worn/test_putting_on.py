"""What is put on: whether it goes on, whether it hangs loose, and what is no tube; of tubes that nobody solved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.design.sizes.going_on import BEYOND_SLACK
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.study.worn.putting_on import put_on, way_over
from tests.cli.made_up import rest_of, scene_of

ALL_ROUND = ["o....o....", "..o....o..", "o....o...."]
"""Every stitch of a round lies before floats of both yarns, but where rounds join."""


def tube_of(repeats: int, slack: float = -0.05) -> Equilibrium:
    """Return a tube of so many times 5 cm round."""
    return rest_of(scene_of(slack, ALL_ROUND, chart={"across": repeats, "up": 3}), "round")


def test_a_tube_whose_floats_are_too_short_does_not_go_on() -> None:
    """38 cm of floats round 40 cm, and what they are lent: no man's head passes."""
    found = put_on(tube_of(8), "head", "man")
    assert not found.way.goes_on
    assert found.worn is found.fit is found.holds is None
    assert not found.loose
    assert found.why_not == ""
    assert found.on == "head"
    assert found.way.opens_i.min() == pytest.approx(0.40 * 0.95 * (1.0 + BEYOND_SLACK))
    assert found.way.needed_i.max() > 0.5


def test_one_that_is_wider_than_whom_it_is_put_on_hangs_loose() -> None:
    found = put_on(tube_of(12), "hand")
    assert found.way.goes_on
    assert found.worn is None
    assert found.loose
    assert found.seat.form.widest_passed < 0.4


def test_floats_are_as_long_as_they_are_told_to_be() -> None:
    """Not as long as each came out: as a round opens, its tightest are lent yarn by the others."""
    tube = tube_of(8)
    table = tube.mesh.floats
    uneven = table.length_f * np.where(np.arange(len(table.length_f)) % 2, 0.8, 1.1)
    as_knitted = replace(tube, mesh=replace(tube.mesh, floats=replace(table, length_f=uneven)))
    (_, told), (_, found) = way_over(tube, "head"), way_over(as_knitted, "head")
    np.testing.assert_allclose(found.opens_i, told.opens_i, rtol=1e-9)
    looser = way_over(tube_of(8, slack=0.05), "head")[1]
    assert looser.opens_i.min() == pytest.approx(0.40 * 1.05 * (1.0 + BEYOND_SLACK))


def test_floats_of_what_is_washed_have_the_yarn_that_they_were_knitted_with() -> None:
    """Over stitches that came out a tenth wider they are as much less slack; over as many, it opens no farther."""
    knitted = tube_of(8)
    wider = scene_of(-0.05, ALL_ROUND, chart={"across": 8, "up": 3}, gauge={"stitches": 20 / 1.1, "rows": 20})
    off = rest_of(wider, "round")
    _, way = way_over(off, "head", knitted=knitted.mesh)
    assert way.opens_i.min() == pytest.approx(0.40 * 0.95 * (1.0 + BEYOND_SLACK))
    assert way_over(off, "head")[1].opens_i.min() == pytest.approx(1.1 * way.opens_i.min())
    assert put_on(off, "head", "man", knitted=knitted.mesh).washed
    assert put_on(tube_of(12), "hand", knitted=tube_of(12).mesh).washed
    assert not put_on(off, "head", "man").washed


def test_only_a_tube_is_put_on() -> None:
    flat = rest_of(scene_of(-0.05, ALL_ROUND, worked="flat"), "swatch")
    with pytest.raises(InputError, match="only a tube is put on: add --case round"):
        put_on(flat, "head")
