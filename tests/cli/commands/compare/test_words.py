"""What a comparison says, from made-up rows: above all that the slack told is the slack used, whoever says it."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest

import fabricsim
from fabricsim.cli.commands.compare.command import answer_of
from fabricsim.cli.commands.compare.options import CompareOptions
from fabricsim.cli.commands.compare.words import MOST_LINES, stopped
from fabricsim.cli.commands.compare.words import made as written_files
from fabricsim.cli.shell.answer import Answer, written
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack, knitter_text
from fabricsim.design.scene.read import read_scene, scene_hash
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study
from tests.cli.printed import printed, rounded
from tests.support.little import little

ROW: dict[str, Any] = {
    "at_rest": True,
    "draw_in_percent": 7.8,
    "draw_in_low_percent": 2.14,
    "draw_in_high_percent": 12.36,
    "draw_in_cm": 1.2,
    "width_cm": 14.0,
    "pucker_mm": 0.4,
    "pucker_low_mm": 0.16,
    "pucker_high_mm": 1.2,
    "floats": 10,
    "taut_floats": 10,
    "greatest_tension_cN": 1.5,
    "stretch_left_percent": 0.0,
    "floats_over_limit": 0,
    "yarn_m": [3.0, 1.0],
    "status": "at rest",
    "remark": "",
}
ONCE = LearntFactor(value=1.0, low=0.5, high=2.0, known="not told")


def learnt(slack: float, known: Any = "measured") -> LearntSlack:
    return LearntSlack(value=slack, low=slack - 0.01, high=slack + 0.01, known=known)


def study(folder: Path, grid: dict[str, Any], floats: str, hands: Knitter | None) -> Study:
    """Return a study of one scene, whose floats are as written and as the hands of a knitter's file."""
    path = folder / "scene.toml"
    text = little(floats=floats)
    if hands is not None:
        (folder / "hands.toml").write_text(knitter_text(hands), encoding="utf-8")
        text = f'knitter = "hands.toml"\n{text}'
    path.write_text(text, encoding="utf-8")
    return Study(grid_of(grid), (read_scene(path),), fabricsim.__version__)


def told(asked: Study) -> tuple[list[dict[str, str]], str]:
    """Return the lines for a spreadsheet and the words for people."""
    answer = answer_of(asked, dict.fromkeys(range(asked.grid.count), ROW))
    lines = csv.DictReader(io.StringIO(written(answer, json=False, csv=True)))
    return list(lines), " ".join(written(answer, json=False, csv=False).split())


HANDS = Knitter(swatch="x", slack=learnt(-0.078), stretch=ONCE, bending=ONCE, weight=ONCE, bending_against_stretch=2.0)
UNEVEN = HANDS.model_copy(update={"slack_by_yarn": {"ink": learnt(-0.0312)}})
UNTOLD = HANDS.model_copy(update={"slack": learnt(-0.078, "not told")})


@pytest.mark.parametrize(
    ("grid", "floats", "hands", "slack", "of_b", "words"),
    [
        ({}, "", None, "0.0", None, "slack 0 %"),
        ({}, "", HANDS, "-7.8", None, "slack -7.8 %"),
        ({}, "", UNTOLD, "0.0", None, "slack 0 %"),
        ({}, "slack = 0.02", HANDS, "2.0", None, "slack +2 %"),
        ({"slack": [0.01]}, "", HANDS, "1.0", None, "slack +1 %"),
        ({"slack": [0.01]}, "", UNEVEN, "1.0", None, "slack +1 %"),
        ({}, "slack_by_yarn = { b = 0.03 }", HANDS, "-7.8", "3.0", "slack -7.8 %, slack of ink +3 %"),
        ({}, "", UNEVEN, "", "-3.12", "slack of milk -7.8 %, slack of ink -3.12 %"),
        ({"slack_by_yarn": {"b": [0.04]}}, "", HANDS, "-7.8", "4.0", None),
        ({}, "slack_by_yarn = { b = 0.03, '.' = 0.01 }", None, "", "3.0", "slack of milk +1 %, slack of ink +3 %"),
    ],
)
def test_the_slack_that_is_told_is_the_slack_that_is_used(
    tmp_path: Path,
    grid: dict[str, Any],
    floats: str,
    hands: Knitter | None,
    slack: str,
    of_b: str | None,
    words: str | None,
) -> None:
    asked = study(tmp_path, grid, floats, hands)
    (line,), text = told(asked)
    assert line["slack_percent"] == slack
    assert line.get("slack_of_b_percent") == of_b
    used = asked.scene_of(asked.grid.setting(0)).slack_of_yarns
    said = [float(line.get(f"slack_of_{symbol}_percent") or slack) for symbol in (".", "b")]
    assert said == pytest.approx([100.0 * one for one in used], abs=1e-9)
    if words is not None:
        assert f"no catches, {words}." in text


