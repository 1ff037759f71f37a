"""What a scene holds, and that it holds together."""

from __future__ import annotations

from math import pi
from typing import Any

import pytest
from pydantic import ValidationError

from fabricsim.design.catches.plan import held_in_piece
from fabricsim.design.scene.items import Limits
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.scene.yarn import Gauge, Yarn
from fabricsim.errors import InputError
from tests.design.scenes import YARNS, scene, scene_table


def test_row_one_is_the_last_line_and_column_zero_the_left() -> None:
    assert scene(rows=["A..", ".AA"]).chart_grid().tolist() == [[0, 1, 1], [1, 0, 0]]


def test_the_piece_repeats_the_chart_between_plain_rows() -> None:
    made = scene(rows=["A.", ".A"], across=2, up=2, plain_below=1, plain_above=2, plain_yarn="A")
    plain, odd, even = [1] * 4, [0, 1] * 2, [1, 0] * 2
    assert made.piece_grid().tolist() == [plain, odd, even, odd, even, plain, plain]
    assert scene(rows=["A"], plain_below=1).piece_grid().tolist() == [[0], [1]]


def test_yarn_and_gauge_in_si_units() -> None:
    by_ball = Yarn(symbol="A", name="pine", colour="#0a14FF", metres_per_100_g=200)
    assert (by_ball.tex_value, by_ball.rgb) == (500.0, (10, 20, 255))
    assert by_ball.tex_value == pytest.approx(500.0, rel=1e-15)
    by_tex = Yarn(symbol="A", name="pine", colour="#000000", tex=240)
    assert by_tex.tex_value == 240.0
    gauge = Gauge(stitches=20, rows=25)
    assert (gauge.stitch_width, gauge.row_height) == pytest.approx((0.005, 0.004), rel=1e-15)


def test_the_default_slack_and_limits_are_those_of_the_trade() -> None:
    made = scene(rows=["A."])
    rules = made.floats
    assert (rules.slack, rules.catches) == (0.0, ())
    assert (rules.unevenness, rules.short_mm, rules.laid) == (None, None, "flat")
    assert made.limits == Limits(5, 2.5)
    assert made.slack_of_yarns == (0.0, 0.0)
    assert (made.simulation.case, made.simulation.stitch_limit) == (None, 40_000)


@pytest.mark.parametrize(
    ("item", "rules", "limits"),
    [
        # from memory, the stricter end of each range
        ("hat", {}, Limits(5, 2.5)),
        ("socks", {}, Limits(5, 1.5)),
        ("baby body", {}, Limits(5, 1.0)),
        ("baby mittens", {}, Limits(0, 0.0)),
        ("baby socks", {"longest_cm": 1.0}, Limits(0, 1.0)),
        ("baby socks", {"longest_gap": 5, "longest_cm": 1.0}, Limits(5, 1.0)),
        ("hat", {"longest_gap": 7, "longest_cm": 3.0}, Limits(7, 3.0)),
        ("hat", {"longest_gap": 7}, Limits(7, None)),
        ("socks", {"longest_cm": 3.0}, Limits(None, 3.0)),
    ],
)
def test_the_item_sets_the_limits_unless_they_are_written(item: str, rules: dict[str, Any], limits: Limits) -> None:
    made = scene_table(["A."], floats=rules)
    assert Scene.model_validate({**made, "item": item}).limits == limits


@pytest.mark.parametrize(
    ("stitches", "item", "limits", "most"),
    [
        (19, None, Limits(5, 2.5), 4),
        (20, None, Limits(5, 2.5), 5),
        (22, None, Limits(None, 2.5), 5),
        (30, None, Limits(None, 2.5), 7),
        (30, "socks", Limits(None, 1.5), 4),
        (30, "baby mittens", Limits(0, 0.0), 0),
    ],
)
def test_at_fine_gauges_the_usual_limit_is_in_cm_alone(
    stitches: int, item: str | None, limits: Limits, most: int
) -> None:
    """Fingering 7 stitches, DK 5, worsted 4 behind 2.5 cm: common practice."""
    made = {**scene_table(["A."]), "item": item, "gauge": {"stitches": stitches, "rows": 30}}
    read = Scene.model_validate(made)
    assert read.limits == limits
    assert read.limits.most(read.gauge.stitch_width) == most


