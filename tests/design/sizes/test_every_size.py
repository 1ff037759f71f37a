"""Counts, widths and fit of every size, without any forecast."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from fabricsim.design.counted.yarn_weights import YARN_WEIGHTS, mismatches
from fabricsim.design.scene.bodies import usual_bodies
from fabricsim.design.scene.items import KINDS
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.design.scene.sizing import Sizing
from fabricsim.design.sizes.counts import Chart, other_gauges, repeats_for, rib_for, spacers_for
from fabricsim.design.sizes.every_size import Lost, Sizes, as_measured, repeats_of, settled, size_of, without_forecast
from fabricsim.design.sizes.fits import FITS, stretch_to_put_on
from fabricsim.design.sizes.going_on import TightPlace, colourwork, needed_stretch, rib, spare_in_floats, weakest
from fabricsim.design.sizes.plan import plan_of
from fabricsim.design.sizes.spread import can_spread
from fabricsim.errors import InputError
from fabricsim.units import CM
from tests.support.scenes import scene_of

FIFTEEN = ["#.." * 5, "..#" * 5]


def scene(rows: list[str] = FIFTEEN, *, item: str = "hat", slack: float = 0.05, **more: Any) -> Scene:
    return scene_of(rows, slack, item=item, **more)


def names(found: Sizes) -> list[str]:
    return [one.body.name for one in found.sizes]


# ---- counts ----


def test_the_step_between_sizes() -> None:
    """Derived: repeat / gauge: 12 stitches at 24 to 10 cm make 5 cm."""
    chart = Chart(12, 0.1 / 24)
    assert chart.finished(1, 0.0) == pytest.approx(5 * CM)
    assert chart.finished(1, 0.08) == pytest.approx(4.6 * CM)


def test_tighter_gauge_makes_a_narrower_hat() -> None:
    """Derived: 22 against 24 stitches to 10 cm is 8 % narrower, 4 cm on a hat of 50 cm."""
    chart = Chart(11, 0.1 / 22)
    assert chart.finished(10, 0.0) == pytest.approx(50 * CM)
    assert chart.finished(10, 1 - 22 / 24) == pytest.approx((50 - 4.2) * CM, abs=0.05 * CM)


@given(st.integers(1, 60), st.floats(5, 60), st.floats(0, 0.3), st.floats(0.05, 1.5))
def test_the_nearest_repeats_are_chosen(repeat: int, gauge: float, lost: float, wanted: float) -> None:
    chart = Chart(repeat, 0.1 / gauge)
    chosen = repeats_for(chart, wanted, lost)
    off = {n: abs(chart.finished(n, lost) - wanted) for n in range(1, 2 + int(wanted / chart.finished(1, lost)) + 1)}
    if chosen is None:
        assert min(off.values()) > 0.25 * wanted
    else:
        assert off[chosen] == pytest.approx(min(off.values()))


@given(st.integers(1, 400), st.integers(1, 6), st.integers(1, 6), st.floats(0, 0.5), st.booleans())
def test_ribs_are_multiples_from_which_one_round_leads(
    n: int, knits: int, purls: int, fewer: float, flat: bool
) -> None:
    ribbed = rib_for(n, (knits, purls), fewer, flat=flat)
    if ribbed is None:
        assert n < 2 * (2 * (knits + purls) + knits)
        return
    assert (ribbed - (knits if flat else 0)) % (knits + purls) == 0
    assert can_spread(ribbed, n)


def test_rib_of_76_leads_to_75() -> None:
    """Common practice: 76 is a multiple of 4, 75 of 15."""
    assert rib_for(75, (2, 2), 0.0, flat=False) == 76
    assert rib_for(75, (1, 1), 0.0, flat=False) in (74, 76)
    assert rib_for(112, (2, 2), 0.107, flat=False) == 100


def test_another_gauge_makes_the_count_fit() -> None:
    chart, wanted, lost = Chart(12, 0.1 / 19), 0.528, 0.02
    for one in other_gauges(chart, wanted, lost):
        assert Chart(12, 0.1 / one.stitches_per_10_cm).finished(one.repeats, lost) == pytest.approx(wanted)
    gauges = [one.stitches_per_10_cm for one in other_gauges(chart, wanted, lost)]
    assert min(gauges) < 19 < max(gauges)


def test_spacers_land_where_the_chart_alone_does_not() -> None:
    found = spacers_for(Chart(12, 0.1 / 19), 0.528, 0.02, (0.506, 0.55))
    assert found is not None
    assert (found.repeats, found.spacers, found.stitches) == (8, 1, 104)
    assert found.finished == pytest.approx(104 * 0.1 / 19 * 0.98)


# ---- does it go on ----


def test_needed_stretch() -> None:
    """Derived: a hat at an ease of -6 to -11 % needs 6 to 12 %; a sock over the heel 35 to 50 %; a snug cuff 35 %."""
    assert needed_stretch(55, 55 * 0.94) == pytest.approx(0.064, abs=1e-3)
    assert needed_stretch(55, 55 * 0.89) == pytest.approx(0.124, abs=1e-3)
    for ease in (0.0, -0.05):
        assert 0.35 <= needed_stretch(FITS["socks"].widest, 1 + ease) <= 0.5
    assert needed_stretch(FITS["cuffs"].widest, FITS["cuffs"].of_body) == pytest.approx(0.353, abs=1e-3)
    assert needed_stretch(50, 55) == 0


def test_floats_spare_what_slack_and_draw_in_leave() -> None:
    """Derived: slack must be at least the stretch needed in wear; what the fabric drew in it can give back."""
    assert spare_in_floats(0.10, 0.0) == pytest.approx(0.10)
    assert spare_in_floats(-0.04, 0.04) == pytest.approx(0.0)
    assert spare_in_floats(0.0, 0.1) == pytest.approx(1 / 0.9 - 1)
    assert spare_in_floats(-0.1, 0.02) == 0


@given(st.floats(-0.5, 1), st.floats(0, 0.5), st.floats(0.1, 1), st.floats(0.1, 1))
def test_what_goes_with_ease_goes_at_all(slack: float, lost: float, widest: float, finished: float) -> None:
    place = colourwork(widest, finished, slack, lost)
    assert 0 <= place.easy <= place.most <= 0.3
    assert (place.answer == "no") == (place.needed > place.most)


def test_hats_pass_and_stranded_socks_fail() -> None:
    """The trade's verdict (from memory), at 10 % slack and the usual ease."""
    hat = without_forecast(scene(FIFTEEN, slack=0.10, sizes={"bodies": [54.0]})).sizes[0].counted
    sock = without_forecast(scene(["#.."], item="socks", slack=0.10)).sizes[-1].counted
    assert hat is not None
    assert sock is not None
    assert hat.weakest.answer != "no"
    assert (sock.weakest.answer, sock.weakest.name) == ("can't say", "colourwork")  # a heel from memory
    bodies = [{"name": "mine", "cm": 22.0, "widest_cm": 31.0}]
    measured = without_forecast(scene(["#.."], item="socks", slack=0.10, sizes={"bodies": bodies})).sizes[0].counted
    assert measured is not None
    assert (measured.weakest.answer, measured.weakest.name) == ("no", "colourwork")


