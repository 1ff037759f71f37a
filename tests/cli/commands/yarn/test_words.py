"""What ``yarn`` says, from amounts that nobody reckoned."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.cli.commands.yarn.command import answer_by_size, answer_of
from fabricsim.cli.commands.yarn.data import for_programs
from fabricsim.cli.commands.yarn.words import left_of_balls, tell
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.design.counted.yarn_amounts import Amounts, YarnAmount
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.read import scene_hash
from fabricsim.units import GRAM
from tests.cli.made_up import scene_of
from tests.cli.printed import printed, rounded


def amount(yarn: int, metres: float, balls: int) -> YarnAmount:
    """Return so many metres of a yarn of 500 tex, half a gram each, and 15 % to spare."""
    return YarnAmount(
        yarn=yarn,
        stitches=100,
        loops=metres,
        floats=0.0,
        catches=0.0,
        carried=0.0,
        edges=0.0,
        ends=2,
        tails=0.0,
        tex=500.0,
        margin=0.15,
        balls=balls,
    )


def said(*yarns: YarnAmount) -> list[str]:
    scene, found = scene_of(0.0), Amounts(yarns, pieces=1, over_plain=None, areal_mass=0.2)
    return [
        one.text for one in recorded(lambda page: tell(page, piece_of(scene), found, True)) if isinstance(one, Sentence)
    ]


def test_what_is_left_of_the_balls_is_not_what_is_to_spare() -> None:
    scene = scene_of(0.0)
    ball = scene.yarns[0].ball_grams
    one = amount(0, 40.0, 1)  # 20 g; 3 g to spare
    assert left_of_balls(scene, one) == pytest.approx(ball - 20.0)
    assert one.left_of_balls(ball * GRAM) == pytest.approx((ball - 20.0) * GRAM)
    left = f"Left of these balls when it is done: {ball - 20:.0f} g of {scene.yarns[0].name}"
    spare = "the 15 % to spare, in case your hands take more."
    assert f"{left}. Of that, 3 g is {spare}" in said(one)
    two = amount(1, 160.0, 2)  # 80 g; 12 g to spare
    other = f"{2 * scene.yarns[1].ball_grams - 80:.0f} g of {scene.yarns[1].name}"
    assert f"{left} and {other}. Of that, 3 g and 12 g are {spare}" in said(one, two)


WHOLE = replace(amount(0, 100.0, 2), stitches=300, floats=20.0, catches=1.5, carried=0.25, edges=3.0, ends=4, tails=0.6)
OTHER = replace(amount(1, 1200.0, 14), stitches=100, ends=2, tails=0.3)


def test_all_that_is_said_of_one_piece() -> None:
    found = Amounts((WHOLE, OTHER), pieces=1, over_plain=0.1234, areal_mass=0.2)
    assert (
        printed(answer_of(piece_of(scene_of(0.0)), found).tell)
        == """\
**Made up**
12 stitches x 3 rounds

**To buy, 15 % to spare included**
yarn  of stitches  of yarn  metres  grams  balls  each of
----  -----------  -------  ------  -----  -----  -----------
milk         75 %      9 %     144     72      2  50 g, 100 m
ink          25 %     91 %   1,380    690     14  50 g, 100 m

**Where it goes, in metres**
yarn  stitches  floats  catches  carried up  cast-on, bind-off  ends  in all
----  --------  ------  -------  ----------  -----------------  ----  ------
milk       100    20.0      1.5         0.2                3.0   0.6     125
ink      1,200     0.0      0.0         0.0                0.0   0.3   1,200

A patterned round takes 12 % more yarn than a plain one.
Ends to darn in: 4 of milk, 2 of ink, 20 cm each. The finished knitting weighs about 663 g.
Left of these balls when it is done: 37 g of milk and 100 g of ink. Of that, 9 g and 90 g are the 15 % to
spare, in case your hands take more.
A swatch to try it first is not in it.
An estimate: 4.8 stitch widths of yarn to a stitch at your gauge, and floats as slack as you say. Weigh your
swatch to check."""
    )


def test_all_that_is_said_of_pieces_without_edges() -> None:
    found = Amounts((replace(WHOLE, edges=0.0),), pieces=2, over_plain=None, areal_mass=0.2)
    assert (
        printed(answer_of(piece_of(scene_of(0.0, worked="flat")), found, edges=False).tell)
        == """\
**Made up**
2 pieces of 12 stitches x 3 rows each

**To buy, 15 % to spare included**
yarn  of stitches  of yarn  metres  grams  balls  each of
----  -----------  -------  ------  -----  -----  -----------
milk        100 %    100 %     141     70      2  50 g, 100 m

**Where it goes, in metres**
yarn  stitches  floats  catches  carried up  ends  in all
----  --------  ------  -------  ----------  ----  ------
milk       100    20.0      1.5         0.2   0.6     122