def test_a_scene_cannot_be_changed_but_copied_with_another_slack_or_chart() -> None:
    made = scene(rows=["A."], floats={"slack_by_yarn": {"A": 0.5}})
    with pytest.raises(ValidationError):
        made.title = "other"  # type: ignore[misc]
    with pytest.raises(ValueError, match="read-only"):
        made.chart_grid()[0, 0] = 0
    assert made.slack_of_yarns == (0.0, 0.5)
    turned = made.model_copy(update={"chart": made.chart.model_copy(update={"rows": (".A",)})})
    assert turned.chart_grid().tolist() == [[0, 1]]
    assert made.chart_grid().tolist() == [[1, 0]]


def test_scenes_are_equal_if_they_say_the_same() -> None:
    assert scene(rows=["A."]) == scene(rows=["A."])
    assert scene(rows=["A."]) != scene(rows=[".A"])
    assert scene(rows=["A."]) != "A."
    written = scene(rows=["A."], floats={"slack": 0.0})
    assert written != scene(rows=["A."])  # a slack that nobody wrote may be anybody's
    assert scene_hash(written) != scene_hash(scene(rows=["A."]))


def test_the_catches_word_none_means_no_catches() -> None:
    assert scene(rows=["A."], floats={"catches": "none"}).floats.catches == ()
    caught = scene(rows=["A..", "..."], floats={"catches": [{"row": 2, "stitch": 1}]})
    assert set(held_in_piece(caught)) == {(1, 2)}


@pytest.mark.parametrize(
    ("floats", "told"),
    [
        ({"catches": [{"row": 1, "stitch": 1}]}, "in a row of one colour"),
        ({"catches": [{"row": 3, "stitch": 1}]}, "rows 1 to 2 and stitches 1 to 3"),
        ({"catches": [{"row": 2, "stitch": 4}]}, "rows 1 to 2 and stitches 1 to 3"),
        ({"slack_by_yarn": {"B": 0.0}}, "the symbol of a yarn"),
    ],
)
def test_what_names_nothing_is_refused(floats: object, told: str) -> None:
    with pytest.raises(InputError, match=told):
        scene(rows=["A..", "..."], floats=floats)


def test_every_case_may_be_asked_of_every_piece() -> None:
    for case in ("repeat", "swatch", "round"):
        for worked in ("flat", "round"):
            table = scene_table(rows=["A."], worked=worked) | {"simulation": {"case": case}}
            assert Scene.model_validate(table).case == case


@pytest.mark.parametrize(("worked", "case"), [("flat", "swatch"), ("round", "round")])
def test_unless_it_says_otherwise_it_is_seen_as_it_is_worked(worked: str, case: str) -> None:
    """Also where it says something else of how it is brought to rest."""
    table = scene_table(rows=["A."], worked=worked)
    assert Scene.model_validate(table).case == case
    assert Scene.model_validate(table | {"simulation": {"stitch_limit": 99}}).case == case


@pytest.mark.parametrize("on", ["head", "hand", "arm", "leg", "board"])
def test_what_is_worked_flat_is_sewn_up_for_what_is_round(on: str) -> None:
    table = scene_table(rows=["A."], worked="flat")
    sewn = on != "board"
    assert Scene.model_validate(table | {"on": on}).case == ("round" if sewn else "swatch")
    flat = table | {"on": on, "simulation": {"case": "swatch"}}
    assert Scene.model_validate(flat).case == "swatch"  # as it says itself
    if on in ("head", "hand", "board"):
        washed = {"stitches": table["gauge"]["stitches"], "rows": table["gauge"]["rows"], "pinned_cm": 50, "over": on}
        over = Scene.model_validate(table | {"gauge": {**table["gauge"], "washed": washed}})
        assert (over.sewn_up, over.case) == (sewn, "round" if sewn else "swatch")
    assert not Scene.model_validate(table | {"worked": "round", "on": on}).sewn_up


