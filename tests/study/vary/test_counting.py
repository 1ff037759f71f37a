"""How pieces are counted, from made-up ones: when there are enough, which of them shares are made of, what is told."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.setup import set_up
from fabricsim.study.vary import variation
from fabricsim.study.vary.pieces import Outcome, Piece
from fabricsim.study.vary.variation import LEAST, OUTPUTS, Sampling, Variation, enough, identity
from tests.support.scenes import scene_of

SCENE = scene_of(("#.....", ".....#"), -0.05)


def piece(lost: float | None, number: int = 0) -> Piece:
    """Return a piece that lost so much of its width; None: it found no rest."""
    outcome = None if lost is None else Outcome(lost, 1.0, 1.0 - lost, 0.001 * number, 0.1, 0, 1)
    return Piece(0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, outcome, "" if outcome else f"no rest {number}")


@dataclass
class MadeUpHands:
    """Stands for those who knit: piece by piece what ``lost`` says of its number."""

    lost: Callable[[int], float | None]
    given: list[tuple[int, str]] = field(default_factory=list)
    hands: list[Any] = field(default_factory=list)
    workers: list[dict[str, Any]] = field(default_factory=list)
    ended: int = 0

    def in_turn(
        self, bench: Any, hand_of: Callable[[int], Any], most: int, name: str, **workers: Any
    ) -> Generator[Piece, None, None]:
        self.workers.append(workers)
        try:
            for number in range(most):
                self.given.append((number, name))
                self.hands.append(hand_of(number))
                yield piece(self.lost(number), number)
        finally:
            self.ended += 1


def knitted(
    monkeypatch: pytest.MonkeyPatch, lost: Callable[[int], float | None]
) -> tuple[MadeUpHands, Any, Callable[[str, int], variation.Counted], list[Any]]:
    """Return who knits, their bench, whom to tell, and what is told."""
    hands = MadeUpHands(lost)
    told: list[Any] = []

    def begin(said: str, most: int) -> variation.Counted:
        told.append((said, most))
        return told.append

    monkeypatch.setattr(variation, "in_turn", hands.in_turn)
    bench = type("Bench", (), {"fabric": set_up(SCENE, "repeat")})()
    return hands, bench, begin, told


def test_it_ends_with_the_first_that_is_enough_of_those_that_came_to_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    hands, bench, begin, told = knitted(monkeypatch, lambda number: None if number % 3 == 1 else 0.05)
    found = variation._pieces(bench, Sampling(100, 0.01), begin("pieces", 100), {"processes": 3})
    assert len([one for one in found if one.outcome is not None]) == LEAST
    assert found[-1].outcome is not None
    assert told[1:] == list(range(1, len(found) + 1))
    assert hands.given == [(number, "piece") for number in range(len(found))]
    assert hands.workers == [{"processes": 3}]
    assert hands.ended == 1  # nobody goes on knitting
    short = variation._pieces(bench, Sampling(7, 0.01), begin("pieces", 7), {})
    assert short == found[:7]


def test_enough_is_known_to_the_error_that_was_asked_for_and_from_no_fewer_than_the_least() -> None:
    """Of 1 and -1 by turns, 40 of them, the standard error of the mean is sqrt(40 / 39 / 40)."""
    by_turns = np.array([1.0, -1.0] * 20)
    error = (1.0 / 39.0) ** 0.5
    assert enough(by_turns, error * 1.000001)
    assert not enough(by_turns, error * 0.999999)
    assert enough(np.zeros(LEAST), 0.0)
    assert not enough(np.zeros(LEAST - 1), 1.0)
    assert not enough(np.zeros(0), 1.0)


def test_shares_are_of_the_first_pairs_whose_pieces_all_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of five inputs a pair takes seven pieces, of these one pair in three loses one."""
    spreads = Sampling(1, 0.1).hands
    hands, bench, begin, told = knitted(
        monkeypatch, lambda number: None if number // 7 % 3 == 1 and number % 7 == 4 else 0.01 * (number % 11)
    )
    values: list[Any] = []

    def indices(value_kwo: Any, seed: int) -> tuple[Any, ...]:
        values.append((value_kwo, seed))
        return tuple(np.full((3, 5), 0.1 * one) for one in range(1, 5))

    monkeypatch.setattr(variation, "indices", indices)
    shares = variation._shares(bench, Sampling(1, 0.1, 5, spreads), 5, begin, {"cluster": "c"})
    assert shares is not None
    assert shares.inputs == ("slack", "rows", "floats", "stretch", "bending")
    assert shares.outputs == OUTPUTS
    # tried: 0, lost, 2, 3, lost, 5, 6 - of the five that rest as many as make a power of two
    assert (shares.samples, shares.pieces, shares.lost) == (4, 7 * 7, 2)
    ((value_kwo, seed),) = values
    assert seed == 5
    want = [
        [[0.01 * (n % 11), 1.0 - 0.01 * (n % 11), 0.001 * n] for n in range(7 * pair, 7 * pair + 7)]
        for pair in (0, 2, 3, 5)
    ]
    np.testing.assert_allclose(value_kwo, want)
    assert [float(one[0, 0]) for one in (shares.alone, shares.whole, shares.alone_error, shares.whole_error)] == (
        pytest.approx([0.1, 0.2, 0.3, 0.4])
    )
    assert told == [("pieces for the shares", 35), 7, 14, 21, 28, 35, 42, 49]
    assert {name for _, name in hands.given} == {"share of 5"}
    assert hands.ended == 1
    assert hands.workers == [{"cluster": "c"}]
    # A, B, and A with each input as in B
    one, other = hands.hands[0], hands.hands[1]
    for name, mixed in zip(shares.inputs, hands.hands[2:7], strict=True):
        assert np.array_equal(getattr(mixed, name), getattr(other, name))
        assert mixed.gauge == one.gauge != other.gauge
    assert hands.hands[7].slack != one.slack


