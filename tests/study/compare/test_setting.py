"""From a scene and a setting to the scene as it would be with it, and what no scene can be asked."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

import fabricsim
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.scene.shaping import Shaping
from fabricsim.errors import InputError
from fabricsim.fabric.whole import set_up_whole
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study, checked
from tests.support.little import little


def scene(item: str = "", **more: Any) -> Scene:
    return Scene.model_validate(tomllib.loads(f'item = "{item}"\n' * bool(item) + little(**more)))


def study(given: dict[str, object], *scenes: Scene) -> Study:
    many = scenes or (scene(),)
    files = {"scenes": [f"{n}.toml" for n in range(len(many))]} if len(many) > 1 else {}
    return Study(grid_of({**given, **files}), many, fabricsim.__version__)


def refused(asked: Study) -> str:
    with pytest.raises(InputError) as why:
        checked(asked, [scene_hash(one) for one in asked.scenes])
    return str(why.value)


def test_case_and_turning_are_those_asked_for_or_the_scenes_and_only_tubes_are_turned() -> None:
    turned = scene(case="round")
    turned = turned.model_copy(update={"simulation": turned.simulation.model_copy(update={"inside_out": True})})
    flat = scene(case="swatch", worked="flat")
    for one, given, case, inside_out in (
        (turned, {}, "round", True),
        (turned, {"inside_out": [False]}, "round", False),
        (turned, {"case": ["repeat"]}, "repeat", False),
        (flat, {}, "swatch", False),
        (flat, {"inside_out": [True]}, "swatch", False),
        (scene(case="round"), {"inside_out": [True]}, "round", True),
        (scene(), {"case": ["round"], "inside_out": [True]}, "round", True),
    ):
        asked = study(given, one)
        setting = asked.grid.setting(0)
        assert (asked.case_of(setting), asked.inside_out(setting)) == (case, inside_out)


def test_what_shapes_its_piece_is_seen_whole_unless_a_case_is_named() -> None:
    shaping = Shaping.model_validate({"spread": [{"row": 3, "every": 6}]})
    shaped = scene(across=4).model_copy(update={"shaping": shaping})
    for given, other, whole, case, stitches in (
        ({}, shaped, True, "round", len(set_up_whole(shaped).fabric.mesh.rest_nc)),
        ({"case": ["round"]}, shaped, False, "round", 5 * 24),
        ({}, scene(across=4, case="round"), False, "round", 5 * 24),
    ):
        asked = study(given, other)  # type: ignore[arg-type]
        setting = asked.grid.setting(0)
        assert (asked.is_whole(setting), asked.case_of(setting)) == (whole, case)
        assert asked.stitches(setting) == stitches


def test_each_setting_is_of_its_own_scene() -> None:
    """Of a repeat the chart is brought to rest, else the whole piece."""
    asked = study({"case": ["repeat", "round"], "gauge": [2.0]}, scene(across=2), scene(rows=("b...",) * 3, across=5))
    settings = [asked.grid.setting(number) for number in range(4)]
    assert [(one.scene, one.case) for one in settings] == [(0, "repeat"), (0, "round"), (1, "repeat"), (1, "round")]
    assert [asked.stitches(one) for one in settings] == [5 * 6, 5 * 12, 3 * 4, 3 * 20]
    assert asked.scene_of(settings[3]).piece_rows() == asked.scenes[1].piece_rows()
    assert asked.gauge_of(settings[0]).stitches == 38.0
    assert asked.gauge_of(settings[0]).rows == 51.0
    assert study({}).gauge_of(study({}).grid.setting(0)) == scene().gauge


def test_slacks_are_told_whoever_says_them() -> None:
    own = scene(floats="slack = 0.03\nslack_by_yarn = { b = -0.02 }")
    for given, slacks in (
        ({}, (0.03, -0.02)),
        ({"slack": [0.1]}, (0.1, 0.1)),
        ({"slack_by_yarn": {".": [0.2]}}, (0.2, -0.02)),
        ({"slack": [0.0], "slack_by_yarn": {".": [0.2]}}, (0.2, 0.0)),
    ):
        asked = study(given, own)
        assert asked.slack_of_yarns(asked.grid.setting(0)) == slacks
        assert asked.scene_of(asked.grid.setting(0)).slack_of_yarns == slacks


CAUGHT = "slack = 0.0\nlongest_gap = 3\ncatches = [{ row = 1, stitch = 4 }]"


def test_catches_are_the_scenes_none_or_planned_and_listed() -> None:
    own = scene(rows=("b.........",), floats=CAUGHT)
    asked = study({"catches": ["scene", "none", "planned"]}, own)
    as_it_is, none, planned = (asked.scene_of(asked.grid.setting(number)) for number in range(3))
    assert as_it_is == own
    assert none.floats == own.floats.model_copy(update={"catches": ()})
    # whoever gets it need not plan again: they are listed, none of them the scene's own
    assert planned.floats.catches
    assert not planned.floats.plan_catches
    fresh = scene(rows=("b.........",), floats='slack = 0.0\nlongest_gap = 3\ncatches = "planned"')
    left = study({}, fresh)
    assert left.scene_of(left.grid.setting(0)).floats.catches == planned.floats.catches


def test_a_gap_stands_in_place_of_both_limits() -> None:
    both = scene(floats="slack = 0.0\nlongest_gap = 2\nlongest_cm = 0.6")
    asked = study({"longest_gap": [0, 4]}, both)
    none, four = (asked.scene_of(asked.grid.setting(number)) for number in range(2))
    assert (four.floats.longest_gap, four.floats.longest_cm) == (4, None)
    assert (none.floats.longest_gap, none.floats.longest_cm) == (0, None)
    kept = study({"slack": [0.1]}, both)
    assert kept.scene_of(kept.grid.setting(0)).limits == both.limits


def test_where_no_float_may_stay_open_a_gap_is_written_in_cm_too() -> None:
    """Things for babies stay without open floats unless both limits are written."""
    baby = scene("baby mittens", floats="slack = 0.0")
    assert baby.limits.none_open
    asked = study({"longest_gap": [0, 4], "gauge": [2.0]}, baby)
    none, four = (asked.scene_of(asked.grid.setting(number)) for number in range(2))
    assert none.limits.none_open
    assert (none.floats.longest_gap, none.floats.longest_cm) == (0, None)
    assert not four.limits.none_open
    assert four.floats.longest_gap == 4
    # four stitches of the gauge asked for, and a hair more so that four pass
    assert four.floats.longest_cm == pytest.approx(4 * 10.0 / 38.0, rel=2e-6)
    assert four.floats.longest_cm is not None
    assert four.floats.longest_cm > 4 * 10.0 / 38.0


def test_what_no_scene_can_be_asked_is_one_line() -> None:
    assert refused(study({}, scene(), scene())) == (
        "SCENE: given 'Little check' twice; allowed: every scene once; leave one out"
    )
    assert refused(study({"inside_out": [True]})) == (
        "--inside-out: given with the case 'repeat'; allowed: with the case 'round' only; add --case round"
    )
    assert "given with the case 'repeat and swatch';" in refused(
        study({"inside_out": [False, True], "case": ["swatch", "repeat", "round"]})
    )
    assert refused(study({"slack_by_yarn": {"q": [0.0]}})) == (
        "--slack-of: given 'q', which is no yarn of 'Little check'; allowed: the symbol of a yarn (., b); name a yarn"
    )
    for gauge, made in ((10.0, "190 stitches and 255 rows"), ("300x20", "300 stitches and 20 rows")):
        line = refused(study({"gauge": [gauge]}))
        assert line.startswith(f"--gauge: given '{gauge}', with which 'Little check' has {made} to 10 cm; allowed: at")


def test_what_can_be_asked_is_asked() -> None:
    other = scene(title="Another")
    for given in (
        {"inside_out": [False]},
        {"inside_out": [True], "case": ["round"]},
        {"slack_by_yarn": {"b": [0.0]}, "gauge": [2.0, "10x12.5"]},
    ):
        asked = study(given, scene(), other)
        assert checked(asked, [scene_hash(one) for one in asked.scenes]) is asked
    tubes = study({"inside_out": [True]}, scene(case="round"))
    assert checked(tubes, ["any"]) is tubes
