"""A forecast and its band: between what nine in ten lie, the piece that draws in as the middle, and what is asked of
whom; from made-up results, but for the last, which are held against exact ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.read import demo_scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import come_to_rest, relax
from fabricsim.fabric.setup import set_up
from fabricsim.study.forecast import forecast as forecasting
from fabricsim.study.forecast import middle as towards
from fabricsim.study.forecast.forecast import (
    PIECES,
    SEED,
    Band,
    Forecast,
    KnitPiece,
    Labour,
    forecast,
    forecast_of,
    likely,
)
from fabricsim.study.forecast.middle import AS_THE_MIDDLE, BY, FURTHEST, TRIES, as_the_middle
from fabricsim.study.forecast.starts import Found
from fabricsim.study.hands.bench import Bench
from fabricsim.study.hands.hand import numbered, typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands, carrying, hands_of
from tests.support.scenes import scene_of

ROWS = ["#..#..", ".##..."]
NONE = Hands(0.0, 0.0, 0.0, 0.0, 1.0)

# ---- between what nine in ten lie ------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 16, 18, 19])
def test_of_fewer_than_twenty_it_is_from_the_least_to_the_greatest(count: int) -> None:
    """Rank 0.05 (k + 1) is the first at 19."""
    low, high = likely(np.arange(count, dtype=float)[::-1])
    assert (low, high) == (0.0, count - 1.0)


def test_of_more_it_is_a_rank_as_of_pieces_to_come() -> None:
    """Of the values 1 to k the quantile at s is s (k + 1)."""
    for count in (29, 39, 99):
        value_k = np.random.default_rng(0).permutation(np.arange(1.0, count + 1.0))
        assert likely(value_k) == pytest.approx((0.05 * (count + 1), 0.95 * (count + 1)))


@pytest.mark.parametrize(
    ("lost", "high"),
    [
        (0, 38.0),
        (1, 38.95),  # 0.95 of 41
        (2, 39.0),  # beyond all that rest: as far as is known
        (60, 39.0),
    ],
)
def test_pieces_that_crumpled_lie_beyond_the_highest(lost: int, high: float) -> None:
    low, top = likely(np.arange(1.0, 40.0), lost)
    assert top == pytest.approx(high)
    assert low == pytest.approx(2.0)


def test_of_rows_each_has_its_own() -> None:
    value_ki = np.array([[1.0, 30.0], [3.0, 10.0], [2.0, 20.0]])
    low_i, high_i = likely(value_ki)
    np.testing.assert_array_equal(low_i, [1.0, 10.0])
    np.testing.assert_array_equal(high_i, [3.0, 30.0])


# ---- the band of made-up pieces --------------------------------------------------------------------


def measured(lost: float, *width: float) -> Any:
    return SimpleNamespace(widths=SimpleNamespace(overall=lost, width_i=np.array(width)))


def found(shown: Any, *pieces: Any) -> Forecast:
    knitted = tuple(KnitPiece(0.0, 0.0, 0.0, 1.0, 1.0, one, "" if one is not None else "lost") for one in pieces)
    return Forecast(None, None, 0.0, shown, knitted, NONE)  # type: ignore[arg-type]


def test_the_band_holds_the_piece_that_is_shown() -> None:
    def band(shown: float, *pieces: float | None) -> tuple[float, float, float]:
        made = found(measured(shown), *(None if one is None else measured(one) for one in pieces))
        told = made.draw_in
        assert isinstance(told, Band)
        return told.low, told.nominal, told.high

    assert band(0.05, 0.02, 0.07, 0.04) == (0.02, 0.05, 0.07)
    assert band(0.01, 0.02, 0.07) == (0.01, 0.01, 0.07)
    assert band(0.08, 0.02, 0.07) == (0.02, 0.08, 0.08)
    assert band(0.05, None, 0.06, None) == (0.05, 0.05, 0.06)
    assert band(0.05) == band(0.05, None, None) == (0.05, 0.05, 0.05)


def test_lost_pieces_are_counted_and_lift_the_band() -> None:
    rising = [measured(0.01 * number) for number in range(1, 40)]
    whole, less = found(measured(0.2), *rising), found(measured(0.2), None, *rising)
    assert (whole.lost, less.lost) == (0, 1)
    assert len(less.at_rest) == 39
    assert (whole.draw_in.high, less.draw_in.high) == pytest.approx((0.38, 0.3895))


def test_pucker_has_a_band_of_its_own() -> None:
    def puckered(height: float) -> Any:
        return SimpleNamespace(pucker=SimpleNamespace(peak_to_valley=height))

    assert found(puckered(0.002), puckered(0.001), puckered(0.004)).pucker == Band(0.001, 0.002, 0.004)


def test_every_row_has_its_likely_width() -> None:
    made = found(measured(0.0, 0.25, 0.12), measured(0.0, 0.2, 0.10), None, measured(0.0, 0.3, 0.11))
    low_i, high_i = made.width_range()
    np.testing.assert_array_equal(low_i, [0.2, 0.10])
    np.testing.assert_array_equal(high_i, [0.3, 0.12])  # the row that is shown counts too
    for alone in (found(measured(0.0, 0.25, 0.12)), found(measured(0.0, 0.25, 0.12), None)):
        np.testing.assert_array_equal(alone.width_range(), [[0.25, 0.12]] * 2)


# ---- as the middle, from a made-up law ---------------------------------------------------------------


@dataclass
class Rest:
    """A made-up rest at a shift, let go from another."""

    shift: float
    start: Any = None
    told: Any = None


def to_the_middle(
    monkeypatch: pytest.MonkeyPatch, law: Callable[[float], float], middle: float
) -> tuple[float, Rest, list[Rest]]:
    """Return the shift and the rest that are found where a piece loses ``law`` of its width; and all that rested."""
    rests = [Rest(0.0)]

    def at_rest(shift: float, start: Rest, told: Any) -> Rest:
        if np.isnan(law(shift)):
            raise NoEquilibriumError("too tight")
        rests.append(Rest(shift, start, told))
        return rests[-1]

    monkeypatch.setattr(towards, "in_hand", lambda fabric, hand, hands, shift: shift)
    monkeypatch.setattr(towards, "at_rest", at_rest)
    monkeypatch.setattr(towards, "widths", lambda rest: SimpleNamespace(overall=law(rest.shift)))
    shift, rest = as_the_middle(rests[0], "fabric", "shown", NONE, middle, lambda: print)  # type: ignore[arg-type]
    return shift, rest, rests  # type: ignore[return-value]


def test_a_straight_law_is_met_at_the_second_shift(monkeypatch: pytest.MonkeyPatch) -> None:
    """A per cent of slack is first taken for a per cent of width; then the secant is exact."""
    shift, rest, rests = to_the_middle(monkeypatch, lambda s: 0.054 - 0.5 * s, 0.05)
    assert [one.shift for one in rests] == pytest.approx([0.0, 0.004, 0.008])
    assert shift == rest.shift == pytest.approx(0.008)
    assert [one.start for one in rests] == [None, rests[0], rests[1]]  # each from the nearest before
    assert {one.told for one in rests[1:]} == {print}


def test_each_is_let_go_from_the_nearest_not_from_the_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first step goes the wrong way: the next comes back past where it began."""
    _, rest, rests = to_the_middle(monkeypatch, lambda s: 0.055 + 2.0 * s, 0.05)
    assert [one.shift for one in rests] == pytest.approx([0.0, 0.005, -0.0025])
    assert rests[2].start is rests[0]
    assert rest is rests[2]