def test_nothing_yet_is_a_head_line(tmp_path: Path) -> None:
    asked = study(tmp_path, {"slack": [0.0, 0.1]}, "", None)
    one, none = (written(answer_of(asked, rows), json=False, csv=True) for rows in ({0: ROW}, {}))
    assert none == one.splitlines(keepends=True)[0]


def made(grid: dict[str, Any], *floats: str, rows: dict[int, dict[str, Any]] | None = None, folder: Path) -> Answer:
    """Return the answer of a study of scenes whose floats are as written."""
    scenes = []
    for number, one in enumerate(floats or ("",), start=1):
        path = folder / f"scene{number}.toml"
        path.write_text(little(floats=one, title=f"Little check {number}"), encoding="utf-8")
        scenes.append(read_scene(path))
    asked = Study(grid_of(grid), tuple(scenes), "1.2.3")
    return answer_of(asked, dict.fromkeys(range(asked.grid.count), ROW) if rows is None else rows)


ENDS = ("draw_in_low_percent", "draw_in_high_percent", "pucker_low_mm", "pucker_high_mm")


def test_where_every_float_is_alike_there_are_no_likely_columns(tmp_path: Path) -> None:
    alike = {**ROW, **dict.fromkeys(ENDS)}
    grid = {"slack": [-0.1, 0.0], "even": True}
    lines = printed(made(grid, rows={0: alike, 1: LOST}, folder=tmp_path).tell).splitlines()
    assert [line.rstrip() for line in lines[4:8]] == [
        "slack %  draw-in %   cm  pucker mm      taut  pulls cN  stretch left %     yarn m  status",
        "-------  ---------  ---  ---------  --------  --------  --------------  ---------  -------",
        "    -10        7.8  1.2        0.4  10 of 10      1.50             0.0  3.0 + 1.0",
        "      0          –    –          –         –         –               –          –  no rest",
    ]
    text = " ".join(lines)
    assert (
        "Every float alike (--even): real hands are uneven, which draws in more; leave --even out to see how much."
        in text
    )
    assert "ikely" not in text
    assert dict(made(grid, rows={0: alike, 1: alike}, folder=tmp_path).said)["floats_alike"] is True


def test_where_nothing_floats_nothing_is_likely_and_no_fabric_is_wider_than_plain(tmp_path: Path) -> None:
    plain, wider = {**ROW, **dict.fromkeys(ENDS)}, {**ROW, "draw_in_low_percent": -1e-12, "draw_in_high_percent": 0.04}
    lines = printed(made({"slack": [0.0, 0.1]}, rows={0: plain, 1: wider}, folder=tmp_path).tell).splitlines()
    assert "      0        7.8           –  1.2        0.4           –  10 of 10" in lines[6]
    assert "    +10        7.8  0.0 to 0.0  1.2        0.4  0.2 to 1.2  10 of 10" in lines[7]


LOST = {**ROW, "at_rest": False, "status": "no rest", "remark": "it crumples"}


