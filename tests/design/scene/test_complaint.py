"""Whatever is wrong with a scene: one line saying where, what was given, what is allowed, what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from fabricsim.design.scene.read import read_scene
from fabricsim.errors import InputError

GOOD = """\
title = "a test"
worked = "round"
[chart]
rows = ["A..A", ".AA."]
[[yarns]]
symbol = "."
name = "oat"
colour = "#ffffff"
tex = 500
[[yarns]]
symbol = "A"
name = "pine"
colour = "#004000"
tex = 500
[gauge]
stitches = 19
rows = 25.5
[floats]
slack = 0.05
"""
ROWS = 'rows = ["A..A", ".AA."]'

BAD = {
    "slack over one": (
        "slack = 0.05",
        "slack = 1.5",
        "floats.slack: given 1.5; allowed: a fraction above -1, at most 1; write 0.015 if you mean 1.5 %",
    ),
    "slack of a yarn that isn't there": (
        "slack = 0.05",
        "slack_by_yarn = { q = 0.1 }",
        "floats.slack_by_yarn: given 'q'; allowed: the symbol of a yarn (., A); name a yarn",
    ),
    "plain yarn that isn't there": (
        ROWS,
        ROWS + '\nplain_yarn = "q"',
        "chart.plain_yarn: given 'q'; allowed: the symbol of a yarn (., A); name a yarn",
    ),
    "catch in a row of one colour": (
        ROWS,
        'rows = ["A..A", "...."]',
        "floats.catches: given row 1, stitch 2, in a row of one colour; allowed: a square behind which a float passes; "
        "move the catch, or take it out",
    ),
    "list for a word": (
        'title = "a test"',
        "title = [1, 2, 3]",
        "title: given a list of 3; allowed: text in quotes; change the value",
    ),
    "neither nan nor inf": (
        "rows = 25.5",
        "rows = inf",
        "gauge.rows: given inf; allowed: a number that is neither nan nor inf; change the value",
    ),
    "unknown key": (
        "slack =",
        "slakc =",
        "floats: given the unknown key 'slakc'; allowed: slack, slack_by_yarn, below, unevenness, short_mm, "
        "laid, needles, corner_shorter, longest_gap, longest_cm, longest_inch, catches, plan_catches; did you mean "
        "'slack'?",
    ),
    "ragged chart": (
        "A..A",
        "A..",
        "chart.rows: given 3 stitches in row 2, while most rows have 4; allowed: rows of equal length; "
        "make row 2 (line 4 of the file) 4 stitches long",
    ),
    "symbol without yarn": (
        "A..A",
        "A.BA",
        "chart.rows: given 'B' in row 2 (line 4 of the file), stitch 2 from the right; allowed: a symbol of one of "
        "the yarns "
        "(., A); add a yarn with this symbol, or mend the chart",
    ),
    "empty chart": (
        ROWS,
        'rows = [""]',
        "chart.rows: given an empty chart; allowed: at least one row of one stitch; draw the chart",
    ),
    "no chart": (
        ROWS,
        "",
        "chart: given no chart; allowed: exactly one of rows, file, image; draw the chart under rows, or name its file",
    ),
    "two charts": (
        ROWS,
        ROWS + '\nfile = "chart.txt"',
        "chart: given rows and file; allowed: exactly one of rows, file, image; keep the one that holds your chart",
    ),
    "gauge of nothing": (
        "stitches = 19",
        "stitches = 0",
        "gauge.stitches: given 0; allowed: at least 1, at most 200; change the value",
    ),
    "negative gauge": (
        "rows = 25.5",
        "rows = -25.5",
        "gauge.rows: given -25.5; allowed: at least 1, at most 200; change the value",
    ),
    "gauge of no knitting": (
        "rows = 25.5",
        "rows = 100",
        "gauge: given 100 rows with 19 stitches; allowed: 11.4 to 57 rows with so many stitches, as plain knitting has "
        "0.6 to 3 rows to a stitch; count both over 10 cm of plain knitting",
    ),
    "gauge too large for a number": (
        "stitches = 19",
        "stitches = 1" + 400 * "0",
        "gauge.stitches: given a number of more than 40 digits; allowed: at least 1, at most 200; change the value",
    ),
    "gauge in thousands of digits": (
        "stitches = 19",
        "stitches = 0x" + 5000 * "f",
        "gauge.stitches: given a number of more than 40 digits; allowed: at least 1, at most 200; change the value",
    ),
    "a title that turns about": (
        '"a test"',
        '"a \\u202etest"',
        "title: given U+202E, an invisible sign; allowed: letters, digits and signs that can be seen, in one line; "
        "take it out",
    ),
    "a title of spaces": (
        '"a test"',
        '" \\t "',
        "title: given U+0009, a control character; allowed: letters, digits and signs that can be seen, in one line; "
        "take it out",
    ),
    "a long title": ('"a test"', f'"{201 * "a"}"', "title: given 201 letters; allowed: at most 200; say it shorter"),
    "a symbol that is an accent": (
        'symbol = "A"',
        'symbol = "\\u0301"',
        "yarns (no. 2).symbol: given U+0301, an accent that belongs to the letter before it; allowed: one character "
        "that can be seen by itself; choose a letter or a sign",
    ),
    "gauge not a number": (
        "stitches = 19",
        "stitches = nan",
        "gauge.stitches: given nan; allowed: a number that is neither nan nor inf; change the value",
    ),
    "no yarn left": (
        "slack = 0.05",
        "slack = -1",
        "floats.slack: given -1; allowed: above -1, at most 1; change the value",
    ),
    "slack in per cent": (
        "slack = 0.05",
        "slack = 5",
        "floats.slack: given 5; allowed: a fraction above -1, at most 1; write 0.05 if you mean 5 %",
    ),
    "less uneven than even": (
        "slack = 0.05",
        "unevenness = -0.1",
        "floats.unevenness: given -0.1; allowed: at least 0, at most 0.3; change the value",
    ),
    "more uneven than any hand": (
        "slack = 0.05",
        "unevenness = 0.31",
        "floats.unevenness: given 0.31; allowed: at least 0, at most 0.3; change the value",
    ),
    "floats that come out longer": (
        "slack = 0.05",
        "short_mm = -1",
        "floats.short_mm: given -1; allowed: at least 0, at most 20; change the value",
    ),
    "floats short by a stitch": (  # of 100 mm / 19
        "slack = 0.05",
        "short_mm = 5.27",
        "floats.short_mm: given 5.27 mm, with stitches 5.3 mm wide; allowed: less than the width of a stitch; say how "
        "much shorter each float comes out, not how long it is",
    ),
    "laid otherwise": (
        "slack = 0.05",
        'laid = "tight"',
        "floats.laid: given 'tight'; allowed: 'flat' or 'inside'; choose one of these",
    ),
    "text for a number": (
        "stitches = 19",
        'stitches = "19"',
        "gauge.stitches: given '19'; allowed: a number; write 19, without quotes",
    ),
    "switch for a number": (
        "stitches = 19",
        "stitches = true",
        "gauge.stitches: given true; allowed: a number; change the value",
    ),
    "number for a table": (
        "[floats]\nslack = 0.05",
        "[simulation]\ncase = 3",
        "simulation.case: given 3; allowed: 'repeat', 'swatch' or 'round'; choose one of these",
    ),
    "part of a stitch": (
        "slack = 0.05",
        "longest_gap = 2.5",
        "floats.longest_gap: given 2.5; allowed: a whole number; change the value",
    ),
    "date": (
        "slack = 0.05",
        "slack = 1979-05-27",
        "floats.slack: given 1979-05-27; allowed: a number; change the value",
    ),
    "missing key": (
        "rows = 25.5\n",
        "",
        "gauge: given no 'rows'; allowed: rows: Rows (or rounds) to 10 cm up, in plain stockinette; add this key",
    ),
    "missing key of a yarn": (
        'name = "pine"\n',
        "",
        "yarns (no. 2): given no 'name'; allowed: name: What you call this yarn, such as 'oat' or 'pine'; add this key",
    ),
    "duplicate symbols": (
        'symbol = "A"',
        'symbol = "."',
        "yarns: given the symbol '.' for 'oat' and 'pine'; allowed: a symbol of its own for each yarn; "
        "change one of the two, in the chart too",
    ),
    "colour by a name of its own": (
        '"#004000"',
        '"heather"',
        "yarns (no. 2).colour: given 'heather'; allowed: a colour such as '#2f5d50', or a name such as 'teal'; "
        "write # and six hexadecimal digits",
    ),
    "invisible symbol": (
        'symbol = "A"',
        'symbol = " "',
        "yarns (no. 2).symbol: given ' '; allowed: one character, not a space; choose a letter or a sign",
    ),
    "half a range": (
        "[gauge]",
        "[expect]\npucker_mm = [1]\n[gauge]",
        "expect.pucker_mm: given a list of 1; allowed: a list of 2; change the list",
    ),
    "range the wrong way round": (
        "[gauge]",
        "[expect]\npucker_mm = [2, 1]\n[gauge]",
        "expect: given pucker_mm = [2, 1]; allowed: least first, then greatest; swap the two",
    ),
    "catch outside the chart": (
        "slack = 0.05",
        "catches = [{ row = 3, stitch = 1 }]",
        "floats.catches: given row 3, stitch 1; allowed: rows 1 to 2 and stitches 1 to 4 of the chart; "
        "name a square of the chart, counted from the bottom right",
    ),
    "a catch of the yarn in front": (
        "[floats]\n",
        '[floats]\ncatches = [{ row = 2, stitch = 1, yarn = "A" }]\n',
        "floats.catches: given row 2, stitch 1, yarn 'A'; allowed: a yarn that runs behind this stitch (.); "
        "name the yarn that is caught there, or leave yarn out",
    ),
    "catches in a word": (
        "slack = 0.05",
        'catches = "all"',
        'floats.catches: given "all"; allowed: "none", "planned" or a list of squares such as [{ row = 3, stitch = 5 '
        "}]; "
        "list the caught squares, or leave the key out",
    ),
    "far too large": (
        ROWS,
        ROWS + "\nacross = 1000000\nup = 1000000",
        "chart.rows: given a piece of 8,000,000,000,000 stitches (rows: 2,000,000, stitches in each: "
        "4,000,000), which "
        "needs about 800,000,000.0 GB of memory; allowed: at most 40,000 stitches (4.0 GB); use fewer "
        "repeats, or raise "
        "simulation.stitch_limit",
    ),
    "chart file missing": (
        ROWS,
        'file = "away.txt"',
        "chart.file: given '{folder}/away.txt', which isn't there; allowed: a file that exists; check the name",
    ),
    "chart file that can't be": (
        ROWS,
        'file = "a\\u0000b"',
        "chart.file: given U+0000, a control character; allowed: letters, digits and signs that can be seen, in one "
        "line; take it out",
    ),
    "not a picture": (
        ROWS,
        'image = "scene.toml"',
        "chart.image: given '{folder}/scene.toml', which isn't a PNG; allowed: a PNG, one pixel a stitch; "
        "save it as PNG",
    ),
    "strange colour": (
        ROWS,
        'image = "red.png"',
        "chart.image: given #ff0000 in row 1, stitch 2 (from the bottom right); allowed: the colour of a "
        "yarn (#ffffff, "
        "#004000), each of red, green and blue within 8; paint that pixel in a yarn's colour, or add a yarn",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_scene_is_told_in_one_line(name: str, tmp_path: Path) -> None:
    old, new, told = BAD[name]
    assert GOOD.count(old) == 1
    scene = tmp_path / "scene.toml"
    caught = "catches = [{ row = 1, stitch = 2 }]\n" if name.startswith("catch in a row") else ""
    scene.write_text(GOOD.replace(old, new) + caught, encoding="utf-8")
    picture = Image.new("RGB", (2, 1), (255, 255, 255))
    picture.putpixel((0, 0), (255, 0, 0))
    picture.save(tmp_path / "red.png")
    with pytest.raises(InputError) as problem:
        read_scene(scene)
    assert str(problem.value) == f"{scene}: {told.replace('{folder}', str(tmp_path))}"


def test_unevenness_in_per_cent_is_told_with_what_is_allowed_of_it(tmp_path: Path) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(GOOD.replace("slack = 0.05", "unevenness = 3"), encoding="utf-8")
    with pytest.raises(InputError) as problem:
        read_scene(scene)
    said = str(problem.value)
    assert said.startswith(f"{scene}: floats.unevenness: given 3; allowed: ")
    assert said.endswith("; write 0.03 if you mean 3 %")
    assert "-1" not in said.split("allowed")[1]  # which slack may come near, but not this
    assert "0.3" in said.split("; write")[0]


@pytest.mark.parametrize("rule", ["unevenness = 0.0", "unevenness = 0.3", "short_mm = 0", "short_mm = 5.26"])
def test_the_ends_of_what_is_allowed_are_allowed(tmp_path: Path, rule: str) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(GOOD.replace("slack = 0.05", rule), encoding="utf-8")
    assert getattr(read_scene(scene).floats, rule.split()[0]) == float(rule.split()[-1])


def test_the_scene_these_come_from_is_good(tmp_path: Path) -> None:
    (tmp_path / "scene.toml").write_text(GOOD, encoding="utf-8")
    assert read_scene(tmp_path / "scene.toml").title == "a test"
