"""The Monte Carlo: closed forms, the rule by which it ends, the same bits everywhere, going on where it stopped."""

from __future__ import annotations

from collections.abc import Generator, Iterable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.study.compare.store import Store
from fabricsim.study.hands.knitting import all_slack
from fabricsim.study.hands.prior import Hands
from fabricsim.study.vary import pieces as pieces_of
from fabricsim.study.vary.variation import LEAST, Sampling, Variation, enough, identity, vary
from tests.support.scenes import scene_of

RATIO = 100.0 / 101.0
"""Draw-in over shortness of one float over a whole row, 100 times as stiff as the strip (derived, exact)."""
BLOCK = ("##...", ".....")
TALL = ("#..#....", ".##.....", "....##..", "........")


def one_float(slack: float) -> Scene:
    """Return one row, whose one float that counts is as wide as the endless repeat."""
    return scene_of(["#....."], 0.0, floats={"slack_by_yarn": {"#": slack, ".": 0.5}})


def varied(slack: float, spreads: Hands, runs: int = 120, **more: int) -> Variation:
    return vary(one_float(slack), "repeat", Sampling(runs, 1e-9, 1, spreads, **more), processes=1)


def lost(found: Variation) -> np.ndarray:
    return np.array([one.lost for one in found.outcomes])


def test_tight_floats_vary_the_width_as_their_slack_varies() -> None:
    """Draw-in is -slack x 100/101 while the float is taut, so mean and variance are those of the slack: the squares of
    its three spreads added up (to within the sheet's second order, 2 x slack)."""
    slack, spreads = -0.005, Hands(0.0008, 0.0006, 0.0005, 0.0, 1.0)
    found = varied(slack, spreads)
    deviation = RATIO * (0.0008**2 + 0.0006**2 + 0.0005**2) ** 0.5
    runs = len(found.pieces)
    assert runs == 120
    assert lost(found).mean() == pytest.approx(-RATIO * slack, abs=3.0 * deviation / runs**0.5 + 2.0 * slack**2)
    assert lost(found).std(ddof=1) == pytest.approx(deviation, rel=3.0 / (2 * runs) ** 0.5 + 4.0 * abs(slack))
    assert found.even.outcome is not None
    assert found.even.outcome.lost == pytest.approx(-RATIO * slack, rel=2.0 * abs(slack))


def test_floats_that_are_just_right_draw_in_when_hands_vary() -> None:
    """Draw-in max(0, -s) of an s spread evenly up to a = sd sqrt(3): mean a / 4, variance 5 a^2 / 48 (derived)."""
    sd = 0.002
    found = varied(0.0, Hands(sd, 0.0, 0.0, 0.0, 1.0))
    runs = len(found.pieces)
    most = sd * 3.0**0.5
    deviation = RATIO * most * (5.0 / 48.0) ** 0.5
    assert lost(found).mean() == pytest.approx(RATIO * most / 4.0, abs=3.0 * deviation / runs**0.5)
    assert lost(found).std(ddof=1) == pytest.approx(deviation, rel=0.2)
    half = [one.lost for one in found.outcomes if one.lost < 1e-9]
    assert abs(len(half) / runs - 0.5) < 3.0 * 0.5 / runs**0.5
    assert found.even.outcome is not None
    assert found.even.outcome.lost == 0.0


def test_gauge_moves_the_width_and_not_what_is_lost() -> None:
    found = varied(-0.01, Hands(0.0, 0.0, 0.0, 0.05, 1.0), 40)
    assert np.ptp(lost(found)) < 1e-4
    width = np.log([one.width for one in found.outcomes])
    gauge = np.log([one.gauge for one in found.pieces])
    np.testing.assert_allclose(width - gauge, np.mean(width - gauge), atol=1e-4)
    assert np.std(gauge) == pytest.approx(0.05, rel=3.0 / 80**0.5)


