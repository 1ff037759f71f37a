"""What a comparison says, from made-up rows: above all that the slack told is the slack used, whoever says it."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest

import fabricsim
from fabricsim.cli.commands.compare.command import answer_of
from fabricsim.cli.shell.answer import written
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack, knitter_text
from fabricsim.design.scene.read import read_scene
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study
from tests.support.little import little

ROW: dict[str, Any] = {
    "at_rest": True,
    "draw_in_percent": 7.8,
    "draw_in_cm": 1.2,
    "width_cm": 14.0,
    "pucker_mm": 0.4,
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
        ({}, "", None, "5.0", None, "slack +5 %"),
        ({}, "", HANDS, "-7.8", None, "slack -7.8 %"),
        ({}, "", UNTOLD, "5.0", None, "slack +5 %"),
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