@pytest.mark.parametrize("off", [0.0, 0.9 * AS_THE_MIDDLE, -0.9 * AS_THE_MIDDLE])
def test_one_that_draws_in_as_the_middle_is_left_as_it_is(monkeypatch: pytest.MonkeyPatch, off: float) -> None:
    shift, rest, rests = to_the_middle(monkeypatch, lambda s: 0.05 + off - s, 0.05)
    assert (shift, len(rests)) == (0.0, 1)
    assert rest is rests[0]


def test_one_that_is_off_by_more_than_is_printed_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    shift, _, rests = to_the_middle(monkeypatch, lambda s: 0.05 + 1.1 * AS_THE_MIDDLE - s, 0.05)
    assert shift == pytest.approx(1.1 * AS_THE_MIDDLE)
    assert len(rests) == 2


def test_no_shift_is_farther_than_hands_go(monkeypatch: pytest.MonkeyPatch) -> None:
    for sign in (1.0, -1.0):
        _, _, rests = to_the_middle(monkeypatch, lambda s, sign=sign: 0.5 + sign * 0.4 - 0.01 * s, 0.5)
        steps = np.diff([one.shift for one in rests])
        assert steps == pytest.approx([sign * BY, *[sign * FURTHEST] * (TRIES - 1)])


def test_of_one_that_jumps_the_nearest_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """It loses 9 % or 2 %, never 5 %."""
    shift, rest, rests = to_the_middle(monkeypatch, lambda s: 0.09 if s < 0.005 else 0.02, 0.05)
    assert 2 <= len(rests) <= 1 + TRIES
    assert shift == rest.shift >= 0.005  # 3 % too little is nearer than 4 % too much
    stuck, _, _ = to_the_middle(monkeypatch, lambda s: 0.09, 0.05)
    assert stuck == 0.0


