"""Mittens: closed at the tip, as long as the hand, the thumb knitted from the words; and what other things lack."""

from __future__ import annotations

import re

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.finishing import finishing
from fabricsim.cli.shell.options import with_across
from fabricsim.cli.words.left_out import left_out
from fabricsim.cli.words.thumbs import OTHER_HAND
from fabricsim.design.counted.yarn_amounts import TAIL, yarn_amounts
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.thumb import HAND_LONG, thumb_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import without_forecast
from tests.design.piece.needle import knit
from tests.design.scenes import scene_table


def made(item: str = "mittens", worked: str = "round", **sizes: object) -> Scene:
    return Scene.model_validate(
        {**scene_table(["A...", ".A..", "..A."], worked=worked, across=9), "item": item, "sizes": sizes}
    )


def every_size(scene: Scene) -> list[WholePiece]:
    return [
        piece_of(with_across(scene, one.counted.repeats), one) for one in without_forecast(scene).sizes if one.counted
    ]


@pytest.mark.parametrize("item", ["mittens", "child mittens"])
def test_every_size_is_closed_and_as_long_as_the_hand(item: str) -> None:
    pieces = every_size(made(item))
    assert pieces
    for piece in pieces:
        assert piece.end == "draw together"
        assert piece.crown is not None
        assert piece.hand is not None
        above = piece.height() - piece.height("rib")
        assert above == pytest.approx(piece.hand, abs=0.51 * piece.scene.gauge.row_height)
        ease = piece.finished / (piece.hand / HAND_LONG) - 1.0
        assert -0.10 < ease < 0.20
        told = "\n".join(one.text for one in words.pattern(piece))
        needle = knit(told)
        assert (needle.ended, needle.last) == ("Draw together", piece.crown.wedges)
        assert any("from the wrist" in one for one in words.before_reading(piece))
        assert "head" not in " ".join(finishing(piece, words.letters(piece)))


def test_the_thumb_is_knitted_from_the_words_and_its_yarn_counted() -> None:
    seen = 0
    for piece in every_size(made()):
        thumb = thumb_of(piece)
        assert thumb is not None
        (place,) = (one.text for one in words.pattern(piece) if one.text.startswith("Place of the thumb"))
        row, *at = (int(number) for number in re.findall(r"\d+", place))
        right, left = range(at[0], at[1] + 1), range(at[2], at[3] + 1)
        half = piece.stitches / 2
        assert len(right) == len(left)
        assert max(right) < half < min(left)  # on the one half of the hand and on the other, by the first finger
        assert half - max(right) <= 2
        assert min(left) - half <= 2
        straight = [*piece.section("chart").rows, *piece.section("plain").rows]
        assert row in {one.number for one in straight}
        assert piece.hand is not None
        assert row * piece.scene.gauge.row_height == pytest.approx(0.4 * piece.hand, abs=piece.scene.gauge.row_height)
        said = finishing(piece, words.letters(piece))
        assert said[1] == OTHER_HAND
        below, above, more, around, rounds, two, last = (int(number) for number in re.findall(r"\d+", said[0]))
        assert (below, above, more, two) == (len(right), len(right), 1, 2)
        assert around == below + above + 2 * more  # what is on the needles, and one at each end
        assert around == 2 * last  # knitted together in pairs
        assert 0.3 < around / piece.stitches < 0.45
        amounts = yarn_amounts(piece.scene, around=around_of(piece)).yarns
        # stitch by stitch: two picked up, every round, the last
        stitches = 2 * more + rounds * around + last
        (mine,) = (one for one in amounts if one.thumb)
        assert mine.thumb == pytest.approx(stitches * piece.scene.gauge.loop_length)
        assert mine.tails == pytest.approx((mine.ends - 2) * TAIL)  # cast-on and drawn end bring their own
        seen += 1
    assert seen >= 3


@pytest.mark.parametrize(
    ("item", "worked", "says"),
    [
        ("socks", "round", "heel, foot and toe"),
        ("baby socks", "flat", "heel, foot and toe"),
        ("sleeves", "round", "shaping from the wrist"),
        ("body", "flat", "armholes, neck, shoulders"),
        ("yoke", "round", "decreases towards the neck"),
        ("mittens", "flat", "the thumb; leave the seam open"),
        ("baby mittens", "round", "no thumb"),
    ],
)
def test_what_a_tester_might_look_for_in_vain_is_said(item: str, worked: str, says: str) -> None:
    piece = piece_of(made(item, worked))
    (said,) = left_out(piece)
    assert says in said
    assert said in words.before_reading(piece)


@pytest.mark.parametrize("item", ["hat", "cowl", "cuffs", "mittens"])
def test_what_is_whole_is_not_excused(item: str) -> None:
    assert left_out(piece_of(made(item))) == []


def test_a_tube_is_still_to_be_had() -> None:
    piece = piece_of(made(crown=False))
    assert piece.end == "bind off"