def test_all_of_one_scene_as_it_is_printed(tmp_path: Path) -> None:
    rows = {0: ROW, 1: {**ROW, "floats_over_limit": 3, "remark": "passes through itself: too tight"}, 2: LOST}
    assert (
        printed(made({"slack": [-0.1, 0.0, 0.051]}, rows=rows, folder=tmp_path).tell)
        == """\
**Little check 1**
Seen as the chart endlessly repeated, 19 x 25.5 stitches and rows to 10 cm, no catches.

**3 settings**
slack %  draw-in %     likely %   cm  pucker mm   likely mm      taut  pulls cN  stretch left %     yarn m  status
-------  ---------  -----------  ---  ---------  ----------  --------  --------  --------------  ---------  ---------------------
    -10        7.8  2.1 to 12.4  1.2        0.4  0.2 to 1.2  10 of 10      1.50             0.0  3.0 + 1.0
      0        7.8  2.1 to 12.4  1.2        0.4  0.2 to 1.2  10 of 10      1.50             0.0  3.0 + 1.0  passes through itself
   +5.1          –            –    –          –           –         –         –               –          –  no rest

Setting 3, no rest: it crumples.
Where the fabric passes through itself, don't trust the numbers: it is too tight to forecast.
Floats over the limit, which want a catch: from 0 to 3 (in the CSV setting by setting).
'Likely': nine pieces in ten lie there. --even takes every float alike: much quicker, no likely range.
'Stretch left' is how far it stretches before the first float is taut. Yarn is for the chart and the plain
rows about it (milk + ink), without rib, crown or lining, nothing to spare. The mechanics is checked against
exact solutions, not against hand-knits: knit a swatch.
[caution]"""  # noqa: E501
    )


def test_all_of_two_scenes_as_it_is_printed(tmp_path: Path) -> None:
    grid = {
        "scenes": ["scene1.toml", "scene2.toml"], "case": ["repeat", "swatch"], "longest_gap": [3],
        "catches": ["planned"], "gauge": ["19x25.5", "20x27"], "bending_stiffness": [0.5], "stretch_stiffness": [2],
        "slack_by_yarn": {"b": [0.02]},
    }  # fmt: skip
    rows = {
        number: {**ROW, "floats_over_limit": number, "stretch_left_percent": None, "onset_slack_percent": begins}
        for number, begins in ((0, -4.24), (3, -4.24), (5, None))
    }
    assert (
        printed(made(grid, "slack = 0.1", "catches = 'planned'", rows=rows, folder=tmp_path).tell)
        == """\
**2 scenes compared**
Against stretch 2 times as stiff as usual, against bending 0.5 times as stiff as usual.

**3 settings**
scene   case    gauge      draw-in %     likely %   cm  pucker mm   likely mm  puckers from %      taut  too long  pulls cN  stretch left %     yarn m
------  ------  ---------  ---------  -----------  ---  ---------  ----------  --------------  --------  --------  --------  --------------  ---------
scene1  repeat  19 x 25.5        7.8  2.1 to 12.4  1.2        0.4  0.2 to 1.2            -4.2  10 of 10         0      1.50               –  3.0 + 1.0
scene1  swatch  20 x 27          7.8  2.1 to 12.4  1.2        0.4  0.2 to 1.2            -4.2  10 of 10         3      1.50               –  3.0 + 1.0
scene2  repeat  20 x 27          7.8  2.1 to 12.4  1.2        0.4  0.2 to 1.2            none  10 of 10         5      1.50               –  3.0 + 1.0

Floats over the limit, which want a catch: from 0 to 5 ('too long').
'Puckers from': the slack of the tightest float from which on the chart without end puckers, every float
carried alike; none: not down to -15 %.
'Likely': nine pieces in ten lie there. --even takes every float alike: much quicker, no likely range.
'Stretch left' is how far it stretches before the first float is taut. Yarn is for the chart and the plain
rows about it, in the order of the scene, without rib, crown or lining, nothing to spare. The mechanics is
checked against exact solutions, not against hand-knits: knit a swatch.
[caution]"""  # noqa: E501
    )


def test_of_three_scenes_it_is_said_which_lies_best_and_which_worst(tmp_path: Path) -> None:
    grid = {"scenes": ["scene1.toml", "scene2.toml", "scene3.toml"], "slack": [-0.1, 0.0], "onset": False}
    lost = (4.0, 2.0, 9.0, -0.0, 5.0, 1.0)
    rows = {number: {**ROW, "draw_in_percent": one} for number, one in enumerate(lost)}
    rows[3] |= {"floats_over_limit": 1}
    rows[2] |= {"at_rest": False, "status": "no rest", "remark": "it crumples"}
    asked = made(grid, "", "slack = 0.1", "slack = 0.2", rows=rows, folder=tmp_path)
    text = " ".join(printed(asked.tell).split())
    assert (
        "The best is scene3 (slack 0), 1.0 % narrower, flat, no float over the limit; the worst is scene2 (slack 0), "
        "0.0 % narrower, flat, 1 float over the limit: fewest floats over the limit first, then least narrower."
    ) in text
    assert "puckers from" not in text.lower()
    assert "The best" not in printed(
        made(grid, "", "slack = 0.1", rows=dict(enumerate([ROW] * 4)), folder=tmp_path).tell
    )


