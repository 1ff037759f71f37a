"""A hat that is too deep, and what is said to be enough: every choice tried, and the hat made anew with it."""

from __future__ import annotations

from itertools import combinations

import pytest

from fabricsim.cli.words.measures import enough_said
from fabricsim.design.piece.depth import LEAST_RIB, TOLERANCE, WHOLE, WaysOut, enough_of, verdict, ways_out
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.design.sizes.every_size import without_forecast
from fabricsim.units import CM


@pytest.mark.parametrize("off", [1.6, 3.0, 4.4, 5.9, 7.5, 9.0, 12.0, 17.0, 30.0])
@pytest.mark.parametrize(("plain", "rib"), [(4.3, 1.9), (0.0, 0.4), (0.0, 0.0)])
def test_the_fewest_ways_that_do_and_none_that_makes_it_too_short(off: float, plain: float, rib: float) -> None:
    ways = WaysOut(plain=plain * CM, rib=rib * CM, up=5.5 * CM, crown=4.7 * CM, rounds=0)
    found = enough_of(ways, off * CM)

    def does(some: tuple[str, ...]) -> bool:
        """Try every share of what can be given in part."""
        whole = sum(ways.parts[part] for part in some if part in WHOLE)  # type: ignore[index]
        partly = sum(ways.parts[part] for part in some if part not in WHOLE)  # type: ignore[index]
        return any(abs(off * CM - whole - partly * share / 200.0) <= TOLERANCE for share in range(201))

    fewest = next((many for many in range(1, 5) if any(does(some) for some in combinations(ways.parts, many))), None)
    assert (found is None) == (fewest is None)
    if found is not None:
        assert does(found)
        assert len(found) == fewest


def test_the_harbour_hat_made_anew_with_what_is_enough_is_as_deep_as_hats_are() -> None:
    scene = read_scene("scenes/hat_band.toml")
    chart = scene.chart
    for number, one in enumerate(without_forecast(scene).sizes):
        piece = piece_of(scene, one)
        assert piece.usual_depth is not None
        said = enough_said(piece)
        assert said.endswith(" will do")
        table = scene.model_dump(exclude={"expect"}, exclude_unset=True)
        if "plain rounds" in said:
            table["chart"] |= {"plain_below": 0, "plain_above": 0}  # the hat fills up by itself
        if "chart once less" in said:
            table["chart"] |= {"up": chart.up - 1}
        if "lower rib" in said:
            table["sizes"] |= {"rib_cm": LEAST_RIB / CM}
        if "quicker crown" in said:
            table["sizes"] |= {"crown_every": 1}
        again = piece_of(Scene.model_validate(table), without_forecast(Scene.model_validate(table)).sizes[number])
        assert again.usual_depth is not None
        assert verdict(again.height(), again.usual_depth) == "as usual"
        assert enough_said(again) == ""


def test_the_whole_hat_is_as_deep_as_is_usual_in_every_size() -> None:
    scene = read_scene("scenes/whole_hat.toml")
    for one in without_forecast(scene).sizes:
        piece = piece_of(scene, one)
        assert piece.usual_depth is not None
        assert verdict(piece.height(), piece.usual_depth) == "as usual"
        assert not one.unusual


@pytest.mark.parametrize("name", ["hat_band", "whole_hat"])
def test_what_each_way_gives_is_what_a_hat_made_anew_without_it_is_shallower_by(name: str) -> None:
    scene = read_scene(f"scenes/{name}.toml")
    chart, row = scene.chart, scene.gauge.row_height
    table = scene.model_dump(exclude={"expect"}, exclude_unset=True)
    table["sizes"] = {**table["sizes"], "crown_every": 1}
    quick = Scene.model_validate(table)
    pieces = [piece_of(scene, one) for one in without_forecast(scene).sizes]
    quicker = [piece_of(quick, one) for one in without_forecast(quick).sizes]
    assert pieces
    for piece, other in zip(pieces, quicker, strict=True):
        ways = ways_out(piece)
        assert ways.plain == pytest.approx((chart.plain_below + chart.plain_above) * row + piece.height("plain"))
        assert ways.rib == pytest.approx(max(0.0, piece.height("rib") - LEAST_RIB))
        assert ways.up == pytest.approx(len(scene.chart_rows()) * row if chart.up > 1 else 0.0)
        assert ways.crown == pytest.approx(piece.height("crown") - other.height("crown"))
        assert piece.usual_depth is not None
        missing = (piece.usual_depth - piece.height()) / row
        assert ways.rounds == (round(missing) if missing > 0.0 else 0)
    assert any(ways_out(piece).crown > 0.0 for piece in pieces)
