"""Linings: where there is one, what it takes of yarn and width, and that it covers every row with floats."""

from __future__ import annotations

from math import pi

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.finishing import finishing
from fabricsim.design.counted.yarn_amounts import BIND_OFF_WIDTHS, TAIL, yarn_amounts
from fabricsim.design.piece.lining import lining_of
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import without_forecast
from fabricsim.design.sizes.makeup import LINING_THICKNESS, makeup_of
from fabricsim.design.sizes.plan import plan_of
from tests.design.scenes import scene_table

CHART = ["A...", ".A..", "...A"]


def lined(item: str, rows: list[str] | None = None, **sizes: object) -> Scene:
    table = scene_table(rows or CHART, across=8)
    return Scene.model_validate({**table, "item": item, "sizes": sizes})


def test_baby_hands_and_feet_are_lined_unless_nothing_floats_or_it_is_said() -> None:
    assert makeup_of(lined("baby mittens")).lining
    assert makeup_of(lined("baby socks")).lining
    assert not makeup_of(lined("baby hat")).lining
    assert not makeup_of(lined("baby socks", ["...."])).lining
    assert not makeup_of(lined("baby socks", lining=False)).lining
    assert makeup_of(lined("hat", lining=True)).lining


def test_a_lined_size_is_as_much_wider_as_the_lining_takes() -> None:
    with_one, without = (plan_of(lined("mittens", bodies=["woman"], lining=is_lined)) for is_lined in (True, False))
    body = with_one.bodies[0]
    thickness = LINING_THICKNESS * with_one.scene.gauge.stitch_width
    assert with_one.wanted(body) - without.wanted(body) == pytest.approx(2.0 * pi * thickness)
    (one,) = without_forecast(with_one.scene).sizes
    assert one.counted is not None
    inside = one.counted.finished - 2.0 * pi * thickness
    assert one.ease == pytest.approx(inside / one.worn_at - 1.0)


@pytest.mark.parametrize("item", ["hat", "mittens"])
def test_its_yarn_is_counted_stitch_by_stitch(item: str) -> None:
    piece, bare = (piece_of(lined(item, lining=is_lined)) for is_lined in (True, False))
    made = lining_of(piece)
    assert made is not None
    assert lining_of(bare) is None
    # she picks up, works every row above the rib again, and closes as the piece does
    stitches, on_needle = piece.stitches, piece.stitches
    for row in piece.rows:
        if row in piece.section("rib").rows or row in piece.section("adjusting").rows:
            continue
        on_needle = row.after
        stitches += on_needle
    assert (made.stitches, made.last) == (stitches, on_needle)
    (more, _), (less, _) = (yarn_amounts(one.scene, around=around_of(one)).yarns for one in (piece, bare))
    width = piece.scene.gauge.stitch_width
    assert more.lining == pytest.approx(stitches * piece.scene.gauge.loop_length + on_needle * BIND_OFF_WIDTHS * width)
    assert more.length - less.length == pytest.approx(more.lining + 2.0 * TAIL * (1 + more.balls - less.balls))
    (said,) = (one for one in finishing(piece, words.letters(piece)) if one.startswith("Line it"))
    assert said.startswith(
        f"Line it, so that nothing gets behind the floats: from the inside pick up {piece.stitches} st"
    )
    assert "of the crown again" in said
    assert ("Hold the place of the thumb in it too" in said) == (item == "mittens")
    assert "safe" not in said
