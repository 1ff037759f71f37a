"""Scenes whose rows are shaped, held against a hand that knits their printed words."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.design.floats.on_paper import charted_piece
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.shaped_piece import shaped_rows
from fabricsim.design.piece.swatch import swatch_of
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from tests.design.piece.needle import Needle, knit

CHART = ["ab.c.d", "......"]
YARNS = [
    {"symbol": symbol, "name": f"yarn {symbol}", "colour": colour, "tex": 400}
    for symbol, colour in zip(".abcd", ("#808080", "#a03020", "#3020a0", "#20a030", "#101010"), strict=True)
]


def shaped(shaping: dict[str, Any], *, across: int = 4, **more: Any) -> Scene:
    return Scene.model_validate(
        {
            "title": "shaped",
            "worked": "round",
            "chart": {"rows": CHART, "across": across, "up": 8},
            "yarns": YARNS,
            "gauge": {"stitches": 20, "rows": 26},
            "shaping": shaping,
            **more,
        }
    )


SLEEVE = {"increase_every": 3, "increases": 4}
TOP_DOWN = {"decrease_every": 4, "decreases": 3, "first_row": 3}
YOKE = {"spread": [{"row": 5, "every": 4}, {"row": 11, "every": 3}]}
STAR = {"wedge_rows": [4, 8, 12], "wedge_decrease": "k2tog"}


def knitted(scene: Scene) -> Needle:
    """Return what comes of the printed words."""
    told = recorded(lambda page: words.tell(page, piece_of(scene)))
    return knit("\n".join(one.text for one in told if isinstance(one, Sentence)), flat=scene.worked == "flat")


@pytest.mark.parametrize("item", [None, "hat"])
@pytest.mark.parametrize(
    "shaping",
    [SLEEVE, TOP_DOWN, YOKE, STAR, {**STAR, "wedge_decrease": "ssk"}, {"wedge_rows": [4, 8], "wedge_decrease": "cdd"}],
    ids=["sleeve", "top down", "yoke", "k2tog", "ssk", "cdd"],
)
def test_the_words_knit_the_fabric_that_is_simulated_stitch_for_stitch(
    shaping: dict[str, Any], item: str | None
) -> None:
    scene = shaped(shaping, item=item, across=8)
    piece = piece_of(scene)
    needle, rows, called = knitted(scene), shaped_rows(piece), words.letters(piece)
    simulated = [
        [(made, called[yarn]) for made, yarn in zip(reversed(row.made), reversed(row.yarns), strict=True)]
        for row in rows.rows
    ]
    assert [row.made for row in needle.rows] == simulated
    assert max(len(row.made) for row in needle.rows) != min(len(row.made) for row in needle.rows)


def test_a_sleeve_worked_flat_is_shaped_on_its_right_side() -> None:
    scene = shaped({"increase_every": 4, "increases": 3, "first_row": 3}, worked="flat", item="sleeves")
    piece = piece_of(scene)
    rows, needle = shaped_rows(piece), knitted(scene)
    assert [len(row.made) for row in needle.rows] == [len(row) for row in rows.rows]
    made = [side for row, side in zip(needle.rows, needle.sides, strict=True) if ("m1l", "MC") in row.made]
    assert made == ["RS"] * 3


def test_the_pattern_goes_on_into_new_stitches_and_stays_where_it_was() -> None:
    scene = shaped(SLEEVE)
    width = len(scene.piece_rows()[0])
    for yarn_j, plain_j in zip(scene.knitted_rows(), scene.piece_rows(), strict=True):
        more = (len(yarn_j) - width) // 2
        assert yarn_j[more : more + width] == plain_j
        assert yarn_j[:more] == tuple(plain_j[(column - more) % 6] for column in range(more))
    assert [len(yarn_j) for yarn_j in scene.knitted_rows()][:4] == [24, 24, 26, 26]


def test_the_wedges_of_a_yoke_lose_the_columns_at_which_they_decrease() -> None:
    rows = shaped(STAR).knitted_rows()
    motif = shaped(STAR).chart_rows()[1]
    assert rows[1] == motif * 4
    assert rows[3] == shaped(STAR).chart_rows()[1][1:] * 4  # k2tog at the left of each
    assert rows[11] == motif[3:] * 4
    middle = shaped({"wedge_rows": [4], "wedge_decrease": "cdd"}).knitted_rows()[3]
    assert middle == (motif[0], motif[1], motif[3], motif[5]) * 4  # the fourth of six from the left, about its middle


def test_after_a_spread_row_the_chart_begins_anew() -> None:
    rows = shaped(YOKE).knitted_rows()
    motif = shaped(YOKE).chart_rows()[1]
    assert [len(one) for one in rows] == [24] * 4 + [18] * 6 + [12] * 6
    assert rows[5] == motif * 3


WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "no row": ({}, "no row that is shaped"),
    "half": ({"increases": 3}, "increase_every and increases, one of them"),
    "both": ({**SLEEVE, **TOP_DOWN}, "increases and decreases; allowed: one of them"),
    "high": ({"spread": [{"row": 99, "every": 5}]}, "round 99; allowed: rounds 2 to 16 of the piece"),
    "twice": ({**SLEEVE, "wedge_rows": [6]}, "round 6 shaped twice"),
    "repeat": ({"spread": [{"row": 5, "stitches": 20}]}, "round 5: 24 to 20 stitches; allowed: whole repeats of the"),
    "halved": ({"spread": [{"row": 5, "stitches": 6}]}, "round 5, stitch 6: 24 to 6 stitches; allowed: 12 to 48"),
    "neither": ({"spread": [{"row": 5}]}, "neither stitches nor every"),
    "wedge": ({"wedge_rows": list(range(2, 9))}, "round 7, stitch 1: k2tog in a wedge of 1"),
    "sides": ({"decrease_every": 2, "decreases": 8, "first_row": 2}, "round"),
    "mixed": ({"wedge_rows": [8], **SLEEVE}, "round 8: wedges where stitches came or went at the sides"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_cannot_be_worked_is_said_with_round_and_stitch(name: str) -> None:
    shaping, said = WRONG[name]
    across = 2 if name == "sides" else 4
    with pytest.raises((InputError, ValueError)) as caught:
        shaped(shaping, across=across)
    assert said in str(caught.value)


def test_decreases_beyond_the_stitches_there_are_name_the_round_and_the_stitch() -> None:
    with pytest.raises(InputError, match=r"round 10, stitch 1: ssk after k1, k2tog, with 4 stitches there"):
        shaped({"decrease_every": 2, "decreases": 7, "first_row": 2}, across=2)


def test_a_shaped_scene_has_no_steek() -> None:
    with pytest.raises(InputError, match="given shaping and a steek; allowed: one of the two; take one of them out"):
        shaped(SLEEVE, steek={"stitches": 12})


def test_a_crown_over_too_few_stitches_is_told() -> None:
    scene = shaped({"wedge_rows": [3, 5, 7, 9, 11]}, item="hat")
    with pytest.raises(InputError, match="4 stitches left for the crown"):
        piece_of(scene)


def test_one_in_so_many_goes_to_the_nearest_whole_repeat() -> None:
    rows = shaped({"spread": [{"row": 5, "every": 5}]}, across=8).knitted_rows()
    assert [len(rows[3]), len(rows[4])] == [48, 36]  # 38.4 would be one in five
    rows = shaped({"spread": [{"row": 5, "every": 5}]}, across=10).knitted_rows()
    assert [len(rows[3]), len(rows[4])] == [60, 48]


def test_a_swatch_of_a_shaped_scene_is_plain_and_its_whole_chart_is_not_printed() -> None:
    scene = shaped(SLEEVE, item="sleeves")
    assert swatch_of(scene).shaping is None
    with pytest.raises(InputError, match="a shaped piece; allowed: the repeat of its chart"):
        charted_piece(scene)