@given(st.sampled_from(["socks", "cuffs", "hat"]), st.floats(-0.05, 0.3), st.integers(2, 9))
def test_so_many_stitches_pass_and_a_repeat_less_does_not(item: str, slack: float, repeat: int) -> None:
    """Against counting repeat by repeat."""
    made = scene(["#" + "." * (repeat - 1)], item=item, slack=slack, sizes={"rib": "none"})
    for one in without_forecast(made).sizes:
        known = one.counted
        if known is None:
            continue
        place, width = known.places[0], 0.1 / made.gauge.stitches
        passing = (1.0 + place.needed) * known.finished if place.needed else 0.0
        repeats = known.repeats
        while passing / (repeats * repeat * width) - 1.0 > place.most + 1e-9:
            repeats += 1
        assert known.passes_from == repeats * repeat


def test_the_weakest_place_lacks_most() -> None:
    places = [TightPlace("a", 0.3, 0.1, 0.2), TightPlace("b", 0.5, 0.3, 0.5)]
    assert weakest(places).name == "a"
    assert rib(0.55, 40, 0.01).needed == pytest.approx(0.375)
    assert weakest([colourwork(0.55, 0.52, 0.2, 0.0), rib(0.55, 30, 0.01)]).name == "rib"


# ---- bodies ----


