"""A copy of a scene that needs no file beside it but those that go with it, under plain names."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.errors import InputError
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs.alone import alone, write_alone
from tests.table.test_drafts import SMALL, draft

DRAWN = 'rows = [            # as printed\n    "..x",          # the top\n    "xx.",  # the bottom\n]'
NAMING = """# of mine
knitter = "hands/me.toml"  # who else
[chart]
rows = ["."]
[sizes]
file = "bodies of mine.toml"
rib = 1
"""


def naming(folder: Path, text: str = NAMING) -> Any:
    """Return a draft that names files, of which only its text is read."""
    scene = SimpleNamespace(chart=SimpleNamespace(rows=(".",)))
    return SimpleNamespace(text=text, path=folder / "scene.toml", scene=scene)


def test_a_scene_that_names_no_file_is_copied_as_it_is() -> None:
    assert alone(draft()) == (SMALL, {})


def test_a_chart_from_a_file_is_drawn_in_the_copy(tmp_path: Path) -> None:
    assert DRAWN in SMALL
    (tmp_path / "mine.txt").write_text("..x\nxx.\n", encoding="utf-8")
    text, files = alone(SceneText(SMALL.replace(DRAWN, 'file = "mine.txt"'), tmp_path / "small.toml"))
    copy = SceneText(text, Path("elsewhere/small.toml"))
    assert (files, copy.scene.chart_rows()) == ({}, draft().scene.chart_rows())
    assert "file" not in copy.table["chart"]


def test_files_that_it_names_go_beside_it_under_plain_names(tmp_path: Path) -> None:
    (tmp_path / "hands").mkdir()
    (tmp_path / "hands/me.toml").write_bytes(b"mine\r\n")
    (tmp_path / "bodies of mine.toml").write_bytes(b"theirs")
    text, files = alone(naming(tmp_path))
    assert files == {"knitter.toml": b"mine\r\n", "bodies.toml": b"theirs"}
    assert text == NAMING.replace("hands/me", "knitter").replace("bodies of mine", "bodies")
    only = NAMING.replace('knitter = "hands/me.toml"  # who else\n', "")
    assert alone(naming(tmp_path, only)) == (only.replace("bodies of mine", "bodies"), {"bodies.toml": b"theirs"})
    there = tmp_path / "there"
    there.mkdir()
    write_alone(naming(tmp_path), there / "copy.toml")
    assert {path.name: path.read_bytes() for path in there.iterdir()} == {"copy.toml": text.encode(), **files}


def test_lines_end_in_the_copy_as_they_do_in_the_scene(tmp_path: Path) -> None:
    write_alone(draft(SMALL.replace("\n", "\r\n")), tmp_path / "copy.toml")
    assert (tmp_path / "copy.toml").read_bytes() == SMALL.replace("\n", "\r\n").encode()


def test_a_file_that_is_gone_is_said_by_the_key_that_names_it(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"^sizes\.file: given .*bodies of mine\.toml"):
        alone(naming(tmp_path, NAMING.replace('knitter = "hands/me.toml"  # who else\n', "")))