@pytest.mark.parametrize(("rest", "samples"), [(1, None), (2, 2), (3, 2), (4, 4)])
def test_where_hardly_any_pair_rests_there_are_no_shares(
    monkeypatch: pytest.MonkeyPatch, rest: int, samples: int | None
) -> None:
    hands, bench, begin, _ = knitted(monkeypatch, lambda number: 0.01 * number if number // 7 < rest else None)
    shares = variation._shares(bench, Sampling(1, 0.1), 4, begin, {})
    assert (None if shares is None else shares.samples) == samples
    tried = len(hands.given)
    assert tried == (4 * 7 if rest == 4 else 8 * 7)  # no more than twice as many as were asked for
    assert shares is None or (shares.pieces, shares.lost) == (tried, tried // 7 - rest)


def test_a_study_can_go_on_to_more_pieces_and_is_another_by_anything_else() -> None:
    asked = Sampling(10, 0.01, 3)
    one = identity(SCENE, "repeat", 0.1, True, asked)
    assert one == identity(SCENE, "repeat", 0.1, True, replace(asked, runs=99, error=0.5, pairs=7))
    assert one["command"] == "vary"
    assert one["scene"] == scene_hash(SCENE)
    others = [
        identity(scene_of(("#.....", ".....#"), -0.06), "repeat", 0.1, True, asked),
        identity(SCENE, "round", 0.1, True, asked),
        identity(SCENE, "repeat", 0.2, True, asked),
        identity(SCENE, "repeat", 0.1, None, asked),
        identity(SCENE, "repeat", 0.1, True, replace(asked, seed=4)),
        identity(SCENE, "repeat", 0.1, True, replace(asked, hands=replace(asked.hands, rows=0.5))),
    ]
    for number, other in enumerate(others):
        assert [key for key in one if one[key] != other[key]] == [list(one)[number + 1]]


def test_what_pieces_come_to_is_that_of_those_at_rest() -> None:
    pieces = (piece(0.01, 1), piece(None, 2), piece(0.03, 3))
    found = Variation(set_up(SCENE, "repeat"), Sampling(3, 0.5), piece(0.02), pieces, None)
    assert [one.lost for one in found.outcomes] == [0.01, 0.03]
    assert found.of(lambda one: one.lost).mean == pytest.approx(0.02)
    assert found.of(lambda one: one.pucker).count == 2
    assert not found.reached
    many = replace(found, pieces=tuple(piece(0.02) for _ in range(LEAST)))
    assert many.reached