def test_every_item_that_is_worn_has_bodies() -> None:
    for item, kind in KINDS.items():
        if kind.worn_on is not None:
            found = plan_of(scene(item=item)).bodies
            assert {one.part for one in found} == {kind.worn_on}
            assert all((one.wearer == "baby") == kind.baby for one in found)


def test_numbers_carry_their_marks() -> None:
    assert {one.source for one in usual_bodies()} == {"seen", "memory"}
    heads = {one.name: one.middle_cm for one in usual_bodies() if one.part == "head"}
    assert (heads["newborn"], heads["12 months"], heads["woman"], heads["man"]) == (35, 46.5, 55, 57)


def test_bodies_by_name_by_cm_and_of_ones_own() -> None:
    wishes = ["man", 52, {"name": "Ann", "cm": 54.5, "widest_cm": 58}]
    found = plan_of(scene(sizes={"bodies": wishes})).bodies
    assert [(one.name, one.middle_cm, one.source) for one in found] == [
        ("52 cm", 52, "yours"),
        ("Ann", 54.5, "yours"),
        ("man", 57, "seen"),
    ]
    assert found[1].widest_cm == 58


@pytest.mark.parametrize(
    ("item", "given"), [(None, "no item"), ("swatch", "'swatch', which goes by no size of a body")]
)
def test_what_is_worn_on_no_body_has_no_sizes(item: str | None, given: str) -> None:
    with pytest.raises(InputError) as refused:
        plan_of(scene().model_copy(update={"item": item}))
    assert str(refused.value) == (
        f'item: given {given}; allowed: {", ".join(FITS)}; say what it is for: item = "hat" above [chart], say'
    )


def test_a_body_of_the_table_may_have_a_widest_place_of_its_own() -> None:
    (found,) = plan_of(scene(sizes={"bodies": [{"name": "man", "widest_cm": 61}]})).bodies
    assert (found.name, found.middle_cm, found.widest_cm) == ("man", 57, 61)
    (usual,) = plan_of(scene(sizes={"bodies": ["man"]})).bodies
    assert usual.widest_cm != 61


