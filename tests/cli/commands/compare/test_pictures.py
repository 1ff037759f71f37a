"""What a comparison's lines and pictures are called and hold, from rows that nobody worked out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli.commands.compare import pictures
from fabricsim.cli.commands.compare.pictures import plots
from fabricsim.design.scene.read import read_scene
from fabricsim.render.basics import files
from fabricsim.render.handouts import multiples
from fabricsim.render.plots import slack_curves
from fabricsim.study.compare.checkpoint import Kept
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study
from tests.cli.commands.compare.test_words import LOST, ROW
from tests.support.little import little


def study(grid: dict[str, Any], folder: Path, scenes: int = 1) -> Study:
    paths = [folder / f"hat{number}.toml" for number in range(scenes)]
    for path in paths:
        path.write_text(little(title=path.stem), encoding="utf-8")
    return Study(grid_of(grid), tuple(map(read_scene, paths)), "1.0")


def kept_of(rows: dict[int, Any]) -> Kept:
    kept = Kept(None, {})
    kept.rows = rows
    return kept


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Whatever would be drawn, instead of a picture of it."""
    made: list[Any] = []
    monkeypatch.setattr(slack_curves, "curves_figure", lambda *what: made.append(what))
    monkeypatch.setattr(multiples, "multiples_page", lambda *what, **how: made.append((*what, how)))
    monkeypatch.setattr(files, "figures_as", lambda suffix, figures, title: [f"{suffix} {title}".encode()])
    monkeypatch.setattr(files, "page_png", lambda page: b"png")
    monkeypatch.setattr(pictures, "_rests", lambda asked, kept, numbers: [(0, "the first at rest")])
    return made


def test_a_line_for_every_chain_named_by_what_tells_it_apart(tmp_path: Path, drawn: list[Any]) -> None:
    grid = {"slack": [-0.1, 0.0], "catches": ["none", "planned"], "bending_stiffness": [0.5, 1]}
    asked = study(grid, tmp_path)
    rows = {number: {**ROW, "draw_in_percent": float(number)} for number in range(8)}
    rows[3] = {key: value for key, value in LOST.items() if key not in ("draw_in_percent", "pucker_mm")}
    assert plots(asked, rows, ".svg") == b".svg hat0"
    ((curves, title, word),) = drawn
    assert (title, word) == ("hat0", "Slack")
    labels = {one.label for one in curves}
    stiffness, catches = ("0.5", "1"), ("no catches", "catches planned")
    assert labels == {f"{stiff} times as stiff to bend, {caught}" for stiff in stiffness for caught in catches}
    assert all(sorted(one.slack) == [-10.0, 0.0] for one in curves)
    found = {value for one in curves for value in one.draw_in}
    assert found == {0.0, 1.0, 2.0, None, 4.0, 5.0, 6.0, 7.0}
    assert [value for one in curves for value in one.pucker].count(None) == 1


@pytest.mark.parametrize(
    ("grid", "label"),
    [
        ({"case": ["round"], "inside_out": [True, False]}, {"floats outside", "floats inside"}),
        ({"case": ["repeat", "swatch"]}, {"repeat", "swatch"}),
        ({"longest_gap": [3, 5]}, {"gap up to 3", "gap up to 5"}),
        ({"stretch_stiffness": [0.5, 2]}, {"0.5 times as stiff to stretch", "2 times as stiff to stretch"}),
        ({"gauge": ["19x25.5", "20x27"]}, {"gauge 19 x 25.5", "gauge 20 x 27"}),
        ({"slack_by_yarn": {"b": [-0.05, 0.02]}}, {"slack of b -5 %", "slack of b +2 %"}),
        ({"slack": [-0.05, 0.02]}, {"slack -5 %", "slack +2 %"}),
    ],
)
def test_a_picture_is_named_by_what_tells_it_apart(
    grid: dict[str, Any], label: set[str], tmp_path: Path, drawn: list[Any]
) -> None:
    kept = kept_of({0: {**ROW, "draw_in_percent": -0.0}, 1: LOST})
    assert pictures.pictures(study(grid, tmp_path), kept) == b"png"
    ((shown, title, how),) = drawn
    assert title == "hat0"
    assert {one.setting for one in shown} == label
    assert [one.result for one in shown] == ["0.0 % narrower, 0.4 mm of pucker", "no rest"]
    assert [one.rest for one in shown] == ["the first at rest", None]
    assert how == {"columns": 2 if "slack" in next(iter(grid)) else None}


def test_two_scenes_are_told_apart(tmp_path: Path, drawn: list[Any]) -> None:
    asked = study({"scenes": ["hat0.toml", "hat1.toml"]}, tmp_path, 2)
    assert pictures.pictures(asked, kept_of({0: ROW, 1: ROW})) == b"png"
    ((shown, title, _),) = drawn
    assert title == "2 scenes compared"
    assert [one.setting for one in shown] == ["hat0", "hat1"]


def test_of_too_many_the_best_and_the_worst_are_drawn(tmp_path: Path, drawn: list[Any]) -> None:
    lost = [5.0, 9.0, 1.0, 7.0, 3.0, 8.0, 2.0, 6.0, 4.0, 9.5, 8.5, 7.5, 6.5, 5.5]
    rows = {number: {**ROW, "draw_in_percent": one, "onset_slack_percent": -3.21} for number, one in enumerate(lost)}
    rows[1] = LOST
    asked = study({"slack": [round(0.01 * one, 2) for one in range(14)]}, tmp_path)
    assert pictures.pictures(asked, kept_of(rows)) == b"png"
    ((shown, title, how),) = drawn
    assert [one.setting for one in shown] == [
        *(f"best: slack +{slack} %" for slack in (2, 6, 4, 8)),
        *(f"worst: slack +{slack} %" for slack in (11, 5, 10, 9)),
    ]
    assert shown[0].result == "1.0 % narrower, 0.4 mm of pucker, puckers from slack -3.2 %"
    assert (title, how) == ("hat0: the best and the worst of 14 settings", {"columns": 4})