Ends to darn in: 4 of milk, 20 cm each. The finished knitting weighs about 61 g.
Left of these balls when it is done: 39 g of milk. Of that, 9 g is the 15 % to spare, in case your hands take
more.
A swatch to try it first is not in it.
An estimate: 4.8 stitch widths of yarn to a stitch at your gauge, and floats as slack as you say. Cast-on and
last edge are not in it. Weigh your swatch to check."""
    )


EVERY_SIZE = """\
**Made up**

**To buy, 15 % to spare included**
size   yarn  stitches  metres  grams  balls  each of
-----  ----  --------  ------  -----  -----  -----------
small  milk        12     144     72      2  50 g, 100 m
       ink              1,380    690     14  50 g, 100 m
large  milk        12     144     72      2  50 g, 100 m
       ink              1,380    690     14  50 g, 100 m

The whole piece in each size: cast-on, chart and ends. By 4.8 stitch widths of
yarn to a stitch, and floats as slack as you say. Weigh your swatch to check.
A swatch to try it first is not in it."""


@pytest.mark.parametrize(("pieces", "edges"), [(1, True), (2, False)])
def test_all_that_is_said_of_every_size(pieces: int, edges: bool) -> None:
    scene = scene_of(0.0)
    found = Amounts((WHOLE, OTHER), pieces=pieces, over_plain=None, areal_mass=0.2)
    piece = piece_of(scene)
    every = [(replace(piece, size="small"), found), (replace(piece, size="large"), found)]
    text = printed(answer_by_size(scene, every, edges).tell)
    for_pieces, nor_edges = ("", "") if edges else (", for 2 pieces each", ", but for cast-on and last edge")
    assert " ".join(text.replace(for_pieces, "").split()).replace(nor_edges, "") == " ".join(EVERY_SIZE.split())
    assert for_pieces in text
    assert nor_edges in text


def test_for_programs_and_spreadsheets() -> None:
    scene = scene_of(0.0)
    piece = piece_of(scene)
    found = Amounts((WHOLE, OTHER), pieces=2, over_plain=0.1234, areal_mass=0.2)
    answer = answer_of(piece, found, edges=False)
    said = dict(answer.said)
    assert said.pop("scene_hash") == scene_hash(scene)
    swatch = said.pop("swatch")
    assert (swatch["stitches"], swatch["rows"]) == (36, 29)  # 14 cm at least at 20 x 20 to 10 cm, in whole repeats
    assert rounded(said) == {
        "schema_version": 2,
        "command": "yarn",
        "title": "Made up",
        "worked": "round",
        "stitches": 12,
        "rows": 3,
        "rows_of": {"chart": 3},
        "repeats_across": 1,
        "pieces": 2,
        "margin_percent": 15.0,
        "cast_on_and_bind_off": False,
        "patterned_rows_over_plain_percent": 12.34,
        "mass_g_per_m2": 200.0,
        "yarns": [
            {
                "yarn": ".",
                "name": "milk",
                "stitches": 300,
                "stitch_share_percent": 75.0,
                "yarn_share_percent": 9.09091,
                "loops_m": 100.0,
                "floats_m": 20.0,
                "catches_m": 1.5,
                "carried_up_m": 0.25,
                "edges_m": 3.0,
                "thumb_m": 0.0,
                "seam_m": 0.0,
                "lining_m": 0.0,
                "ends": 4,
                "ends_m": 0.6,
                "used_m": 125.35,
                "used_g": 62.675,
                "wanted_m": 144.152,
                "wanted_g": 72.0762,
                "ball_g": 50.0,
                "ball_m": 100.0,
                "balls": 2,
            },
            {
                "yarn": "o",
                "name": "ink",
                "stitches": 100,
                "stitch_share_percent": 25.0,
                "yarn_share_percent": 90.9091,
                "loops_m": 1200.0,
                "floats_m": 0.0,
                "catches_m": 0.0,
                "carried_up_m": 0.0,
                "edges_m": 0.0,
                "thumb_m": 0.0,
                "seam_m": 0.0,
                "lining_m": 0.0,
                "ends": 2,
                "ends_m": 0.3,
                "used_m": 1200.3,
                "used_g": 600.15,
                "wanted_m": 1380.34,
                "wanted_g": 690.172,
                "ball_g": 50.0,
                "ball_m": 100.0,
                "balls": 14,
            },
        ],
    }
    assert rounded(answer.lines) == rounded(said["yarns"])
    by_size = answer_by_size(scene, [(replace(piece, size="small"), found)])
    assert by_size.said["sizes"] == [{"size": "small", **for_programs(replace(piece, size="small"), found, True)}]
    assert by_size.lines == [{"size": "small", "stitches_across": 12, **line} for line in answer.lines]