def test_a_file_of_bodies_beside_the_scene(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(
        'bodies = [{ part = "head", name = "Bo", cm = [50, 54] }, { part = "foot", name = "Bo", cm = 22 }]\n'
    )
    path = tmp_path / "scene.toml"
    path.write_text(TOML.format(item="hat", sizes='file = "mine.toml"'))
    assert [(one.name, one.middle_cm) for one in plan_of(read_scene(path)).bodies] == [("Bo", 52)]


TOML = """
title = "t"
worked = "round"
item = "{item}"
chart = {{ rows = ["#..", ".#."] }}
gauge = {{ stitches = 20, rows = 26 }}
yarns = [
    {{ symbol = ".", name = "oat", colour = "#ffffff", tex = 500 }},
    {{ symbol = "#", name = "pine", colour = "#004000", tex = 500 }},
]
[sizes]
{sizes}
"""

REFUSED = {
    'bodies = ["womann"]': "sizes.bodies: given 'womann'; allowed: newborn, 3 months, 6 months, 12 months, 2 years, "
    "3 years, child, woman, man, or a number; did you mean 'woman'?",
    "bodies = []": "sizes.bodies: given a list of 0; allowed: a list of at least 1; change the list",
    "bodies = [true]": "sizes.bodies (no. 1): given true; allowed: a table of keys; change the value",
    "bodies = [{}]": "sizes.bodies (no. 1): given neither name nor cm; allowed: a name, cm or both; say which body",
    "bodies = [-3]": "sizes.bodies (no. 1).cm: given -3; allowed: at least 1, at most 1,000; change the value",
    'rib = "2by2"': 'sizes.rib: given \'2by2\'; allowed: "1x1", "2x2", "3x1" and so on, or "none"; write knits x purls',
    "ribs = 1": "sizes: given the unknown key 'ribs'; allowed: bodies, file, rib, rib_fewer_percent, rib_cm, "
    "ease_percent, crown, lining, crown_every, plain_rounds, edge_stitches; did you mean 'rib'?",
    'file = "none.toml"': "sizes.file: given '{folder}/none.toml', which isn't there; allowed: a file that exists; "
    "check the name",
    "edge_stitches = 2": "sizes.edge_stitches: given 2 in the round; allowed: 0 in the round, which has no seam; take "
    "it out, or work flat",
}


@pytest.mark.parametrize("sizes", REFUSED)
def test_what_cannot_be_is_refused_in_one_line(tmp_path: Path, sizes: str) -> None:
    path = tmp_path / "scene.toml"
    path.write_text(TOML.format(item="hat", sizes=sizes))
    with pytest.raises(InputError) as caught:
        plan_of(read_scene(path))
    assert str(caught.value) == f"{path}: {REFUSED[sizes].format(folder=tmp_path)}"


@pytest.mark.parametrize("item", [None, "swatch"])
def test_nothing_worn_is_refused_with_the_items_there_are(item: str | None) -> None:
    with pytest.raises(InputError, match=r"^item: given .*; allowed: hat, .*mittens.*; say what it is for"):
        plan_of(scene_of(FIFTEEN, item=item))


# ---- sizes ----


@given(
    st.integers(1, 30),
    st.floats(8, 40),
    st.sampled_from(list(FITS)),
    st.sampled_from(["round", "flat"]),
    st.sampled_from(["2x2", "1x1", "3x2", "none"]),
    st.floats(0, 0.2),
)
def test_every_size_adds_up(repeat: int, gauge: float, item: str, worked: str, rib_: str, lost: float) -> None:
    drawn = scene_of(
        ["#" + "." * (repeat - 1)] * 2,
        worked=worked,
        item=item,
        gauge={"stitches": gauge, "rows": 1.3 * gauge},
        sizes={"rib": rib_},
    )
    found = settled(plan_of(drawn), lambda _: Lost(lost / 2, lost, 1.2 * lost), forecast=True)
    edges = 2 if worked == "flat" else 0
    for one in found.sizes:
        known = one.counted
        if known is None:
            assert one.why_not
            continue
        assert known.stitches == repeat * known.repeats + edges
        assert known.finished == pytest.approx(repeat * known.repeats * 0.1 / gauge * (1 - lost))
        assert known.narrowest <= known.finished <= known.widest
        assert (known.rib is None) == (known.adjusting is None)
        if known.adjusting is not None:
            assert (known.adjusting.before, known.adjusting.after) == (known.rib, known.stitches)
        if not one.too_coarse:
            assert one.ease is not None
            assert found.plan.fit.least - 1e-6 <= one.ease <= found.plan.fit.most + 1e-6


def test_what_is_drawn_in_may_ask_for_another_repeat() -> None:
    drawn = scene(sizes={"bodies": [53.0]})
    plain = without_forecast(drawn).sizes[0].counted
    narrow = settled(plan_of(drawn), lambda _: Lost(0.1, 0.14, 0.2), forecast=True).sizes[0].counted
    assert plain is not None
    assert narrow is not None
    assert (plain.repeats, narrow.repeats) == (6, 7)  # 15 stitches at 19 to 10 cm are 7.9 cm: 50.9 cm is wanted


def test_nothing_fits_a_gauge_too_coarse() -> None:
    drawn = scene(gauge={"stitches": 1, "rows": 1}, sizes={"bodies": [35.0]})
    size = without_forecast(drawn).sizes[0]
    assert size.counted is None
    assert size.why_not == "one repeat alone makes 150.0 cm"


def test_a_step_too_coarse_is_told_with_ways_out() -> None:
    found = without_forecast(scene(["#" + "." * 23] * 2, sizes={"bodies": [55.0]})).sizes[0]
    assert found.too_coarse
    assert found.spacers is not None
    assert found.gauges
    fine = without_forecast(scene(["#."] * 2, sizes={"bodies": [55.0]})).sizes[0]
    assert not fine.too_coarse
    assert fine.gauges == ()


def test_ones_own_ease_keeps_the_room_around_it() -> None:
    plan = plan_of(scene(sizes={"ease_percent": -12.0}))
    assert (plan.fit.least, plan.aim, plan.fit.most) == pytest.approx((-0.16, -0.12, -0.08))


def test_ribs_by_name() -> None:
    assert Sizing(rib="3x1").knits_and_purls == (3, 1)
    assert Sizing(rib="none").knits_and_purls is None
    assert Sizing().knits_and_purls == (2, 2)


# ---- gauge against yarn ----


def test_the_published_ranges() -> None:
    """Craft Yarn Council, Standard Yarn Weight System: stitches of stockinette to 4 in, categories 0 to 7 (seen in
    reprints)."""
    assert [one.stitches for one in YARN_WEIGHTS] == [
        (33, 40),
        (27, 32),
        (23, 26),
        (21, 24),
        (16, 20),
        (12, 15),
        (7, 11),
        (1, 6),
    ]


@pytest.mark.parametrize(
    ("tex", "stitches", "outside"),
    [(500, 19, False), (500, 26, True), (500, 14, True), (240, 30, False), (240, 20, True), (1000, 14, False)],
)
def test_a_gauge_outside_what_is_usual_for_the_yarn(tex: float, stitches: float, outside: bool) -> None:
    yarns = [{"symbol": s, "name": s, "colour": "#000000", "tex": tex} for s in ".#"]
    drawn = scene_of(FIFTEEN).model_dump(mode="json") | {"gauge": {"stitches": stitches, "rows": 25}, "yarns": yarns}
    found = mismatches(Scene.model_validate(drawn))
    assert len(found) == (2 if outside else 0)
    assert all(one.looser == (stitches < 20 or tex < 300) for one in found)


def test_counts_and_draw_in_are_brought_in_line() -> None:
    """A share lost that grows with the count: what is chosen is nearest by the share of its own count, not of the one
    that plain gauge would give."""

    def lost_at(stitches: int) -> Lost:
        share = 0.4 * (1.0 - 40.0 / (stitches + 40.0))
        return Lost(share, share, share)

    plan = plan_of(scene(["#."] * 2, sizes={"bodies": [50.0]}))
    known = settled(plan, lost_at, forecast=True).sizes[0].counted
    assert known is not None
    assert known.repeats == repeats_of(plan, plan.bodies[0], lost_at(known.stitches).nominal)


@pytest.mark.parametrize("share", [0.9, 0.999, 1.0, 1.5])
def test_floats_that_leave_nothing_of_the_width_leave_no_count_and_say_so(share: float) -> None:
    found = settled(plan_of(scene()), lambda _: Lost(share, share, share), forecast=True)
    assert {one.counted for one in found.sizes} == {None}
    assert {one.gauges for one in found.sizes} == {()}
    assert {one.why_not for one in found.sizes} == {"with floats so tight next to nothing is left of the width"}


def test_a_count_that_would_leave_nothing_is_not_told_as_one() -> None:
    """Found at the count that plain gauge gives, but of that nothing is left."""
    plan = plan_of(scene())
    body = plan.bodies[0]
    repeats = repeats_of(plan, body, 0.0)
    assert repeats is not None
    assert size_of(plan, body, repeats, Lost(1.0, 1.0, 1.0)).counted is None


def test_sizes_go_by_the_colourwork_gauge_that_was_measured() -> None:
    made = without_forecast(scene(FIFTEEN, slack=0.10, sizes={"bodies": [54.0]}))
    gauge = {"stitches": 19, "rows": 25.5, "colourwork": {"stitches": 20}}
    measured = scene(FIFTEEN, slack=0.10, sizes={"bodies": [54.0]}, gauge=gauge)
    assert measured.gauge.colourwork_lost == pytest.approx(0.05)
    found = as_measured(measured, 0.05)
    assert (found.measured, found.forecast, made.measured) == (True, False, False)
    known = found.sizes[0].counted
    assert known is not None
    assert known.finished == pytest.approx(known.stitches * 0.1 / 20)  # by hand: 20 stitches are 10 cm
    assert (known.narrowest, known.widest) == (known.finished, known.finished)
    with pytest.raises(ValidationError, match="count both over 10 cm"):
        scene(FIFTEEN, gauge=gauge | {"colourwork": {"stitches": 39}})


def test_one_s_own_ease_changes_how_far_it_must_stretch() -> None:
    for item in ("hat", "socks", "cuffs"):
        usual = stretch_to_put_on(item)  # type: ignore[arg-type]
        fit = FITS[item]  # type: ignore[index]
        assert usual == pytest.approx(max(0.0, fit.widest / fit.of_body / (1.0 + fit.aim) - 1.0))
        assert stretch_to_put_on(item, 100.0 * fit.aim) == pytest.approx(usual)  # type: ignore[arg-type]
        tighter = stretch_to_put_on(item, -20.0)  # type: ignore[arg-type]
        assert tighter == pytest.approx(max(0.0, fit.widest / fit.of_body / 0.8 - 1.0))
        assert tighter > usual
    assert stretch_to_put_on(None) == stretch_to_put_on("cowl") == 0.0
