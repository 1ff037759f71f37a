"""Every scene that comes with the project comes to rest, and what it says of itself is true."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import fabricsim
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import TOLERANCE, come_to_rest
from fabricsim.fabric.whole import set_up_seen
from fabricsim.units import MM

SCENES = sorted((Path(__file__).parent.parent / "scenes").glob("*.toml"))

EVERY_WAY = 500
"""Stitches up to which a scene is let go in every way there is (chosen: two seconds for all of those)."""


def _at_rest(scene: Scene) -> Equilibrium:
    """Return a scene at rest, in the case that it is expected in.

    Larger ones are let go at once only, which takes a third of the time and less: none of them rests lower from loose
    to tight, or in waves of several repeats. Which way in is the lowest is held in ``tests/study/forecast``.
    """
    assert scene.expect is not None, "a scene must say what to expect"
    fabric = set_up_seen(scene, scene.expect.case)
    if len(fabric.mesh.rest_nc) <= EVERY_WAY:
        return fabricsim.relax(scene, scene.expect.case)
    return come_to_rest(fabric)


def _check(scene: Scene, rest: Equilibrium) -> None:
    expect = scene.expect
    assert expect is not None
    assert rest.effort.status.at_rest
    assert rest.effort.residual <= TOLERANCE
    assert np.isfinite(rest.x_nc).all()
    measured = fabricsim.measure(rest)
    assert expect.draw_in_percent is not None
    assert expect.pucker_mm is not None
    low, high = expect.draw_in_percent
    assert low <= 100.0 * measured.widths.overall <= high
    low, high = expect.pucker_mm
    assert low <= measured.pucker.peak_to_valley / MM <= high


def _the_wide_motif_puckers_and_the_small_one_lies_flat(rest: Equilibrium) -> None:
    """Rows of seeds lie within 1 mm, those of the lozenge rise at least four times as far."""
    height_n, row_n = fabricsim.measure(rest).pucker.height_n, rest.mesh.row_n
    rise_i = np.array([np.ptp(height_n[row_n == row]) for row in range(rest.mesh.rows)])
    seeds, lozenge = rise_i[6:18], rise_i[32:44]
    assert seeds.max() < 1 * MM
    assert lozenge.min() > 4.0 * seeds.max()


CLAIMS = {"wide_above_small": _the_wide_motif_puckers_and_the_small_one_lies_flat}
"""What scenes say of themselves beside their numbers, in the case that they are expected in."""


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_a_scene_measures_what_it_says(path: Path) -> None:
    scene = fabricsim.read_scene(path)
    rest = _at_rest(scene)
    _check(scene, rest)
    if path.stem in CLAIMS:
        CLAIMS[path.stem](rest)


def test_the_built_in_scene_measures_what_it_says() -> None:
    scene = fabricsim.demo_scene()
    _check(scene, _at_rest(scene))


def test_there_are_enough_scenes_and_each_opens_with_what_to_expect() -> None:
    assert len(SCENES) >= 6
    assert set(CLAIMS) <= {path.stem for path in SCENES}
    for path in SCENES:
        opening = path.read_text().split("title =")[0]
        assert opening.startswith("#")
        assert "What to expect" in opening, path


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_plain_fabric_does_nothing_at_all(case: Case) -> None:
    """Not small: nothing. The start is the answer, so every measure is zero to the last bit."""
    scene = fabricsim.read_scene(next(path for path in SCENES if path.stem == "plain_control"))
    rest = fabricsim.relax(scene, case)
    measured = fabricsim.measure(rest)
    assert rest.effort.steps == 0
    assert measured.widths.overall == 0.0
    assert not measured.widths.loss_i.any()
    assert measured.height_change == 0.0
    assert measured.pucker.peak_to_valley == 0.0
    assert measured.pull.taut == 0
