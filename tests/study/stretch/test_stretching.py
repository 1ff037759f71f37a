"""Curves of pull against stretch: exact where asked for, and where floats go taut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import PRETENSION, Along, load_of, pulled, strain_of, stretched, without_floats
from fabricsim.study.forecast.doubt import SLACK_DOUBT
from fabricsim.study.stretch.pulling import FINE, Curve, curve_of
from fabricsim.study.stretch.stretching import LOADS, stretching
from tests.support.scenes import scene_of

CHECKS = ["##..", "..##"]
RINGS = ["..#...", ".#.#..", "#...#.", ".#.#..", "..#..."]


def checks(slack: float) -> Scene:
    return scene_of(CHECKS, slack)


def curve(scene: Scene, along: Along, loads: Iterable[float] = LOADS) -> Curve:
    """The repeat of a scene, pulled."""
    return curve_of(set_up(scene, "repeat"), along, loads)


def stretch_under(fabric: Fabric, load: float, along: Along = "across") -> float:
    """The stretch at a load, found for itself alone."""
    return strain_of(pulled(fabric, along, load), along)


@pytest.mark.parametrize("slack", [0.03, 0.08])
def test_floats_of_one_slack_go_taut_at_that_stretch(slack: float) -> None:
    """Flat fabric that nothing pulls in is stretched as its stitches are (derived, exact)."""
    found = curve(checks(slack), "across")
    assert found.first_taut == pytest.approx(slack, abs=1e-7)
    assert found.half_taut == pytest.approx(slack, abs=1e-7)
    assert found.floats == 4
    below, above = found.strains < slack - 1e-7, found.strains > slack + 1e-7
    assert (found.taut[below] == 0.0).all()
    assert (found.taut[above] == 1.0).all()
    assert found.strains[0] == found.loads[0] == 0.0


def test_of_floats_of_different_slack_the_shortest_go_first() -> None:
    """Three yarns, each float as wide as the repeat, so that none changes how the others lie (exact)."""
    rules = {"slack_by_yarn": {"#": 0.02, ".": 0.04, "o": 0.06}}
    found = curve(scene_of(["#.o"], floats=rules), "across", [40.0])
    assert found.first_taut == pytest.approx(0.02, abs=1e-7)
    assert found.half_taut == pytest.approx(0.04, abs=1e-7)
    assert sorted(set(found.taut.round(3))) == pytest.approx([0.0, 0.333, 0.667])


@pytest.mark.parametrize("along", ["across", "up"])
@pytest.mark.parametrize("slack", [-0.04, 0.05])
def test_the_stretch_at_a_load_asked_for_is_exact(slack: float, along: Along) -> None:
    fabric = set_up(scene_of(RINGS, slack), "repeat")
    found = curve_of(fabric, along, [3.0, 12.0])
    for load in (PRETENSION, 3.0, 12.0):
        assert found.at(load) == pytest.approx(stretch_under(fabric, load, along), abs=1e-7)
        held = stretched(fabric, along, found.at(load))
        assert load_of(held, along) == pytest.approx(load, rel=1e-4)
    assert (np.diff(found.loads) > 0.0).all()
    assert (np.diff(found.strains) > 0.0).all()
    assert np.diff(found.strains).max() <= FINE
    between = 0.5 * (found.loads[-2] + found.loads[-1])
    assert found.at(between) == pytest.approx(stretch_under(fabric, between, along), abs=2e-3)


def test_short_floats_are_taut_at_once_and_go_slack_when_it_is_pulled_up() -> None:
    across, up = (curve(checks(-0.03), along) for along in ("across", "up"))  # type: ignore[arg-type]
    assert across.first_taut == across.half_taut == up.first_taut == 0.0
    assert (across.taut == 1.0).all()
    assert up.taut[0] == 1.0
    assert up.taut[-1] == 0.0
    assert across.relaxed == up.relaxed
    assert across.relaxed[0] == pytest.approx(4 * 0.1 / 19 * 0.97, rel=5e-3)


def test_floats_that_the_pull_never_reaches() -> None:
    found = curve(checks(0.05), "up")
    assert found.first_taut is None
    assert found.half_taut is None
    assert (found.taut == 0.0).all()


@pytest.mark.parametrize("along", ["across", "up"])
def test_without_floats_it_is_plain_fabric(along: Along) -> None:
    fabric = set_up(scene_of(["...."] * 3), "repeat")
    found, alone = curve_of(fabric, along, [8.0]), curve_of(without_floats(fabric), along, [8.0])
    assert found.floats == 0
    assert found.first_taut is None
    np.testing.assert_allclose(found.strains, alone.strains, atol=1e-8)


def test_stretch_counted_from_the_pretension() -> None:
    found = curve(checks(0.08), "across")
    want = (1.0 + found.at(10.0)) / (1.0 + found.at(PRETENSION)) - 1.0
    assert found.from_pretension(10.0) == pytest.approx(want)
    assert 0.0 < found.from_pretension(10.0) < found.at(10.0)
    assert found.from_pretension(PRETENSION) == 0.0


def test_the_band_is_that_of_other_slack_and_stiffness() -> None:
    """Its ends are what fabrics of those inputs do."""
    found = stretching(checks(0.05), [6.0])
    fabric, way = set_up(checks(0.05), "repeat"), found.across
    assert way.curve.first_taut is not None
    ends = (way.first_taut.low, way.first_taut.nominal, way.first_taut.high)
    assert ends == pytest.approx((0.05 - SLACK_DOUBT, 0.05, 0.05 + SLACK_DOUBT), abs=1e-6)
    stiffness = fabric.stiffness
    corners = []
    for shift in (-SLACK_DOUBT, 0.0, SLACK_DOUBT):
        for by in (0.5, 1.0, 2.0):
            scaled = {name: by * getattr(stiffness, name) for name in ("stretch_across", "stretch_up", "shear")}
            other = fabric.with_slack_shifted(shift).with_stiffness(replace(stiffness, **scaled).bent(by))
            corners.append(stretch_under(other, 6.0))
    at = way.at(6.0)
    assert (at.low, at.high) == pytest.approx((min(corners), max(corners)), abs=1e-6)
    assert at.nominal == pytest.approx(corners[4], abs=1e-7)
    lone = stretching(checks(0.05), [6.0], band=False)
    assert lone.across.others == ()
    assert lone.across.at(6.0).low == lone.across.at(6.0).high == pytest.approx(at.nominal)


def test_loads_that_there_are_none_of() -> None:
    found: Curve = curve(checks(0.05), "across", [2.0])
    for load in (2.1, -0.1, float("nan")):
        with pytest.raises(InputError, match="allowed: 0 to 2 N/m"):
            found.at(load)
    for load in (-1.0, float("inf")):
        with pytest.raises(InputError, match="loads of 0 and more"):
            curve(checks(0.05), "across", [load])
