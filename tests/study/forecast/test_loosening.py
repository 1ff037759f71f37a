"""How slack floats must be, held against equilibria at the slack that is found."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from fabricsim.cli.commands.slack.options import USUAL_LOSS
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.measures import pull, widths
from fabricsim.fabric.relax import relax
from fabricsim.study.forecast.loosening import EXACT, MOST_LOST, TIGHTEST, how_loose
from fabricsim.units import PER_CENT
from tests.support.scenes import scene_of

RINGS = ["..b...", ".b.b..", "b...b.", ".b.b..", "..b..."]


def rings(across: int = 1) -> Scene:
    return scene_of(["".join("#" if s == "b" else s for s in row) for row in RINGS], 0.05, chart={"across": across})


@pytest.mark.parametrize(("case", "across"), [("repeat", 1), ("round", 6)])
def test_the_least_slack_loses_just_what_may_be_lost(case: str, across: int) -> None:
    found = how_loose(rings(across), case, most_lost=0.02)
    at = widths(relax(rings(across), case, slack=found.for_width.nominal)).overall
    # a per cent of slack is about a per cent of width
    assert at == pytest.approx(0.02, abs=1.5 * EXACT)
    assert found.for_width.low <= found.for_width.nominal <= found.for_width.high
    assert all(looser.lost <= tighter.lost + 1e-9 for looser, tighter in pairwise(found.trials))
    assert not found.any_will_do


def test_in_a_tube_floats_may_be_tighter_and_outside_it_less_so() -> None:
    flat, tube = (how_loose(rings(6), case).for_width.nominal for case in ("repeat", "round"))
    turned = how_loose(rings(6), "round", inside_out=True).for_width.nominal
    assert turned < tube < flat < 0.0


@pytest.mark.parametrize(("case", "across"), [("repeat", 1), ("round", 6)])
def test_fabric_of_the_slack_for_stretch_has_just_that_to_spare(case: str, across: int) -> None:
    found = how_loose(rings(across), case, stretch=0.12)
    rest = relax(rings(across), case, slack=found.for_stretch)
    assert pull(rest).spare_f.min() == pytest.approx(0.12, rel=1e-9)
    assert found.slack == max(found.for_width.high, found.for_stretch)
    if case == "repeat":
        assert found.for_stretch == pytest.approx(0.12, rel=1e-9)  # no thickness to cut the corner by


def test_the_band_comes_from_other_stiffnesses() -> None:
    found = how_loose(rings(6), "round", most_lost=0.02)
    fabric_slacks = []
    for factor in (0.5, 2.0):
        bent = found.rest.stiffness.bent(factor)
        scene = rings(6)
        overrides = {
            "bending_across_uNm": bent.bend_across * 1e6,
            "bending_up_uNm": bent.bend_up * 1e6,
            "twist_uNm": bent.twist * 1e6,
        }
        other = scene.model_copy(update={"fabric": scene.fabric.model_copy(update=overrides)})
        fabric_slacks.append(how_loose(other, "round", most_lost=0.02).for_width.nominal)
    # one step along the slope, against a search of its own
    assert (found.for_width.low, found.for_width.high) == pytest.approx(
        (min(fabric_slacks), max(fabric_slacks)), abs=2 * EXACT
    )


def test_where_nothing_pulls_much_any_slack_will_do() -> None:
    found = how_loose(rings(), "repeat", most_lost=0.5)
    assert found.any_will_do
    assert found.for_width.nominal == TIGHTEST
    assert np.isfinite(found.aim)


def test_a_fabric_without_floats_is_refused() -> None:
    with pytest.raises(InputError, match="without floats"):
        how_loose(scene_of(["......"] * 3, 0.0), "repeat")


def test_the_command_asks_for_what_is_usual_here() -> None:
    # the command names the figure without loading what is heavy
    assert USUAL_LOSS * PER_CENT == MOST_LOST
