"""Slips of the pen in a scene file: each named at its own line, with what to write."""

from __future__ import annotations

from pathlib import Path

import matplotlib.colors
import pytest

from fabricsim.design.scene.colour_names import NAMED
from fabricsim.design.scene.read import read_scene
from fabricsim.errors import InputError

SCENE = """\
title = "a test"
worked = "round"
item = "hat"

[chart]
rows = [   # "top" first
    "..x...",
    ".x.x..",
    "x...x.",
]
across = 15

[[yarns]]
symbol = "."
name = "oat"
colour = "#e9dfc8"
metres_per_100_g = 200

[[yarns]]
symbol = "x"
name = "pine"
colour = "#2f5d50"
metres_per_100_g = 200

[gauge]
stitches = 19
rows = 25

[floats]
slack = -0.04

[sizes]
bodies = ["woman", 56.5, { name = "mine", cm = 54 }]
"""

SLIPS = {
    "no comma between rows": ('".x.x..",', '".x.x.."', ': line 8: given no comma after ".x.x..";'),
    "no comma, a remark after": ('".x.x..",', '".x.x.." # here', ': line 8: given no comma after ".x.x..";'),
    "no comma, empty lines after": ('".x.x..",', '".x.x.."\n\n', ': line 8: given no comma after ".x.x..";'),
    "no comma in a line": ('"woman", 56.5', '"woman" 56.5', ': line 33: given no comma after "woman";'),
    "no comma in a table": ('"mine", cm', '"mine" cm', ': line 33: given no comma after "mine";'),
    "no bracket": ('"x...x.",\n]', '"x...x.",\n', ": line 6: given a list that is not closed; allowed: a closing ]; "),
    "decimal comma": (
        "= 25",
        "= 25,5",
        ": line 27: given the decimal comma in 25,5; allowed: a decimal point; write 25.5",
    ),
    "decimal comma below 0": ("-0.04", "-0,04", "the decimal comma in -0,04; allowed: a decimal point; write -0.04"),
    "decimal comma in a table": ("cm = 54", "cm = 54,5", ": line 33: given the decimal comma in 54,5;"),
    "decimal comma in quotes": ("= 25", '= "25,5"', "gauge.rows: given '25,5'; allowed: a number; write 25.5, without"),
    "number in quotes": ("= 25", '= "25"', "gauge.rows: given '25'; allowed: a number; write 25, without quotes"),
    "per cent": (
        "-0.04",
        "-4 %",
        ": line 30: given -4 %; allowed: a number, or a slack with its per cent in quotes; write -0",
    ),
    "curly quotes": (
        '"oat"',
        "“oat”",
        ': line 15: given the curly quotes “ ”; allowed: straight quotes: "; write name = "oat"',
    ),
    "no quotes": (
        '"oat"',
        "oat",
        ': line 15: given oat; allowed: a text in quotes, a number, true or false; write "oat" if',
    ),
    "no closing quote": ('"oat"', '"oat', ': line 15: given the text "oat without its end; allowed: a closing quote;'),
    "colour a remark": (
        '"#2f5d50"',
        "#2f5d50",
        ": line 22: given #2f5d50, which begins a remark; allowed: a colour in",
    ),
    "colour nearly named": ('"#2f5d50"', '"tael"', "yarns (no. 2).colour: given 'tael'; allowed: a colour such as"),
    "yarns twice": (
        '[[yarns]]\nsymbol = "x"',
        '[yarns]\nsymbol = "x"',
        ": line 19: given [yarns] a second time; allowed: [[",
    ),
    "unknown table": ("[gauge]", "[guage]", "given the unknown key 'guage'"),
    "wrong body": ('"woman", 56.5', '"womna", 56.5', "sizes.bodies: given 'womna'; allowed: newborn, "),
    "short row": ('".x.x..",', '".x.x.",', "make row 2 (line 8 of the file) 6 stitches long"),
    "strange symbol": ('".x.x..",', '".x.q..",', "given 'q' in row 2 (line 8 of the file), stitch 3 from the right;"),
}


def refused(text: str, folder: Path) -> str:
    path = folder / "it.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as found:
        read_scene(path)
    return str(found.value)


@pytest.mark.parametrize("slip", SLIPS)
def test_each_is_named_where_it_is(slip: str, tmp_path: Path) -> None:
    old, new, line = SLIPS[slip]
    assert SCENE.count(old) == 1, old
    assert line in refused(SCENE.replace(old, new), tmp_path)


def test_the_nearest_name_is_offered_only_if_it_is_near(tmp_path: Path) -> None:
    assert refused(SCENE.replace('"woman"', '"womna"'), tmp_path).endswith("did you mean 'woman'?")
    assert refused(SCENE.replace('"woman"', '"giraffe"'), tmp_path).endswith("name one of them, or give its size")
    assert refused(SCENE.replace('"#2f5d50"', '"tael"'), tmp_path).endswith("did you mean 'teal'?")
    assert refused(SCENE.replace('"#2f5d50"', '"heather"'), tmp_path).endswith("write # and six hexadecimal digits")


def test_a_chart_in_a_file_is_told_by_the_lines_of_that_file(tmp_path: Path) -> None:
    (tmp_path / "chart.txt").write_text("\n\n..x...\n.x.q..\nx...x.\n", encoding="utf-8")
    rows = SCENE[SCENE.index("rows = [") : SCENE.index("across")]
    said = refused(SCENE.replace(rows, 'file = "chart.txt"\n'), tmp_path)
    assert "'q' in row 2 (line 4 of chart.txt), stitch 3 from the right" in said


@pytest.mark.parametrize(("written", "slack"), [("-4 %", -0.04), ("7,5%", 0.075), ("+5 %", 0.05)])
def test_a_slack_may_be_a_text_in_per_cent(written: str, slack: float, tmp_path: Path) -> None:
    path = tmp_path / "it.toml"
    path.write_text(SCENE.replace("-0.04", f'"{written}"\nslack_by_yarn = {{ x = "{written}" }}'), encoding="utf-8")
    read = read_scene(path)
    assert read.floats.slack == pytest.approx(slack, rel=1e-15)
    assert read.floats.slack_by_yarn == {"x": pytest.approx(slack, rel=1e-15)}


def test_names_of_colours_are_those_of_the_standard() -> None:
    assert {name: colour.lower() for name, colour in matplotlib.colors.CSS4_COLORS.items()} == NAMED
    assert len(NAMED) == 148


@pytest.mark.parametrize("written", ["teal", "Teal", "rebeccapurple", "Dark Slate Grey"])
def test_a_colour_may_be_named(written: str, tmp_path: Path) -> None:
    path = tmp_path / "it.toml"
    path.write_text(SCENE.replace("#2f5d50", written), encoding="utf-8")
    assert read_scene(path).yarns[1].colour == NAMED[written.replace(" ", "").lower()]
