"""Yarn amounts against hand counts, published constants of plain knitting and what the trade finds."""

from __future__ import annotations

from math import ceil, hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.design.counted.yarn_amounts import TAIL, Amounts, YarnAmount, beyond_loops, yarn_amounts
from fabricsim.design.floats.of_scene import floats_of_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import loop_length
from fabricsim.errors import InputError
from tests.design.scenes import scene, scene_table

W, C = 0.1 / 19, 0.1 / 25.5
L = loop_length(W, C)


def at_gauge(rows: list[str], stitches: float, high: float, tex: float, **more: object) -> Scene:
    table = scene_table(rows, **more)  # type: ignore[arg-type]
    yarns = [
        {"symbol": symbol, "name": symbol, "colour": "#000000", "tex": tex} for symbol in sorted(set("".join(rows)))
    ]
    return Scene.model_validate({**table, "gauge": {"stitches": stitches, "rows": high}, "yarns": yarns})


def of(found: Amounts, yarn: int) -> YarnAmount:
    return next(one for one in found.yarns if one.yarn == yarn)


def test_loops_as_in_an_examination() -> None:
    """GATE Textile Engineering 2015, Q54: K_c 5.5, K_w 4.2, K_s 23.1 and a loop of 0.5 cm give 92.4 loops to a cm2."""
    made = at_gauge(["." * 84] * 110, 84, 110, 30)  # 10 cm x 10 cm
    found = yarn_amounts(made, edges=False)
    assert found.yarns[0].stitches / 100.0 == pytest.approx(92.4, abs=0.05)
    assert found.yarns[0].loops / found.yarns[0].stitches == pytest.approx(0.005, rel=1e-12)
    # mass of an area = stitches x loop length x tex (Texcoms Textile Technical Handbook 2023): K_s tex / loop
    assert found.areal_mass == pytest.approx(23.1 * 30e-6 / 0.005, rel=1e-12)


@pytest.mark.parametrize(
    ("stitches", "rows", "tex", "plain", "stranded"),
    [(30, 40, 240, 0.40, 0.50), (22, 29, 420, 0.51, 0.63), (19, 25.5, 500, 0.53, 0.66)],
)
def test_mass_of_plain_and_of_two_colours(
    stitches: float, rows: float, tex: float, plain: float, stranded: float
) -> None:
    """Fingering, DK and worsted: loops alone, and with one float behind each stitch at no slack (derived)."""
    one = at_gauge(["...."], stitches, rows, tex, across=30, up=60)
    two = at_gauge([".A.A"], stitches, rows, tex, across=30, up=60, floats={"slack": 0.0})
    assert yarn_amounts(one).areal_mass == pytest.approx(plain, abs=0.006)
    assert yarn_amounts(two).areal_mass == pytest.approx(stranded, abs=0.006)


@pytest.mark.parametrize(("slack", "more"), [(0.10, 0.26), (0.25, 0.30)])
def test_two_colour_rounds_take_26_to_30_per_cent_more(slack: float, more: float) -> None:
    """Derived for the usual slack, from 10 to 25 %: 1 + (1 + s) w / l, and 4.2 widths a loop at usual gauges."""
    made = scene(["A.AA..A..."], across=30, up=60, floats={"slack": slack})
    assert yarn_amounts(made).over_plain == pytest.approx((1.0 + slack) * W / L, rel=0.01)  # the last floats end early
    assert yarn_amounts(made).over_plain == pytest.approx(more, abs=0.007)


def test_stitch_share_is_not_yarn_share() -> None:
    """65:35 of the stitches became 59:41 of the yarn (derived)."""
    made = scene(["..A..A..A..A..A..A.A"], across=30, up=60, floats={"slack": 0.10})
    found = yarn_amounts(made)
    assert [round(100 * found.stitch_share(one)) for one in found.yarns] == [65, 35]
    assert [round(100 * found.yarn_share(one)) for one in found.yarns] == [59, 41]


@given(
    row=st.text(".A", min_size=2, max_size=20).filter(lambda row: len(set(row)) == 2),
    slack=st.floats(-0.2, 0.5),
    caught=st.sets(st.integers(1, 20), max_size=4),
)
def test_behind_every_stitch_of_two_colours_lies_one_stitch_of_float(row: str, slack: float, caught: set[int]) -> None:
    """Whatever the chart, wherever it is caught: areal mass grows by (1 + s) w / l."""
    catches = [{"row": 1, "stitch": stitch} for stitch in caught if stitch <= len(row)]
    made = scene([row], floats={"slack": slack, "catches": catches})
    behind = sum(beyond_loops(one, made.chart_rows(), W) for one in floats_of_repeat(made))
    assert behind == pytest.approx(len(row) * W * (1 + slack), rel=1e-9)