EACH_OTHERWISE = {
    "slack": [0.0, 0.1], "case": ["repeat", "swatch"], "gauge": ["20x27", "19x26"], "catches": ["none", "planned"],
}  # fmt: skip


def test_what_is_alike_in_all_of_them(tmp_path: Path) -> None:
    def common(grid: dict[str, Any], floats: str = "") -> str:
        return printed(made(grid, floats, folder=tmp_path).tell).splitlines()[1]

    assert common({"case": ["round"], "inside_out": [True]}) == (
        "Seen as a tube, knitted with the floats outside, 19 x 25.5 stitches and rows to 10 cm, no catches, slack 0 %."
    )
    assert common({"case": ["swatch"], "catches": ["planned"]}) == (
        "Seen as a swatch on a table, 19 x 25.5 stitches and rows to 10 cm, catches planned, slack 0 %."
    )
    assert common({"gauge": ["20x27"]}, "catches = [{ row = 1, stitch = 3 }]") == (
        "Seen as the chart endlessly repeated, 20 x 27 stitches and rows to 10 cm, caught as listed, slack 0 %."
    )
    assert (
        common({"case": ["round"], "inside_out": [False, True]}, "catches = 'planned'")
        == "Seen as a tube, 19 x 25.5 stitches and rows to 10 cm, catches planned, slack 0 %."
    )
    assert common(EACH_OTHERWISE) == "All else as each scene has it."


SHAPED = "[shaping]\nspread = [{ row = 3, every = 6 }]\n"


def test_pieces_that_are_seen_whole_are_named_with_what_their_yarn_goes_into(tmp_path: Path) -> None:
    def said(grid: dict[str, Any], *tails: str) -> str:
        scenes = []
        for number, tail in enumerate(tails, start=1):
            path = tmp_path / f"scene{number}.toml"
            text = little(title=f"Little check {number}", case="round").replace(
                "[simulation]\ncase", f"{tail}[simulation]\n#"
            )
            path.write_text(text, encoding="utf-8")
            scenes.append(read_scene(path))
        files = {"scenes": [f"scene{number}.toml" for number in range(1, len(tails) + 1)]} if len(tails) > 1 else {}
        asked = Study(grid_of({**grid, **files}), tuple(scenes), "1.2.3")
        row = {**ROW, "onset_slack_percent": None}
        return " ".join(printed(answer_of(asked, dict.fromkeys(range(asked.grid.count), row)).tell).split())

    alone, both, straight = said({}, SHAPED), said({}, SHAPED, ""), said({"case": ["round"]}, SHAPED)
    assert "Seen as the whole piece as its pattern shapes it, 19 x 25.5 stitches" in alone
    assert "Yarn is for the whole piece (milk + ink), nothing to spare." in alone
    assert "Seen whole, as the pattern shapes it: scene1." in both
    assert "without rib, crown or lining, nothing to spare; of what is seen whole, for all of it." in both
    assert "Seen straight, without the shaping that the scene tells: scene1." in straight
    assert "(milk + ink), without rib, crown or lining, nothing to spare." in straight


def test_nothing_done_yet_and_more_than_is_shown(tmp_path: Path) -> None:
    assert printed(made({}, rows={}, folder=tmp_path).tell).splitlines()[:2] == [
        "**Little check 1**",
        "Nothing done yet.",
    ]
    many = made({"slack": [round(0.01 * n, 2) for n in range(MOST_LINES + 1)]}, folder=tmp_path)
    lines = printed(many.tell).splitlines()
    assert lines[3] == "**41 settings**"
    shown = "    +39        7.8  2.1 to 12.4  1.2        0.4  0.2 to 1.2  10 of 10      1.50             0.0  3.0 + 1.0"
    assert lines[-8] == shown
    assert "are shown" not in printed(made({"slack": [0.01 * n for n in range(MOST_LINES)]}, folder=tmp_path).tell)