def test_plain_yarn_must_be_a_yarn() -> None:
    with pytest.raises(InputError, match=r"chart\.plain_yarn: given 'B'"):
        scene(rows=["A."], plain_yarn="B")


def test_one_symbol_stands_for_one_yarn() -> None:
    twin = dict(YARNS[1]) | {"symbol": "."}
    with pytest.raises(InputError, match="'oat' and 'pine'"):
        scene(rows=["."], yarns=[YARNS[0], twin])


def test_a_catch_of_one_repeat_is_one_beside_the_join_of_rounds() -> None:
    rules = {"catches": [{"row": 1, "stitch": 1, "repeat": "first"}]}
    assert scene(["A.."], floats=rules).floats.catches[0].repeat == "first"
    with pytest.raises(InputError, match="repeat 'first', worked flat; allowed: a repeat only in the round"):
        scene(["A.."], worked="flat", floats=rules)


def test_fabric_is_no_thicker_than_two_stitches_are_wide() -> None:
    """At 20 stitches to 10 cm they are 5 mm wide."""
    table = scene_table(["A."])
    table["gauge"] = {"stitches": 20, "rows": 27}
    assert Scene.model_validate({**table, "fabric": {"thickness_mm": 10.0}}).fabric.thickness_mm == 10.0
    with pytest.raises(InputError) as refused:
        Scene.model_validate({**table, "fabric": {"thickness_mm": 10.1}})
    assert str(refused.value) == (
        "fabric.thickness_mm: given 10.1 mm, with stitches 5.0 mm wide; allowed: at most 2 times the width of a "
        "stitch; measure how thick one layer is; stockinette is about half as thick as its stitches are wide"
    )


@pytest.mark.parametrize(
    ("key", "most", "size"),
    [
        ("edge_curl_across_per_m", 0.5 * pi / 0.02, "stitches 20.0 mm wide"),
        ("edge_curl_up_per_m", 0.5 * pi / 0.016, "rows 16.0 mm high"),
    ],
)
@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_fabric_curls_by_a_quarter_of_a_turn_a_stitch_at_most(key: str, most: float, size: str, sign: float) -> None:
    """At 5 stitches and 6.25 rows to 10 cm they are 20 mm wide and 16 mm high."""
    table = scene_table(["A."]) | {"gauge": {"stitches": 5, "rows": 6.25}}
    Scene.model_validate({**table, "fabric": {key: sign * 0.999 * most}})
    with pytest.raises(InputError) as refused:
        Scene.model_validate({**table, "fabric": {key: sign * 1.001 * most}})
    assert str(refused.value) == (
        f"fabric.{key}: given {sign * 1.001 * most:g}, with {size}; allowed: -{most:.3g} to {most:.3g}, a quarter of a "
        "turn from one to the next; measure how wide a roll the edge makes: the curl is 2 over its width in metres"
    )


@pytest.mark.parametrize(("stitches", "rows"), [(6.27017, 3.0 * 6.27017), (7.3, 0.6 * 7.3)])
def test_a_gauge_at_the_end_of_what_may_be_is_not_refused_for_round_off(stitches: float, rows: float) -> None:
    assert Gauge(stitches=stitches, rows=rows).rows == rows
    with pytest.raises(ValidationError):
        Gauge(stitches=stitches, rows=rows * (1.001 if rows > stitches else 0.999))


def test_a_chart_is_read_once_and_anew_where_the_yarns_are_others() -> None:
    read = scene(["A..A"])
    assert read.chart_rows() is read.chart_rows()
    swapped = read.model_copy(update={"yarns": read.yarns[::-1]})
    assert [list(row) for row in swapped.chart_rows()] == [[1 - yarn for yarn in row] for row in read.chart_rows()]