def test_a_little_piece_counted_by_hand() -> None:
    # four rounds, right to left: 8 oat; oat but for stitches 3 and 6, pine; 8 oat; 8 oat, floats 10 % slack
    made = scene(["..A..A.."], plain_below=1, plain_above=2, floats={"slack": 0.10})
    found = yarn_amounts(made, edges=True, margin_percent=10.0)
    oat, pine = found.yarns
    assert (oat.stitches, pine.stitches) == (30, 2)
    assert oat.loops == pytest.approx(30 * L)
    assert oat.floats == pytest.approx(2 * 1 * 1.1 * W)  # behind one pine stitch each
    assert pine.floats == pytest.approx(2 * 1.1 * W)  # behind two oat stitches, then it ends
    assert oat.edges == pytest.approx(6 * 8 * W + 0.25)  # cast-on and bind-off
    assert (oat.ends, pine.ends) == (2, 2)
    assert oat.tails == pytest.approx(0.2)  # the cast-on has its own
    assert pine.length == pytest.approx(2 * L + 2.2 * W + 0.4)
    assert pine.wanted == pytest.approx(1.1 * pine.length)
    assert pine.mass == pytest.approx(pine.length * 0.0005)
    assert found.over_plain == pytest.approx(4.4 * W / (8 * L))
    assert yarn_amounts(made, edges=False).yarns[0].edges == 0.0
    assert yarn_amounts(made, edges=False).yarns[0].tails == pytest.approx(0.4)


def test_carried_up_broken_and_caught() -> None:
    resting = ["....A...", "........", "........", "....A..."]
    up = yarn_amounts(scene(resting)).yarns[1]
    assert up.carried == pytest.approx(3 * C)  # straight up
    assert up.ends == 2
    aside = yarn_amounts(scene(["......A.", *resting[1:]])).yarns[1]
    assert aside.carried == pytest.approx(hypot(3 * C, 2 * W))
    across_the_join = yarn_amounts(scene([".......A", *resting[1:3], "A......."])).yarns[1]
    assert across_the_join.carried == pytest.approx(hypot(3 * C, W))
    broken = yarn_amounts(scene([resting[0], *["........"] * 6, resting[3]])).yarns[1]
    assert (broken.carried, broken.ends, broken.tails) == (0.0, 4, pytest.approx(4 * TAIL))
    free = scene(["A........A"], floats={"slack": 0.0})
    caught = scene(["A........A"], floats={"slack": 0.0, "catches": [{"row": 1, "stitch": 5}]})
    assert yarn_amounts(caught).yarns[1].floats == pytest.approx(yarn_amounts(free).yarns[1].floats)
    assert yarn_amounts(caught).yarns[1].catches == pytest.approx(0.5 * W)


def test_flat_a_yarn_goes_to_both_edges() -> None:
    # pine from the middle of one edge stitch to that of the other, but for its own stitch: 2 + 0.5 and 1 + 0.5
    found = yarn_amounts(scene(["..A..."], worked="flat", floats={"slack": 0.0}))
    assert found.yarns[1].floats == pytest.approx(4 * W)


@given(
    tex=st.floats(50, 3000),
    grams=st.floats(5, 200),
    margin=st.floats(0, 100),
    across=st.integers(1, 30),
    up=st.integers(1, 20),
)
def test_balls_are_enough_and_not_one_more(tex: float, grams: float, margin: float, across: int, up: int) -> None:
    yarn = {"symbol": ".", "name": "oat", "colour": "#ffffff", "tex": tex, "ball_grams": grams}
    made = scene(["....."], yarns=[yarn], across=across, up=up)
    (one,) = yarn_amounts(made, margin_percent=margin).yarns
    ball = grams / tex * 1000.0
    assert one.ends == 2 + 2 * (one.balls - 1)
    assert one.balls * ball >= one.wanted * (1 - 1e-9)
    if one.balls > 1:  # with a join less, one ball less would be too few
        assert (one.balls - 1) * ball < one.wanted - 2 * TAIL * (1 + margin / 100) + 1e-9
    else:
        assert one.balls == ceil(one.wanted / ball * (1 - 1e-9))


def test_a_pair_takes_twice_as_much() -> None:
    made = scene(["..A..A.."], across=3, up=5)
    one, two = yarn_amounts(made), yarn_amounts(made, pieces=2)
    for single, pair in zip(one.yarns, two.yarns, strict=True):
        assert pair.length == pytest.approx(2 * single.length)
        assert (pair.ends, pair.stitches) == (2 * single.ends, 2 * single.stitches)
    assert two.over_plain == one.over_plain
    assert two.areal_mass == pytest.approx(one.areal_mass)


def test_balls_are_50_grams_unless_said() -> None:
    assert scene(["."]).yarns[1].ball_length == pytest.approx(100.0)  # of 200 m to 100 g


def test_a_ball_too_short_to_join_is_refused() -> None:
    yarn = {"symbol": ".", "name": "rope", "colour": "#ffffff", "tex": 100_000, "ball_grams": 40}
    with pytest.raises(InputError, match=r"yarns \(no\. 1\)\.ball_grams: given a ball of 40 cm"):
        yarn_amounts(scene(["...."], yarns=[yarn]))


@pytest.mark.parametrize(("stitches", "rows"), [(30, 40), (22, 29), (19, 25.5), (28, 36), (20, 26)])
def test_the_loop_is_in_the_range_of_the_trade(stitches: float, rows: float) -> None:
    """At usual gauges 4.2 stitch widths (K_w of relaxed plain knitting, Munden 1959) to 4 %: rows differ."""
    width, height = 0.1 / stitches, 0.1 / rows
    assert loop_length(width, height) / width == pytest.approx(4.2, rel=0.04)


def test_the_loop_of_the_handbook() -> None:
    """A loop of 0.5 cm makes 92.4 loops to the square centimetre (GATE Textile Engineering 2015, Q54)."""
    side = (1e-4 / 92.4) ** 0.5
    assert loop_length(side, side) == pytest.approx(0.5e-2, rel=1e-12)