def test_of_many_without_a_result_three_are_told(tmp_path: Path) -> None:
    grid = {"slack": [-0.4, -0.3, -0.2, -0.1]}
    three = printed(made(grid, rows={0: LOST, 1: LOST, 2: LOST, 3: ROW}, folder=tmp_path).tell)
    assert "Setting 3, no rest: it crumples.\n" in three
    assert "more settings without a result" not in three
    four = printed(made(grid, rows=dict.fromkeys(range(4), LOST), folder=tmp_path).tell)
    assert "Setting 4" not in four
    assert "And 1 more setting without a result; --out FILE.csv says why.\n" in four


def test_for_programs(tmp_path: Path) -> None:
    answer = made({"scenes": ["a.toml", "b.toml"], "slack": [0.01]}, "", "", rows={0: ROW, 1: LOST}, folder=tmp_path)
    said = dict(answer.said)
    assert [one.pop("scene_hash") for one in said["scenes"]] == [
        scene_hash(read_scene(tmp_path / f"scene{number}.toml")) for number in (1, 2)
    ]
    assert rounded(said) == {
        "schema_version": 2,
        "command": "compare",
        "version": "1.2.3",
        "scenes": [
            {"name": "scene1", "title": "Little check 1", "yarns": ["milk", "ink"]},
            {"name": "scene2", "title": "Little check 2", "yarns": ["milk", "ink"]},
        ],
        "floats_alike": False,
        "onset_looked_for": True,
        "settings": 2,
        "done": 2,
        "rows": [
            {
                "setting": 1,
                "scene": "scene1",
                "case": "repeat",
                "whole": False,
                "inside_out": False,
                "gauge_stitches_per_10_cm": 19.0,
                "gauge_rows_per_10_cm": 25.5,
                "stretch_stiffness_times": 1.0,
                "bending_stiffness_times": 1.0,
                "catches": "none",
                "longest_gap_stitches": 5,
                "slack_percent": 1.0,
                "draw_in_percent": 7.8,
                "draw_in_low_percent": 2.14,
                "draw_in_high_percent": 12.36,
                "draw_in_cm": 1.2,
                "width_cm": 14.0,
                "pucker_mm": 0.4,
                "pucker_low_mm": 0.16,
                "pucker_high_mm": 1.2,
                "onset_slack_percent": None,
                "floats": 10,
                "taut_floats": 10,
                "greatest_tension_cN": 1.5,
                "stretch_left_percent": 0.0,
                "floats_over_limit": 0,
                "yarn_1_m": 3.0,
                "yarn_2_m": 1.0,
                "status": "at rest",
                "remark": "",
            },
            {
                "setting": 2,
                "scene": "scene2",
                "case": "repeat",
                "whole": False,
                "inside_out": False,
                "gauge_stitches_per_10_cm": 19.0,
                "gauge_rows_per_10_cm": 25.5,
                "stretch_stiffness_times": 1.0,
                "bending_stiffness_times": 1.0,
                "catches": "none",
                "longest_gap_stitches": 5,
                "slack_percent": 1.0,
                "draw_in_percent": 7.8,
                "draw_in_low_percent": 2.14,
                "draw_in_high_percent": 12.36,
                "draw_in_cm": 1.2,
                "width_cm": 14.0,
                "pucker_mm": 0.4,
                "pucker_low_mm": 0.16,
                "pucker_high_mm": 1.2,
                "onset_slack_percent": None,
                "floats": 10,
                "taut_floats": 10,
                "greatest_tension_cN": 1.5,
                "stretch_left_percent": 0.0,
                "floats_over_limit": 0,
                "yarn_1_m": 3.0,
                "yarn_2_m": 1.0,
                "status": "no rest",
                "remark": "it crumples",
            },
        ],
    }
    assert rounded(answer.lines) == rounded(said["rows"])
    assert list(answer.columns) == list(answer.lines[0])


def test_what_was_written_and_how_to_go_on(tmp_path: Path) -> None:
    asked = study(tmp_path, {"slack": [0.0, 0.1]}, "", None)
    options = CompareOptions(asked, out=Path("a.csv"), plots=Path("b.pdf"), pictures=Path("c.png"))
    assert written_files(options, {0: ROW, 1: LOST}) == ["Written to a.csv and b.pdf and c.png: 2 settings, 1 at rest."]
    assert written_files(CompareOptions(asked), {0: ROW}) == []
    assert stopped(options, 1) == (
        "fabricsim: 1 of 2 settings are done and kept in a.csv.rows; the same command goes on from there"
    )
    assert stopped(CompareOptions(asked), 1) == "fabricsim: 1 of 2 settings are done"
