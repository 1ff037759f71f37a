"""What the page is told of a scene, from drafts that nobody served."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.told import TellScene
from fabricsim.table.serving.telling import scene_told
from tests.table.test_drafts import SMALL

LISTED = "catches = [{ row = 2, stitch = 1 }, { row = 1, stitch = 3, yarn = '.', repeat = 'first' }]\n"


def told(text: str, folder: Path, case: Case | None = None) -> TellScene:
    history = History.begun(folder, "a journal", SceneText(text, Path("small.toml")))
    try:
        return scene_told(history, 7, case)
    finally:
        history.close()


def test_catches_are_told_by_row_and_column_from_the_lower_left(tmp_path: Path) -> None:
    scene = told(SMALL + LISTED, tmp_path)
    assert [(one.row, one.column, one.yarn, one.repeat) for one in scene.caught] == [
        (1, 2, None, None), (0, 0, 0, "first"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("floats", "catches"),
    [("", "none"), (LISTED, "listed"), ('catches = "planned"\n', "planned")],
)
def test_how_catches_come_about_is_told(floats: str, catches: str, tmp_path: Path) -> None:
    assert told(SMALL + floats, tmp_path).catches == catches


def test_a_scene_is_told_as_it_is_written(tmp_path: Path) -> None:
    scene = told(SMALL, tmp_path)
    assert (scene.title, scene.chart, scene.gauge, scene.slack) == (
        "Small",
        ((1, 1, 0), (0, 0, 1)),
        (20.0, 26.0),
        -0.04,
    )
    assert [(one.symbol, one.name, one.colour) for one in scene.yarns] == [
        (".", "oat", "#e9dfc8"), ("x", "pine", "#2f5d50"),
    ]  # fmt: skip
    assert [one.metres_per_100_g for one in scene.yarns] == pytest.approx([200.0, 200.0])
    assert (scene.revision, scene.case, told(SMALL, tmp_path / "seen so", "repeat").case) == (7, "round", "repeat")
    assert (scene.file, scene.undo, scene.redo) == (None, 0, 0)
