"""A fixed part of the campaign of whole pieces on forms."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.design.scene.read import read_scene
from fabricsim.fabric.form.wearing import wear
from fabricsim.fabric.relax import TOLERANCE, come_to_rest
from fabricsim.fabric.whole import set_up_whole
from fabricsim.study.worn.putting_on import way_over
from tests.campaign.worn import WornOutcome, tell, worn_outcome

SCENES = Path(__file__).parents[2] / "scenes"


# A mitten (9), a hat (3), a cowl on a cone (36); hats whose crowns ruffle off the head,
# so deeply that a dent would hold them up (17) or that laid with their dents they went through themselves (29); one
# that rests with its first stitch a centimetre round from where it is laid (11). Factorisations are those of today
# and one or two more.
@pytest.mark.parametrize(
    ("seed", "form", "factorisations"),
    [
        (9, "a hand", 18),
        (3, "a head", 14),
        (36, "an arm", 16),
        (17, "a head", 31),
        (29, "a head", 19),
        (11, "a head", 16),
    ],
)
def test_random_pieces_come_to_rest_on_their_forms(seed: int, form: str, factorisations: int) -> None:
    found = worn_outcome(seed)
    assert (found.told, found.said, found.raised) == ("", "", "")
    assert found.form == form
    assert found.residual <= TOLERANCE
    assert found.crossing == 0
    # No stitch and no middle of a cell inside; sunk in by a hundredth of a thickness or two, as ``FORM_RATIO`` has it.
    assert found.inside < 0.0
    assert 0.0 < found.sunk < 0.015
    assert found.factorisations <= factorisations


# On the head its rib is stretched by two fifths: laid as plain fabric would lie, the rim buckled and took 36 (23 x 32).
@pytest.mark.parametrize(("stitches", "rows"), [(15.0, 20.0), (23.0, 32.0)])
def test_the_whole_hat_takes_few_factorisations_on_a_head_at_other_gauges(stitches: float, rows: float) -> None:
    scene = read_scene(SCENES / "whole_hat.toml")
    across = round(scene.chart.across * stitches / scene.gauge.stitches)
    scene = scene.model_copy(
        update={
            "gauge": scene.gauge.model_copy(update={"stitches": stitches, "rows": rows}),
            "chart": scene.chart.model_copy(update={"across": across}),
        }
    )
    fabric = set_up_whole(scene).fabric
    off = come_to_rest(fabric)
    place, _ = way_over(off, "head")
    worn = wear(fabric, off, place.form, place.at, None)
    assert worn is not None
    assert worn.on.equilibrium.effort.factorisations <= 12


def test_what_ends_badly_is_counted(capsys: pytest.CaptureFixture[str]) -> None:
    well = WornOutcome(0, "a head", factorisations=9, inside=-1.2, sunk=0.01)
    assert tell([well, WornOutcome(1, told="only a tube is put on")]) == 0
    assert "1 at rest on their forms, 1 told that they can't be, 0 at no rest" in capsys.readouterr().out
    badly = [
        WornOutcome(2, said="no equilibrium found"),
        WornOutcome(3, raised="ValueError: no"),
        WornOutcome(4, crossing=2, inside=-1.0, factorisations=21),
        WornOutcome(5, inside=0.3, factorisations=30),
    ]
    assert tell([well, *badly]) == 4
    out = capsys.readouterr().out
    assert "3 at rest on their forms, 0 told that they can't be, 2 at no rest" in out
    assert "through themselves: 1; through their form: 1" in out
    assert "nearest to its form: -0.30 mm off it; deepest pressed in: 0.01 thicknesses" in out
    assert "all 30; 2 more than 20" in out
