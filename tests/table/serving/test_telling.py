"""What the page is told of a scene, from drafts that nobody served."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.study.hands.prior import UNEVENNESS
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.told import TellScene, TellText
from fabricsim.table.serving import telling
from fabricsim.table.serving.telling import scene_told, text_told
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
    [
        ("", "none"),
        (LISTED, "listed"),
        ('catches = "planned"\n', "planned"),
        (LISTED + "plan_catches = true\n", "listed and planned"),
    ],
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


WHOLE = (
    SMALL.replace("across = 8", 'across = 8\nup = 3\nplain_below = 4\nplain_above = 5\nplain_yarn = "x"')
    + "unevenness = 0.07\nlongest_gap = 6\nlongest_cm = 3.5\n[simulation]\ninside_out = true\ncase = 'swatch'\n"
)


def test_all_that_a_scene_says_is_told_and_what_it_does_not_is_usual(tmp_path: Path) -> None:
    scene = told("units = 'inch'\nitem = 'cowl'\n" + WHOLE, tmp_path)
    usual = told(SMALL, tmp_path / "usual")
    said = {
        "worked": ("round", "round"), "case": ("swatch", "round"), "units": ("inch", "cm"), "item": ("cowl", None),
        "across": (8, 8), "up": (3, 1), "plain_below": (4, 0), "plain_above": (5, 0), "plain_yarn": (1, 0),
        "rows": (2 * 3 + 4 + 5, 2), "stitches": (24, 24), "unevenness": (0.07, UNEVENNESS), "inside_out": (True, False),
        "longest_gap": (6, 5), "longest_cm": (3.5, 2.5), "state": (0, 0), "kept": (False, False),
    }  # fmt: skip
    for name, values in said.items():
        assert (getattr(scene, name), getattr(usual, name)) == values, name
    assert scene.values["chart.plain_yarn"] == "x"
    assert "chart.rows" not in scene.values
    assert [one.slack for one in told(SMALL + "slack_by_yarn = { x = 0.1 }\n", tmp_path / "by yarn").yarns] == [
        -0.04,
        0.1,
    ]


def test_how_far_a_piece_is_from_its_file_is_told(tmp_path: Path) -> None:
    draft = SceneText(SMALL, tmp_path / "small.toml")
    history = History.begun(tmp_path, "a journal", draft, str(tmp_path / "mine.toml"))
    for title in ("One", "Two", "Three"):
        history.add(SceneText(SMALL.replace("Small", title), draft.path), "set")
    history.undo()
    scene = scene_told(history, 1, None)
    assert (scene.file, scene.kept, scene.undo, scene.redo, scene.state) == ("mine.toml", False, 2, 1, 2)
    history.undo()
    history.undo()
    assert scene_told(history, 1, None).kept
    history.close()


def test_a_copy_is_given_with_its_files_in_base64(monkeypatch: pytest.MonkeyPatch) -> None:
    draft = SceneText(SMALL, Path("small.toml"))
    monkeypatch.setattr(telling, "alone", lambda given: (given.text, {"knitter.toml": b"\xff\x00"}))
    assert text_told(draft) == TellText(name="small.toml", text=SMALL, files={"knitter.toml": "/wA="})


def test_a_chart_of_one_row_is_told(tmp_path: Path) -> None:
    one_row = SMALL.replace('    "..x",          # the top\n', "")
    assert one_row != SMALL
    scene = told(one_row + "catches = [{ row = 1, stitch = 1 }]\n", tmp_path)
    assert (scene.chart, scene.rows, scene.stitches, scene.caught[0].column) == (((1, 1, 0),), 1, 24, 2)
