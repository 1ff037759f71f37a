"""What the table is told of a fabric, from forecasts that nobody solved: numbers of a preview, and its words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.cli.commands.preview.words import words
from fabricsim.cli.commands.table.telling import HARDEST, told
from fabricsim.design.floats.faults import faults
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.table.messages.fabrics import TellSaid
from fabricsim.units import CENTINEWTON
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of


@pytest.fixture(scope="module")
def rest() -> Equilibrium:
    return rest_of(scene_of(-0.05, chart={"across": 3}), "round")


def pulling(rest: Equilibrium, *hardest_cN: float) -> Equilibrium:
    """Return the same with these pulls of its first floats, the rest of them without."""
    tension_f = np.zeros(len(rest.mesh.floats))
    tension_f[: len(hardest_cN)] = np.array(hardest_cN) * CENTINEWTON
    return replace(rest, tension_f=tension_f)


def test_numbers_words_and_rows_are_those_of_a_preview(rest: Equilibrium) -> None:
    shown = measures_of(rest, lost=0.04, narrowest=(2, 0.06), taller=0.012, pucker_mm=2.5, taut=3, pull_cN=1.5)
    forecast = forecast_of(rest, shown)
    said = told(forecast, 7, "second", likely=False)
    assert isinstance(said, TellSaid)
    assert (said.revision, said.which, said.sure) == (7, "second", "rest")
    assert (said.plain_cm, said.width_cm) == pytest.approx((18.0, 17.28))
    assert (said.loss_percent, said.height_percent) == pytest.approx((4.0, 1.2))
    assert (said.pucker_mm, said.pucker_word) == (pytest.approx(2.5), "faintly rippled")
    assert (said.floats, said.over, said.taut) == (len(rest.floats), 1, 3)
    assert said.greatest_cN == pytest.approx(1.5)
    assert said.likely_loss_percent is said.likely_width_cm is said.likely_pucker_mm is None
    assert [(one.row, one.loss_percent) for one in said.rows] == [
        (0, pytest.approx(4.0)), (1, pytest.approx(6.0)), (2, pytest.approx(4.0)),
    ]  # fmt: skip
    assert [one.width_cm for one in said.rows] == pytest.approx([17.28, 16.92, 17.28])
    assert list(said.words) == words(forecast, faults(rest.floats, rest.scene.limits))
    assert all(one in " ".join(said.words) for one in said.advice)
    assert said.advice


def test_what_is_likely_is_told_as_widths_too_the_least_first(rest: Equilibrium) -> None:
    pieces = pieces_of(rest, (0.02, 1.0), (0.05, 2.0), (0.06, 3.5))
    said = told(forecast_of(rest, measures_of(rest, lost=0.04, pucker_mm=1.5), pieces), 0, "first", likely=True)
    assert said.sure == "likely"
    assert said.likely_loss_percent == pytest.approx((2.0, 6.0))
    assert said.likely_width_cm == pytest.approx((18.0 * 0.94, 18.0 * 0.98))
    assert said.likely_pucker_mm == pytest.approx((1.0, 3.5))


def test_floats_that_pull_hardest_are_told_by_the_stitch_in_their_middle(rest: Equilibrium) -> None:
    many = len(rest.floats)
    assert many > HARDEST
    hard = pulling(rest, 1.0, 3.0, 2.0)
    said = told(forecast_of(hard, measures_of(hard, taut=3, pull_cN=3.0)), 0, "first", likely=False)
    assert [one.pull_cN for one in said.hardest] == pytest.approx([3.0, 2.0, 1.0])
    for one, number in zip(said.hardest, (1, 2, 0), strict=True):
        there = rest.floats[number]
        assert (one.row, one.gap, one.yarn) == (there.row, there.gap, there.yarn)
        behind = [(there.start + there.direction * step) % 36 for step in range(1, there.gap + 1)]
        assert one.column in behind
        assert abs(behind.index(one.column) - 0.5 * (there.gap - 1)) <= 0.5
    all_taut = pulling(rest, *(0.1 * (one + 1) for one in range(many)))
    most = told(forecast_of(all_taut, measures_of(all_taut, taut=many)), 0, "first", likely=False).hardest
    assert [one.pull_cN for one in most] == pytest.approx([0.1 * (many - one) for one in range(HARDEST)])
