"""What stands in a report, from results that nobody solved."""

from __future__ import annotations

from fabricsim.cli.commands.report.words import worksheet
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.render.handouts.report import Fields
from tests.cli.made_up import forecast_of, measures_of, rest_of, scene_of


def test_what_is_left_over_is_what_is_left_of_the_balls() -> None:
    scene = scene_of(0.0)
    rest, amounts = rest_of(scene), yarn_amounts(scene)
    (fields,) = (
        one for one in worksheet(scene, forecast_of(rest, measures_of(rest)), amounts) if isinstance(one, Fields)
    )
    lines = {what: forecast for what, forecast, _ in fields.lines}
    for one in amounts.yarns:
        yarn = scene.yarns[one.yarn]
        grams = one.balls * yarn.ball_grams - 1000.0 * one.mass
        assert lines[f"left over of {yarn.name}"] == f"{grams:.0f} g of {one.balls} ball{'s' if one.balls > 1 else ''}"
