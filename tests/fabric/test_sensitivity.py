"""What floats do to width and pucker, by the adjoint: against differences of fabrics that were brought to rest."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import FLAT_TO, measure, taut
from fabricsim.fabric.relax import Patience, come_to_rest
from fabricsim.fabric.sensitivity import sensitivity
from fabricsim.fabric.setup import Fabric, set_up
from tests.support.scenes import scene_of

CHART = ["..#....#..", ".##..#..#.", "#....##...", "..#.#...#."]
NEAR = 1e-5
"""Of the largest slope: what differences of a step of 3e-5 leave, extrapolated once."""
STILL = Patience(tolerance=1e-12)


def _fabric(case: Case) -> Fabric:
    slack = {"repeat": -0.05, "swatch": -0.06, "round": -0.07}[case]
    worked = "flat" if case == "swatch" else "round"
    scene = scene_of(CHART, slack, worked=worked, chart={"across": 3, "plain_below": 1})
    return set_up(scene, case)


def _measured(rest: Equilibrium) -> np.ndarray:
    found = measure(rest)
    return np.array([found.widths.overall, *found.widths.loss_i, found.pucker.rms])


def _difference(fabric: Fabric, rest: Equilibrium, number: int) -> np.ndarray:
    """Return the slope of all measures by the slack of a float: central differences of two steps, extrapolated."""
    slopes = []
    for step in (6e-5, 3e-5):
        ends = []
        for way in (step, -step):
            slack_f = fabric.mesh.floats.slack_f.copy()
            slack_f[number] += way
            ends.append(_measured(come_to_rest(fabric.with_slack_of(slack_f), rest, patience=STILL, whole=True)))
        slopes.append((ends[0] - ends[1]) / (2.0 * step))
    return np.asarray((4.0 * slopes[1] - slopes[0]) / 3.0)


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_slopes_are_those_of_differences(case: Case) -> None:
    fabric = _fabric(case)
    rest = come_to_rest(fabric, patience=STILL, whole=True)
    known = sensitivity(rest)
    pulling = np.flatnonzero(taut(rest))
    assert len(pulling) > 4
    for number in np.random.default_rng(3).choice(pulling, 3, replace=False).tolist():
        found = _difference(fabric, rest, number)
        told = np.array([known.loss_f[number], *known.loss_if[:, number], known.rough_f[number]])
        widths = slice(None, -1)
        assert np.abs(told[widths] - found[widths]).max() <= NEAR * np.abs(found[widths]).max()
        if measure(rest).pucker.rms > FLAT_TO:
            assert told[-1] == pytest.approx(found[-1], rel=NEAR, abs=NEAR * np.abs(known.rough_f).max())


def test_slack_floats_do_nothing() -> None:
    rest = come_to_rest(_fabric("swatch"))
    known = sensitivity(rest)
    idle_f = ~taut(rest)
    assert idle_f.any()
    assert not known.loss_f[idle_f].any()
    assert not known.cost_f[idle_f].any()


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_what_floats_cost_adds_up_to_the_loss(case: Case) -> None:
    """To a twentieth: the fabric is stiffer where it is stretched, and floats that are taut now weren't always."""
    rest = come_to_rest(_fabric(case))
    assert sensitivity(rest).cost_f.sum() == pytest.approx(measure(rest).widths.overall, rel=0.05)


def test_of_a_chart_typed_twice_the_least_cell_is_told() -> None:
    once, twice = (
        sensitivity(come_to_rest(set_up(scene_of([row * times for row in CHART], -0.05), "repeat"))) for times in (1, 2)
    )
    assert sorted(once.cost_f) == pytest.approx(sorted(twice.cost_f), rel=1e-6, abs=1e-12)


def test_a_solve_more_is_all_it_takes() -> None:
    """One factorisation of the Hessian at rest: as the effort of the rest counts them, there were several."""
    rest = come_to_rest(_fabric("swatch"))
    assert rest.effort.factorisations > 1
    assert sensitivity(rest).response.hessian.shape[0] == len(rest.contact.energy.pattern.free_f)