def test_shares_of_a_float_in_the_straight_regime() -> None:
    """Squares of the spreads over their sum (derived)."""
    spreads = Hands(0.0008, 0.0006, 0.0005, 0.0, 1.0)
    shares = varied(-0.005, spreads, 1, pairs=16).shares
    assert shares is not None
    assert shares.inputs == ("slack", "rows", "floats")
    square = np.array([0.0008, 0.0006, 0.0005]) ** 2
    for found, error in ((shares.alone, shares.alone_error), (shares.whole, shares.whole_error)):
        assert (np.abs(found[0] - square / square.sum()) < 3.0 * error[0]).all()
    assert (shares.alone_error[0] < 0.25).all()
    assert (shares.samples, shares.pieces, shares.lost) == (16, 16 * 5, 0)


def test_it_takes_as_many_pieces_as_the_error_asks_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times as many for half the error, about; and it ends with the very first that is enough. What each piece
    loses is made up: as much as its floats are short, which is what the one float comes to."""
    spreads = Hands(0.002, 0.0, 0.0, 0.0, 1.0)
    scene = one_float(-0.02)
    outcome = vary(scene, "repeat", Sampling(1, 1.0, 1, spreads), processes=1).outcomes[0]

    def made_up(task: Any) -> pieces_of.Piece:
        bench, hand = task
        slack = all_slack(bench.hands, hand)
        lost = replace(outcome, lost=RATIO * (0.02 - slack))
        return pieces_of.Piece(slack, 0.0, 0.0, slack - 0.02, 0.5, 1.0, 1.0, 1.0, lost)

    monkeypatch.setattr(pieces_of, "knit", made_up)
    coarse, fine = (
        vary(scene, "repeat", Sampling(400, error, 1, spreads), processes=1) for error in (0.00034, 0.00017)
    )
    assert coarse.reached
    assert fine.reached
    for found in (coarse, fine):
        values = lost(found)
        assert enough(values, found.asked.error)
        assert not any(enough(values[:count], found.asked.error) for count in range(len(values)))
        assert len(values) == pytest.approx((0.002 / found.asked.error) ** 2, rel=0.3)
    assert fine.pieces[: len(coarse.pieces)] == coarse.pieces
    short = vary(scene, "repeat", Sampling(5, 0.00034, 1, spreads), processes=1)
    assert not short.reached
    assert short.pieces == coarse.pieces[:5]
    assert len(vary(scene, "repeat", Sampling(400, 0.1, 1, spreads), processes=1).pieces) == LEAST


@pytest.mark.usefixtures("already_loaded")
def test_the_same_bits_from_one_process_and_two() -> None:
    scene, asked = scene_of(BLOCK, -0.05), Sampling(6, 0.01, 7, pairs=2)
    alone, two = (vary(scene, "repeat", asked, processes=count) for count in (1, 2))
    assert alone.pieces == two.pieces
    assert alone.even == two.even
    assert alone.shares is not None
    assert two.shares is not None
    np.testing.assert_array_equal(alone.shares.alone, two.shares.alone)
    other = vary(scene, "repeat", Sampling(6, 0.01, 8), processes=1)
    assert other.pieces[0] != alone.pieces[0]


def test_pieces_come_in_their_order_whichever_is_done_first(monkeypatch: pytest.MonkeyPatch) -> None:
    scene, asked = scene_of(BLOCK, -0.05), Sampling(5, 0.01, 7)
    in_order = vary(scene, "repeat", asked, processes=1)

    def backwards(job: Any, args: Iterable[Any], **_: Any) -> Generator[tuple[int, Any], None, None]:
        yield from ((number, job(arg)) for number, arg in reversed(list(enumerate(args))))

    monkeypatch.setattr(pieces_of, "each_done", backwards)
    assert vary(scene, "repeat", asked, processes=1).pieces == in_order.pieces


def test_it_goes_on_where_it_was_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    scene, asked = scene_of(BLOCK, -0.05), Sampling(5, 0.01, 7, pairs=2)
    whole = vary(scene, "repeat", asked, processes=1)
    of = identity(scene, "repeat", None, None, asked)
    knitted: list[int] = []
    knit = pieces_of.knit

    def counted(task: object) -> pieces_of.Piece:
        knitted.append(1)
        if len(knitted) == 4:
            raise KeyboardInterrupt
        return knit(task)  # type: ignore[arg-type]

    monkeypatch.setattr(pieces_of, "knit", counted)
    with Store(tmp_path / "rows", of) as store, pytest.raises(KeyboardInterrupt):
        vary(scene, "repeat", asked, processes=1, store=store)
    with Store(tmp_path / "rows", of) as store:
        assert len(store.rows) == 3
        again = vary(scene, "repeat", asked, processes=1, store=store)
        assert len(store.rows) == 5 + 2 * 7
    assert len(knitted) == 4 + 2 + 2 * 7  # the fourth twice
    assert again.pieces == whole.pieces
    assert again.shares is not None
    assert whole.shares is not None
    np.testing.assert_array_equal(again.shares.whole, whole.shares.whole)


def test_pieces_that_find_no_rest_are_counted_and_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    scene = scene_of(TALL, -0.05)
    whole = vary(scene, "repeat", Sampling(6, 0.01, 7), processes=1)
    at_rest = pieces_of.at_rest
    asked: list[int] = []

    def failing(fabric: object, start: object) -> object:
        asked.append(1)
        if len(asked) in (2, 4):
            raise NoEquilibriumError("no rest here")
        return at_rest(fabric, start)  # type: ignore[arg-type]

    monkeypatch.setattr(pieces_of, "at_rest", failing)
    found = vary(scene, "repeat", Sampling(6, 0.01, 7), processes=1)
    assert [one.said for one in found.pieces] == ["", "no rest here", "", "no rest here", "", ""]
    assert found.outcomes == tuple(whole.outcomes[number] for number in (0, 2, 4, 5))
    assert asdict(found.pieces[1])["outcome"] is None


def test_pairs_of_hands_that_find_no_rest_give_way_to_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    at_rest = pieces_of.at_rest
    asked: list[int] = []

    def failing(fabric: object, start: object) -> object:
        asked.append(1)
        if len(asked) == 1 + 10:  # one piece, then 7 of each pair
            raise NoEquilibriumError("no rest here")
        return at_rest(fabric, start)  # type: ignore[arg-type]

    monkeypatch.setattr(pieces_of, "at_rest", failing)
    shares = vary(scene_of(BLOCK, -0.05), "repeat", Sampling(1, 0.01, 7, pairs=4), processes=1).shares
    assert shares is not None
    assert (shares.samples, shares.pieces, shares.lost) == (4, 5 * 7, 1)


def test_none_at_rest_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    scene = scene_of(BLOCK, -0.05)
    at_rest = pieces_of.at_rest
    asked: list[int] = []

    def failing(fabric: object, start: object) -> object:
        asked.append(1)
        if len(asked) in (1, 2):
            raise NoEquilibriumError("no rest here")
        return at_rest(fabric, start)  # type: ignore[arg-type]

    monkeypatch.setattr(pieces_of, "at_rest", failing)
    with pytest.raises(NoEquilibriumError, match="no rest here"):
        vary(scene, "repeat", Sampling(2, 0.01, 7), processes=1)


def test_whoever_waits_is_told_what_is_knitted_and_how_many() -> None:
    told: list[Any] = []

    def counted(said: str, most: int) -> Any:
        told.append((said, most))
        return told.append

    spreads = Hands(0.001, 0.0, 0.0, 0.0, 1.0)
    vary(one_float(-0.01), "repeat", Sampling(3, 1e-9, 1, spreads, pairs=2), processes=1, counted=counted)
    assert told == [("pieces", 3), 1, 2, 3, ("pieces for the shares", 6), 3, 6]
