"""What stands on a chart for printing and what is told of it, from small scenes."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.cli.commands.chart.data import for_programs
from fabricsim.cli.commands.chart.words import sheet_of, told
from fabricsim.design.floats.on_paper import charted_piece, charted_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.render.chart.layout import SheetLayout, Tile
from fabricsim.render.chart.sheet import ChartSheet
from tests.cli.made_up import scene_of
from tests.cli.printed import rounded

LONG = ["..........", "o........o", ".........."]
BELOW = "milk lies below: carry its strand under that of ink, and never swap them."


def sheet(scene: Scene, *, square: bool = False, marks: bool = False, piece: bool = False) -> ChartSheet:
    return sheet_of(scene, (charted_piece if piece else charted_repeat)(scene), square=square, marks=marks)[0]


def test_all_that_stands_beside_a_repeat() -> None:
    made = sheet(scene_of(0.0, LONG, chart={"across": 2, "up": 3}))
    assert made.title == "Made up"
    assert made.about == (
        "Each square is one stitch, seen from the face. Rounds have the numbers of the pattern; the lowest "
        "is worked as rounds 1, 4 and 7. "
        "Start at the bottom right; read every round from right to left."
    )
    assert made.repeat == "repeat 10 sts x 3 rounds, twice across, 3 times up"
    assert [(one.name, one.said, one.listed, one.square.symbol) for one in made.yarns] == [
        ("milk", "#eeeae0, 28 stitches (93 %)", True, "."),
        ("ink", "#1d2b4f, 2 stitches (7 %)", True, "o"),
    ]
    assert made.framed is None
    assert made.long == (
        "A line low in the squares: behind these a float runs past the limit of 5 stitches or 2.5 cm (1 "
        "float in the repeat)."
    )
    assert made.caught is None
    assert made.foot == "They have the proportions of your stitches: 20 across, 20 up to 10 cm. " + BELOW
    assert (made.row, made.shape) == ("round", 1.0)


def test_all_that_stands_beside_a_piece_worked_flat_in_square_squares() -> None:
    catches = [{"row": 2, "stitch": 5, "yarn": "o"}]
    scene = scene_of(0.0, LONG, worked="flat", item="baby hat", floats={"catches": catches})
    made = sheet(scene, square=True, piece=True)
    assert made.about == (
        "Each square is one stitch, seen from the face. Start at the bottom right. Rows numbered at the "
        "right are right-side rows, read from right to left; rows numbered at the left are wrong-side rows, "
        "read from left to right."
    )
    assert made.repeat == "repeat 10 sts x 3 rows, once across, once up"
    assert made.framed == "The frame holds one repeat."
    assert made.long == (
        "A line low in the squares: behind these a float runs past the limit of 5 stitches or 1 cm (2 floats "
        "in the piece)."
    )
    assert made.caught == "A ring: catch here what is carried behind this stitch."
    assert made.foot == (
        f"They are square, not in the proportions of your stitches. {BELOW} Caution: a float can snag, and a thread "
        "round a tiny finger or toe can cut off blood unseen, so things for baby hands and feet get no open "
        "floats (line them). How long a float may be is for the rules that hold where the item is sold, and "
        "for you as the maker, to say."
    )
    assert (made.row, made.shape) == ("row", 1.0)


def test_an_odd_repeat_worked_flat_changes_sides_only_where_it_is_worked_again() -> None:
    odd = " The repeat has an odd number of rows (3): in every second repeat up, right-side and wrong-side rows change"

    def about(piece: bool = False, **chart: int) -> str:
        return sheet(scene_of(0.0, LONG, worked="flat", chart=chart), piece=piece).about

    assert odd in about(up=2)
    assert odd not in about(up=1)
    assert odd not in about(piece=True, up=2)
    assert odd not in sheet(scene_of(0.0, LONG, chart={"up": 2})).about
    assert "Start at the bottom right." in about()
    assert "Start at the bottom left." in about(plain_below=1)
    assert "Start at the bottom right." in about(plain_below=1, piece=True)


def test_squares_have_the_shape_of_the_stitches_and_the_limit_counts() -> None:
    scene = scene_of(0.0, LONG, gauge={"stitches": 20, "rows": 25}, floats={"longest_cm": 6.0})
    made = sheet(scene)
    assert made.shape == pytest.approx(0.8)
    assert made.foot == "They have the proportions of your stitches: 20 across, 25 up to 10 cm. " + BELOW
    assert made.long is None


CATCHES = [
    *({"row": 2, "stitch": n, "yarn": "o", "repeat": "first"} for n in range(2, 10)),
    {"row": 2, "stitch": 5, "repeat": "last"},
]


def test_catches_beside_the_join_are_told_on_a_chart_of_one_repeat() -> None:
    scene = scene_of(0.0, LONG, chart={"across": 2}, floats={"catches": CATCHES})
    assert sheet(scene).joins == (
        "Only in the first repeat of a round, at its beginning, catch too: ink behind stitch 9 of round 2, "
        "ink behind stitch 8 of round 2, ink behind stitch 7 of round 2, ink behind stitch 6 of round 2, ink "
        "behind stitch 5 of round 2, ink behind stitch 4 of round 2, ink behind stitch 3 of round 2, ink "
        "behind stitch 2 of round 2. Only in the last repeat of a round, at its end, catch too: what passes "
        "behind stitch 5 of round 2."
    )
    more = scene_of(
        0.0,
        [LONG[0], "o........o", "o........o"],
        chart={"across": 2},
        floats={"catches": [*CATCHES, {"row": 1, "stitch": 5, "yarn": "o", "repeat": "first"}]},
    )
    assert ", and 1 more." in (sheet(more).joins or "")
    assert sheet(scene, piece=True).joins is None


@pytest.mark.parametrize(
    ("stitches", "said"),
    [
        (4, "A round begins with the 2 at the right and ends with the 2 at the left; they are cut apart between the "
         "last and the first."),
        (5, "A round begins with the 3 at the right and ends with the 2 at the left; they are cut apart in the middle "
         "of the first."),
    ],
)  # fmt: skip
def test_a_filled_corner_is_a_stitch_of_the_steek(stitches: int, said: str) -> None:
    made = sheet(scene_of(0.0, LONG, chart={"across": 3}, steek={"stitches": stitches}), piece=True)
    assert (
        made.steek
        == f"A filled corner: a stitch of the steek. {said} No float there counts, and no stitch is numbered."
    )
    assert sheet(scene_of(0.0, LONG, chart={"across": 3}), piece=True).steek is None


def test_sizes_of_one_count_stand_together() -> None:
    scene = scene_of(0.0, LONG, chart={"across": 3})
    sizes = [("small", 20), ("medium", 20), ("large", 30)]
    made, _ = sheet_of(scene, charted_piece(scene), square=False, marks=False, sizes=sizes)
    assert [(one.label, one.stitches) for one in made.sizes] == [
        ("small and medium: 20 sts", 20),
        ("large: 30 sts", 30),
    ]


@pytest.mark.parametrize(
    ("symbols", "marks", "note"),
    [
        ("O0", False, "Plain marks stand for the yarns, as 'O' and '0' look too alike in small print."),
        ("O0", True, ""),
        (".o", False, ""),
        (".o", True, ""),
    ],
)
def test_plain_marks_stand_in_where_symbols_look_alike(symbols: str, marks: bool, note: str) -> None:
    yarns = [{"symbol": symbol, "name": symbol, "colour": "#eeeae0", "tex": 500} for symbol in symbols]
    scene = scene_of(0.0, [f"{symbols[0] * 4}{symbols[1]}"], yarns=yarns)
    made, said = sheet_of(scene, charted_repeat(scene), square=False, marks=marks)
    assert said == note
    assert ([one.square.symbol for one in made.yarns] == list(symbols)) == (not marks and not note)


UPRIGHT, ON_ITS_SIDE = (210.0, 297.0), (297.0, 210.0)
ONE = SheetLayout(UPRIGHT, 11.96, 8.04, (Tile((0, 3), (0, 10), 0, 0),))
SIX = SheetLayout(
    ON_ITS_SIDE, 4.0, 3.0, tuple(Tile((0, 3), (0, 10), across, up) for up in range(2) for across in range(3))
)


def test_where_the_chart_is_and_how_it_is_laid_out() -> None:
    assert told([Path("charts/hat.pdf")], ONE) == (
        "The chart is in charts/hat.pdf: 1 sheet of A4 upright, squares 12.0 x 8.0 mm; print it at 100 %."
    )
    assert told([Path(f"charts/hat-{number}.svg") for number in range(1, 7)], SIX) == (
        "The chart is in charts/hat-1.svg to hat-6.svg: 6 sheets of A4 on its side (3 side by side, 2 one "
        "above the other), squares 4.0 x 3.0 mm; print it at 100 %."
    )


def test_for_programs() -> None:
    scene = scene_of(0.0, LONG, chart={"across": 2}, floats={"catches": [{"row": 2, "stitch": 5}], "longest_gap": 3})
    said = for_programs(scene, charted_repeat(scene), SIX, [Path("a-1.png"), Path("a-2.png")], piece=False)
    assert said.pop("scene_hash") == scene_hash(scene)
    assert rounded(said) == {
        "schema_version": 1,
        "command": "chart",
        "title": "Made up",
        "counted": "repeat",
        "rows": 3,
        "stitches": 10,
        "floats_over_limit": 1,
        "strands_from_below": [".", "o"],
        "catches": 1,
        "files": ["a-1.png", "a-2.png"],
        "sheets": 6,
        "sheets_across": 3,
        "sheets_up": 2,
        "sheet_mm": [297.0, 210.0],
        "square_width_mm": 4.0,
        "square_height_mm": 3.0,
    }
    piece = for_programs(scene, charted_piece(scene), ONE, [Path("a.png")], piece=True)
    assert (piece["counted"], piece["stitches"], piece["catches"], piece["sheets"]) == ("piece", 20, 2, 1)
