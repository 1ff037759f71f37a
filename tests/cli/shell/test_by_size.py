"""Yarn, rounds and chart in every size, by the counts that 'sizes' gives."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.cli.commands.sizes.data import csv_lines, for_programs
from fabricsim.cli.commands.sizes.words import tell
from fabricsim.cli.shell.by_size import every_size, pieces_and_why_not, sizes_found
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.on_paper import charted_piece
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.read import demo_scene
from tests.cli.made_up import Told, scene_of
from tests.support.little import assert_refused, little


def said(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    capsys.readouterr()
    assert main([*words, "--no-forecast", "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_every_size_is_the_piece_with_as_many_repeats() -> None:
    scene = demo_scene()
    found = sizes_found(scene, None)
    sizes = every_size(scene, found)
    counted = [one.counted for one in found.sizes if one.counted is not None]
    assert [one.stitches for one in sizes] == [one.stitches for one in counted]
    for one, known in zip(sizes, counted, strict=True):
        assert len(one.scene.piece_rows()[0]) == known.stitches
        assert one.scene.chart.across == known.repeats


def test_yarn_of_every_size_is_that_of_its_repeats(capsys: pytest.CaptureFixture[str]) -> None:
    counts = said(capsys, "sizes")["sizes"]
    every = said(capsys, "yarn", "--sizes")["sizes"]
    assert [one["size"] for one in every] == [one["size"] for one in counts]
    for one, count in zip(every, counts, strict=True):
        assert (one["stitches"], one["rows_of"]) == (count["counted"]["stitches"], count["counted"]["rows_of"])
        assert said(capsys, "yarn", "--size", one["size"].upper())["yarns"] == one["yarns"]
    wanted = [sum(yarn["wanted_m"] for yarn in one["yarns"]) for one in every]
    assert wanted == sorted(wanted)


def test_rounds_of_a_size_sum_to_its_count(capsys: pytest.CaptureFixture[str]) -> None:
    count = next(one for one in said(capsys, "sizes")["sizes"] if one["size"] == "man")["counted"]["stitches"]
    found = said(capsys, "rounds", "--size", "man")
    assert {row["stitches"] for row in found["rows"] if row["section"] == "chart"} == {count}


def test_the_chart_ends_every_size_where_its_count_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = demo_scene()
    sizes = every_size(scene, sizes_found(scene, None))
    largest = sizes[-1].scene
    ends = [(one.size, one.stitches) for one in sizes]
    sheet, _ = sheet_of(largest, charted_piece(largest), square=False, marks=False, sizes=ends)
    assert [line.stitches for line in sheet.sizes] == sorted({one.stitches for one in sizes})
    assert "child and woman: 96 sts" in [line.label for line in sheet.sizes]
    assert main(["chart", "--sizes", "--no-forecast", "--out", str(tmp_path / "chart.pdf")]) == 0
    assert "2 sheets of A4" in capsys.readouterr().out


def test_the_yarn_of_a_size_is_that_of_its_whole_piece() -> None:
    scene = demo_scene()
    one = every_size(scene, sizes_found(scene, None))[0]
    amounts = yarn_amounts(one.scene, around=around_of(one))
    assert sum(yarn.stitches for yarn in amounts.yarns) == sum(row.after for row in one.rows)


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["yarn", "--size", "giant"], "--size: given 'giant'; allowed: "),
        (["yarn", "--sizes", "--across", "3"], "--sizes: given together with --across; allowed: one of the two"),
        (["rounds", "--size", "man", "--across", "3"], "--size: given together with --across; allowed: one of the two"),
    ],
)
def test_sizes_that_are_not_there_are_one_line(
    words: list[str], line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text('item = "hat"\n' + little(), encoding="utf-8")
    assert_refused([words[0], scene, *words[1:], "--no-forecast"], line, scene, capsys)


def test_a_scene_for_nobody_has_no_sizes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(little(), encoding="utf-8")
    assert main(["yarn", str(scene), "--sizes", "--no-forecast"]) == 2
    assert "given no item" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["yarn", "rounds"])
def test_a_size_that_is_not_there_is_refused_before_anything_is_brought_to_rest(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, "--size", "giant"]) == 2
    assert capsys.readouterr().err == (
        "fabricsim: --size: given 'giant'; allowed: 2 years, child, woman, man; name one of them\n"
    )


def test_a_size_that_can_not_be_worked_is_told_beside_those_that_can() -> None:
    """80 stitches in one round go from as many as 160, not from more."""
    rows = ["o..."] * 8
    said = {"item": "yoke", "shaping": {"spread": [{"row": 4, "stitches": 80}]}, "chart": {"across": 38}}
    scene = scene_of(0.0, rows, sizes={"rib": "none"}, **said)
    found = sizes_found(scene, None)
    made, why_not = pieces_and_why_not(scene, found)
    named = {one.body.name for one in found.sizes if one.counted is not None}
    assert {*made, *why_not} == named
    assert made
    assert why_not
    assert all("in one row" in why for why in why_not.values())
    page = Told()
    tell(page, found, made, why_not)
    assert [one.split(" can't be worked so: ")[0] for one in page.said if "can't be worked so" in one] == list(why_not)
    for told in (for_programs(found, made, why_not)["sizes"], csv_lines(found, made, why_not)):
        assert {one["size"]: one["why_not"] for one in told if one["size"] in named} == {
            name: why_not.get(name, "") for name in named
        }