def test_where_the_next_finds_no_rest_the_nearest_before_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    def law(s: float) -> float:
        return float("nan") if s < -0.01 else 0.04 - 0.5 * s

    shift, rest, rests = to_the_middle(monkeypatch, law, 0.05)
    assert shift == rest.shift == -BY
    assert len(rests) == 2


# ---- who is asked for what ---------------------------------------------------------------------------


@dataclass
class Asked:
    """What a forecast asked of those that it is made of."""

    ways: list[Any]
    pieces: list[Any]
    middles: list[Any]
    begun: list[tuple[str, int, int]]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Stand in for all that solves: pieces lose 1, 2, 9 % and one is lost."""
    told = Asked([], [], [], [])

    def lowest_rest(fabric: Any, starts: int, *, branch: bool, threads: int, begin: Any) -> Found:
        told.ways.append((fabric, starts, branch))
        begin("forecast", 0)
        return Found((), 0, SimpleNamespace(name="lowest"))  # type: ignore[arg-type]

    def pieces(bench: Any, count: int, processes: int, counted: Any) -> tuple[KnitPiece, ...]:
        told.pieces.append((bench, count, processes, counted))
        made = [measured(0.01), measured(0.09), None, measured(0.02)] if count else []
        return found(None, *made).pieces

    def middle(rest: Any, fabric: Any, shown: Any, hands: Any, lost: float, begin: Any) -> tuple[float, Any]:
        told.middles.append((rest.name, lost, hands))
        begin()
        return 0.003, SimpleNamespace(name="middle")

    monkeypatch.setattr(forecasting, "lowest_rest", lowest_rest)
    monkeypatch.setattr(forecasting, "_pieces", pieces)
    monkeypatch.setattr(forecasting, "as_the_middle", middle)
    monkeypatch.setattr(forecasting, "measure", lambda rest: ("measures of", rest.name))
    monkeypatch.setattr(forecasting, "Bench", SimpleNamespace(of=lambda *given: given))
    return told


def made_of(asked: Asked, hands: Hands, labour: Labour | None = None, rows: Any = ROWS) -> Forecast:
    def stage(name: str, number: int, of: int) -> None:
        asked.begun.append((name, number, of))

    return forecast_of(set_up(scene_of(rows, -0.05), "round"), hands, labour, stage=stage)


def test_the_one_that_is_shown_is_moved_to_the_median_of_those_at_rest(asked: Asked) -> None:
    made = made_of(asked, Hands())
    assert asked.middles == [("lowest", pytest.approx(0.02), Hands())]
    assert (made.shift, made.measures) == (0.003, ("measures of", "middle"))
    assert made.hands == Hands()
    assert made.lost == 1
    assert asked.begun == [("forecast", 0, 3), ("as the middle of all pieces", 2, 3)]
    ((bench, count, processes, _),) = asked.pieces
    assert (count, processes) == (16, 1)
    assert bench[3].name == "lowest"  # pieces are let go from the shape that was found


@pytest.mark.parametrize("hands", [Hands().even(), NONE])
def test_evenly_carried_it_is_no_lucky_one(asked: Asked, hands: Hands) -> None:
    made = made_of(asked, hands)
    assert asked.middles == []
    assert (made.shift, made.measures) == (0.0, ("measures of", "lowest"))
    assert len(made.pieces) == 4
    assert asked.begun == [("forecast", 0, 2)]


def test_uneven_in_rows_alone_it_is_moved_too(asked: Asked) -> None:
    made_of(asked, replace(NONE, rows=0.01))
    assert len(asked.middles) == 1


@pytest.mark.parametrize(("labour", "rows"), [(Labour(band=False), ROWS), (Labour(), ["......"] * 2)])
def test_a_draft_and_plain_fabric_have_no_pieces(asked: Asked, labour: Labour, rows: Any) -> None:
    made = made_of(asked, Hands(), labour, rows)
    assert [count for _, count, _, _ in asked.pieces] == [0]
    assert made.pieces == ()
    assert asked.middles == []
    assert made.shift == 0.0


def test_starts_and_ways_and_processes_are_handed_on(asked: Asked) -> None:
    made_of(asked, Hands(), Labour(branch=False, starts=3, processes=2))
    assert [one[1:] for one in asked.ways] == [(3, False)]
    assert asked.pieces[0][2] == 2
    assert asked.begun[-1] == ("as the middle of all pieces", 4, 5)


def test_what_is_shown_is_knitted_by_the_usual_hand(asked: Asked) -> None:
    fabric = set_up(scene_of(ROWS, -0.05), "round")
    made_of(asked, replace(NONE, floats=0.02))
    slack_f = asked.ways[0][0].mesh.floats.slack_f
    np.testing.assert_allclose(slack_f, -0.05 + 0.02 * typical(fabric, SEED).floats, atol=1e-12)


def test_of_a_rest_that_is_known_no_way_in_is_tried(asked: Asked) -> None:
    fabric = set_up(scene_of(ROWS, -0.05), "round")

    def stage(name: str, number: int, of: int) -> None:
        asked.begun.append((name, number, of))

    warm: Any = SimpleNamespace(name="warm", start="from before", effort=SimpleNamespace(energy=2.0))
    made = forecast_of(fabric, Hands(), rest=warm, stage=stage)
    assert asked.ways == []
    assert [(one.name, one.energy, one.measures) for one in made.found.starts] == [
        ("from before", 2.0, ("measures of", "warm"))
    ]
    assert asked.middles[0][0] == "warm"
    assert asked.begun == [("as the middle of all pieces", 0, 1)]


def test_hands_are_those_of_the_scene_or_of_another_slack_or_even(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[Any] = []
    monkeypatch.setattr(forecasting, "forecast_of", lambda fabric, hands, labour, **_: given.append((fabric, hands)))
    scene = scene_of(ROWS, floats={"unevenness": 0.02})
    scene = scene.model_copy(update={"floats": scene.floats.model_validate({"unevenness": 0.02})})
    forecast(scene)
    forecast(scene, slack=0.07)
    forecast(scene, "swatch", even=True)
    known = hands_of(scene)
    assert [hands for _, hands in given] == [known, hands_of(scene, other_slack=True), known.even()]
    assert known.slack > hands_of(scene, other_slack=True).slack
    assert [fabric.mesh.case for fabric, _ in given] == ["round", "round", "swatch"]  # as it is worked
    assert set(given[1][0].mesh.floats.slack_f) == {0.07}


def test_pieces_are_the_numbered_ones_and_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    fabric = set_up(scene_of(ROWS, -0.05), "repeat")
    told: list[Any] = []

    def counted(said: str, most: int) -> Callable[[int], None]:
        told.append((said, most))
        return told.append

    knitters = hands_of(scene_of(ROWS, -0.05))
    bench: Any = SimpleNamespace(fabric=fabric, hands=knitters)
    begun: list[Any] = []
    monkeypatch.setattr(forecasting, "_piece", lambda task: (begun.append(task[1]), task[1])[1])
    hands: Any = forecasting._pieces(bench, 5, 1, counted)
    assert [one.slack for one in hands] == [numbered(fabric, SEED, number).slack for number in range(5)]
    mean = [float(in_hand(fabric, hand, knitters).mesh.floats.slack_f.mean()) for hand in begun]
    assert mean == sorted(mean)  # what takes longest first
    assert begun != hands
    assert told == [("bringing pieces to rest", 5), 1, 2, 3, 4, 5]
    assert forecasting._pieces(bench, 0, 1, counted) == ()
    assert len(told) == 6  # of none nobody is told


def test_a_piece_is_what_its_hand_made_of_it_or_why_it_did_not_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    fabric = set_up(scene_of(ROWS, -0.05), "repeat")
    hands = Hands(0.01, 0.0, 0.02, 0.0, 2.0, 0.3, 0.0005, 0.0001)
    hand = numbered(fabric, 0, 3)
    bench: Any = SimpleNamespace(fabric=fabric, hands=hands)
    monkeypatch.setattr(forecasting, "rest_of_first", lambda one: ("first of", one))
    gone: list[Any] = []

    def at_rest(knitted: Any, start: Any) -> Any:
        gone.append((knitted, start))
        if len(gone) > 1:
            raise NoEquilibriumError("it crumples")
        return "rest"

    monkeypatch.setattr(forecasting, "at_rest", at_rest)
    monkeypatch.setattr(forecasting, "measure", lambda rest: ("measures of", rest))
    one, other = forecasting._piece((bench, hand)), forecasting._piece((bench, hand))
    assert one == KnitPiece(
        slack=pytest.approx(0.01 * hand.slack),
        unevenness=pytest.approx(0.02 * np.exp(0.3 * hand.unevenness)),
        short=pytest.approx(0.0005 + 0.0001 * hand.short),
        stretch=pytest.approx(np.exp(np.log(2.0) / 3.0**0.5 * hand.stretch)),
        bending=pytest.approx(np.exp(np.log(2.0) / 3.0**0.5 * hand.bending)),
        measures=("measures of", "rest"),  # type: ignore[arg-type]
    )
    assert replace(one, measures=None, said="it crumples") == other
    assert [start for _, start in gone] == [("first of", bench)] * 2  # on the same branch as the one that is shown


# ---- against what is exact ---------------------------------------------------------------------------


def test_hands_that_never_differ_make_the_fabric_that_is_written() -> None:
    scene = scene_of(ROWS, -0.05, floats={"unevenness": 0.0, "short_mm": 0.0})
    made = forecast(scene, "repeat", band=False, branch=False)
    np.testing.assert_allclose(made.equilibrium.x_nc, relax(scene, "repeat").x_nc, atol=1e-12)


def test_what_falls_short_draws_in_as_so_much_less_slack() -> None:
    """Floats as wide as the repeat, six stitches: 1 mm short is 1 mm of their way, exactly."""
    floats = {"unevenness": 0.0, "short_mm": 1.0}
    scene = scene_of(["#....."], 0.0, floats=floats)
    made = forecast(scene, "repeat", band=False, branch=False)
    fabric = set_up(scene, "repeat")
    longest = fabric.mesh.floats.span_f.argmax()
    assert made.equilibrium.mesh.floats.length_f[longest] == pytest.approx(fabric.mesh.floats.span_f[longest] - 0.001)
    even = forecast(scene_of(["#....."], 0.0, floats={"short_mm": 1.0}), "repeat", even=True, band=False, branch=False)
    np.testing.assert_array_equal(even.equilibrium.x_nc, made.equilibrium.x_nc)


def test_a_forecast_lies_in_the_middle_of_its_pieces_and_is_always_the_same() -> None:
    scene = scene_of(ROWS, -0.05, chart={"across": 3})
    made = forecast(scene, "round")
    assert len(made.pieces) == PIECES
    middle = np.median([one.widths.overall for one in made.at_rest])
    assert widths(made.equilibrium).overall == pytest.approx(middle, abs=AS_THE_MIDDLE)
    assert made.draw_in.low < made.draw_in.nominal < made.draw_in.high
    assert made.shift != 0.0
    again = forecast(scene, "round")
    np.testing.assert_array_equal(again.equilibrium.x_nc, made.equilibrium.x_nc)
    assert again.draw_in == made.draw_in


def test_a_piece_that_folds_deeply_comes_to_rest_too() -> None:
    """The tightest of the built-in hat takes a hundred steps, with compiled sums as with numpy's, to the same rest."""
    scene = demo_scene()
    fabric, hands = set_up(scene), carrying(scene, "round")
    usual = typical(fabric, SEED)
    rest = come_to_rest(in_hand(fabric, usual, hands))
    piece = forecasting._piece((Bench.of(fabric, hands, usual, rest), numbered(fabric, SEED, 5)))
    assert piece.measures is not None, piece.said
    assert piece.measures.widths.overall == pytest.approx(0.180, abs=2e-3)


def test_what_cannot_be_built_is_said_before_a_solve() -> None:
    with pytest.raises(InputError):
        forecast(scene_of(ROWS), slack=-1.5)


def test_in_an_endless_fabric_every_float_is_alike_and_it_is_told_where_it_begins_to_pucker() -> None:
    """An uneven one would come back in every repeat; so it is the same however often the chart is typed."""
    rows = ["#.....", "..#...", "....#.", "......"]
    once, twice = (forecast(scene_of([row * by for row in rows], -0.06), "repeat") for by in (1, 2))
    assert once.hands == hands_of(once.equilibrium.scene).even()
    assert len(once.pieces) == PIECES
    for one, other in ((once.draw_in, twice.draw_in), (once.pucker, twice.pucker)):
        assert (one.low, one.nominal, one.high) == pytest.approx((other.low, other.nominal, other.high), abs=1e-6)
    assert (once.onset is None) == (twice.onset is None)
