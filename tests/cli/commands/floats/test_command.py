"""The floats command, for people and for programs."""

from __future__ import annotations

import json
from math import hypot
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli import main
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import carry_ups, floats
from fabricsim.design.scene.read import demo_scene, scene_hash

SCENE = """
title = "Two rows [of] trial"
worked = "WORKED"
chart = { rows = ["......", ".A....", "......", "A.A...", "......"], plain_below = 1 }
gauge = { stitches = 20, rows = 25 }
yarns = [
    { symbol = ".", name = "[oat]", colour = "#ffffff", tex = 500 },
    { symbol = "A", name = "pine", colour = "#004000", tex = 500 },
]
[floats]
slack = -0.04
longest_gap = 4
longest_cm = 2.4
catches = [{ row = 2, stitch = 2 }]
"""


def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], *options: str, worked: str = "round") -> str:
    path = tmp_path / "scene.toml"
    path.write_text(SCENE.replace("WORKED", worked), encoding="utf-8")
    assert main(["floats", str(path), *options]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def words(line: str) -> list[str]:
    return line.split()


def lines(table: str) -> list[list[str]]:
    return [words(line) for line in table.splitlines()]


def test_for_programs_as_knitters_count(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = json.loads(run(tmp_path, capsys, "--json"))
    # the chart's second row is the third round, worked from stitch 1 to 6: A at stitches 4 and 6
    brief = [(one["yarn"], one["row"], one["stitch"], one["to_row"], one["to_stitch"]) for one in said["floats"]]
    assert brief == [
        (".", 3, 3, 3, 5),
        ("A", 3, 4, 3, 6),
        (".", 3, 5, 4, 1),
        (".", 5, 4, 5, 6),
    ]
    assert said["floats"][0] == {
        "yarn": ".",
        "row": 3,
        "chart_row": 2,
        "stitch": 3,
        "to_row": 3,
        "to_stitch": 5,
        "worked": "right to left",
        "gap_stitches": 1,
        "gap_cm": pytest.approx(0.5),
        "span_cm": pytest.approx(1.0),
        "slack_percent": pytest.approx(-4),
        "yarn_cm": pytest.approx(0.96),
        "kind": "inside",
        "starts_at_catch": False,
        "ends_at_catch": False,
        "over_stitches": False,
        "over_cm": False,
    }
    assert said["carry_ups"] == [
        {
            "yarn": "A",
            "from_row": 3,
            "to_row": 5,
            "rows_idle": 1,
            "height_cm": pytest.approx(0.8),
            "across_cm": pytest.approx(0.5),
            "length_cm": pytest.approx(hypot(0.8, 0.5)),
            "over_limit": False,
            "waits_at_other_edge": False,
            "usual": "carry up freely",
        }
    ]
    assert said["catches"] == [{"row": 2, "stitch": 2, "yarn": None, "repeat": None}]
    assert (said["schema_version"], said["counted"], said["worked"]) == (1, "piece", "round")


def test_the_endless_repeat_for_programs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = json.loads(run(tmp_path, capsys, "--json", "--repeat"))
    found = [(one["row"], one["stitch"], one["to_stitch"]) for one in said["floats"] if one["yarn"] == "A"]
    # row 2: from 4 to 6, to the catch at stitch 2 of the next copy, from there to 4; row 4: 5 once round
    assert found == [(2, 4, 6), (2, 6, 2), (2, 2, 4), (4, 5, 5)]
    over = [one for one in said["floats"] if one["over_stitches"] or one["over_cm"]]
    assert [(one["row"], one["gap_stitches"], one["over_stitches"], one["over_cm"]) for one in over] == [
        (4, 5, True, True)
    ]
    assert said["summary"] == {
        "floats": len(said["floats"]),
        "over_limit": 1,
        "longest_gap_stitches": 5,
        "longest_gap_cm": pytest.approx(2.5),
    }
    assert said["carry_ups"] == []


def test_for_people(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(tmp_path, capsys)
    assert out.startswith("Two rows [of] trial\n")
    assert ["3", "2", "pine", "1", "1", "0.5", "1.0", "-4", "4", "to", "6"] in lines(out)
    assert ["3", "2", "[oat]", "2", "1", "0.5", "1.0", "-4", "3", "to", "5"] in lines(out)
    assert ["pine", "3", "5", "1", "0.9", "carry", "up", "freely"] in lines(out)
    assert "0 of 4 pass the limit you set (4 stitches or 2.4 cm).\n" in out
    assert "Caught at 1 place of the chart, 0 times in the piece.\n" in out
    assert "Stitches are counted from the right of the face." in " ".join(out.split())
    assert "no open floats" in out


def test_floats_past_the_limit_are_marked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(tmp_path, capsys, "--repeat")
    row = "4 4 pine 1 (1 over) 5 2.5 3.0 -4 5 to 5, repeat edge stitches and cm"
    assert words(row) in lines(out)
    assert "1 of 7 pass the limit you set (4 stitches or 2.4 cm); catch them, or change the chart.\n" in out


def test_all_lists_each_float(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = lines(run(tmp_path, capsys, "--repeat", "--all"))
    assert words("2 2 pine 1 0.5 1.0 -4 6 to catch at 2, repeat edge") in found
    assert words("2 2 pine 1 0.5 1.0 -4 catch at 2 to 4, repeat edge") in found
    assert sum(line[:2] in (["2", "2"], ["4", "4"]) for line in found) == 7


def test_flat_rows_wait_at_the_edges(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = json.loads(run(tmp_path, capsys, "--json", worked="flat"))
    assert [one["worked"] for one in said["floats"]] == ["right to left"] * len(said["floats"])
    assert {one["kind"] for one in said["floats"]} == {"inside", "edge"}
    assert [one["waits_at_other_edge"] for one in said["carry_ups"]] == [True]
    assert "waits at the other edge: carry it across the row between, or break and rejoin" in run(
        tmp_path, capsys, worked="flat"
    )


def test_nothing_to_carry(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "scene.toml"
    text = SCENE.replace("A.A...", "......").replace(".A....", "......").partition("catches")[0]
    path.write_text(text.replace("WORKED", "round"), encoding="utf-8")
    assert main(["floats", str(path)]) == 0
    assert capsys.readouterr().out == "Two rows [of] trial\nNo floats in the whole piece.\n"


def test_a_long_table_is_cut_to_the_longest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = ["A." * 6] * 30 + ["A....A......"]
    path = tmp_path / "scene.toml"
    text = SCENE.replace('["......", ".A....", "......", "A.A...", "......"]', json.dumps(rows)).partition("catches")[0]
    path.write_text(text.replace("WORKED", "round"), encoding="utf-8")
    assert main(["floats", str(path), "--repeat"]) == 0
    out = capsys.readouterr().out
    assert "40 of 62 lines are shown, the longest; --all lists every float.\n" in out
    assert words("1 1 pine 2 (1 over) 6 3.0 3.5 -4 12 to 7, repeat edge stitches and cm") in lines(out)


def test_baggy_slack_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "loops that snag" not in run(tmp_path, capsys)
    path = tmp_path / "scene.toml"
    path.write_text(SCENE.replace("WORKED", "round").replace("-0.04", "0.3"), encoding="utf-8")
    assert main(["floats", str(path)]) == 0
    assert "Slack above 25% usually hangs in loops that snag.\n" in capsys.readouterr().out


def test_without_a_scene_the_built_in_band(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["floats", "--json"]) == 0
    said: dict[str, Any] = json.loads(capsys.readouterr().out)
    scene = demo_scene()
    assert said["scene_hash"] == scene_hash(scene)
    assert said["summary"]["floats"] == len(floats(scene))
    assert said["summary"]["over_limit"] == len(faults(floats(scene), scene.limits))
    assert len(said["carry_ups"]) == len(carry_ups(scene))


def test_nothing_is_ever_called_safe(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for options in ((), ("--all",), ("--repeat",), ("--json",)):
        assert "safe" not in run(tmp_path, capsys, *options).lower()
