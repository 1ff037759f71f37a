"""How tops lie, in words, of shapes that nobody solved."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from fabricsim.cli.words import crowns
from fabricsim.cli.words.crowns import said_of_shape, too_fast, top_figure, top_for_programs
from fabricsim.fabric.crown import CrownShape, Lies
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.giving import Ruffle
from tests.cli.made_up import rest_of, scene_of

TOP = CrownShape("smooth", loses=4.57, disc=4.68, radius=0.085, rises=0.03, dips=0.0, waves=0.004)
FAST = Ruffle(1, 3, 8.0, 4.68, fewer=True)
TAIL = "4.6 stitches go in a round on the average, a flat disc takes 4.7"


@pytest.fixture
def rest() -> Equilibrium:
    return rest_of(scene_of(item="hat"), "round")


@pytest.mark.parametrize(
    ("lies", "rises", "said"),
    [
        ("smooth", 0.03, "closes nearly flat, 3.0 cm high, without a ruffle"),
        ("smooth", 0.05, "closes round, 5.0 cm high, without a ruffle"),
        ("smooth", 0.11, "closes to a point, 11.0 cm high, without a ruffle"),
        ("ruffled", 0.03, "ruffles, by 4.2 cm from peak to valley"),
        ("dished", -0.01, "dishes: its middle lies 1.4 cm lower than the round about it"),
    ],
)
def test_how_a_crown_lies(
    lies: Lies, rises: float, said: str, rest: Equilibrium, monkeypatch: pytest.MonkeyPatch
) -> None:
    top = replace(TOP, lies=lies, rises=rises, dips=0.014, waves=0.042)
    monkeypatch.setattr(crowns, "crown_shape", lambda _: top)
    monkeypatch.setattr(crowns, "closed_as", lambda _: "hat")
    assert top_figure(rest) == ("Crown", f"{said}; {TAIL}")
    assert said_of_shape(rest) == [f"Its crown {said}; {TAIL}."]
    monkeypatch.setattr(crowns, "closed_as", lambda _: "mitten")
    assert said_of_shape(rest) == [f"Its tip {said}; {TAIL}."]


def test_nothing_is_said_of_what_is_open(rest: Equilibrium, monkeypatch: pytest.MonkeyPatch) -> None:
    assert top_figure(rest) is None
    assert said_of_shape(rest) == []
    monkeypatch.setattr(crowns, "ruffle", lambda _: FAST)
    assert said_of_shape(rest) == [too_fast(rest.scene, rest.mesh, FAST)]


def test_stitches_that_go_too_fast_are_told_with_what_they_make_of_it(rest: Equilibrium) -> None:
    scene, mesh = rest.scene, rest.mesh
    for lies, made in (
        ("ruffled", "it ruffles there"),
        ("dished", "it turns in there, as a dish does"),
        ("smooth", "there is no room for all of them, so they lie pressed together there"),
    ):
        assert too_fast(scene, mesh, FAST, replace(TOP, lies=lies)) == (  # type: ignore[arg-type]
            "From round 2 to round 4 stitches go by up to 8.0 a round, where a flat disc takes 4.7 at this gauge: "
            f"{made}. With 4 a round on the average it lies flat, with fewer it makes a cone."
        )
    assert "stitches come by up to 8.0 a round" in too_fast(scene, mesh, replace(FAST, fewer=False))
    assert ": it ruffles there." in too_fast(scene, mesh, FAST)


def test_all_of_it_to_programs() -> None:
    told = json.loads(json.dumps(top_for_programs(replace(TOP, loses=7.02, dips=0.01))))
    assert told.pop("angle_defect_degrees") == pytest.approx(-180.0)
    assert told == pytest.approx(
        {"lies": "smooth", "stitches_go_in_a_round": 7.02, "a_flat_disc_takes": 4.68, "rises_cm": 3.0, "dips_cm": 1.0,
         "waves_cm": 0.4}
    )  # fmt: skip
