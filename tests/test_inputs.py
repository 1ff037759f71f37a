"""What a run has read is noted, in whichever way it was read."""

from __future__ import annotations

from contextvars import copy_context
from pathlib import Path

from PIL import Image

from fabricsim.design.scene.read import read_scene
from fabricsim.inputs import begin_run, files_read, note_read

SCENE = """\
title = "a test"
worked = "round"
item = "hat"
[chart]
{chart}
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
{sizes}
"""


def _noted(path: Path) -> set[str]:
    def run() -> set[str]:
        begin_run()
        read_scene(path)
        return {one.name for one in files_read()}

    return copy_context().run(run)


def test_a_scene_its_chart_and_its_file_of_bodies_are_noted(tmp_path: Path) -> None:
    scene = tmp_path / "scene.toml"
    (tmp_path / "chart.txt").write_text("A..A\n.AA.\n", encoding="utf-8")
    sizes = '[sizes]\nfile = "bodies.toml"'
    scene.write_text(SCENE.format(chart='file = "chart.txt"', sizes=sizes), encoding="utf-8")
    assert _noted(scene) == {"scene.toml", "chart.txt", "bodies.toml"}
    picture = Image.new("RGB", (2, 1), (255, 255, 255))
    picture.putpixel((0, 0), (0, 64, 0))
    picture.save(tmp_path / "chart.png")
    scene.write_text(SCENE.format(chart='image = "chart.png"', sizes=""), encoding="utf-8")
    assert _noted(scene) == {"scene.toml", "chart.png"}


def test_outside_a_run_nothing_is_noted() -> None:
    note_read(Path("anything.toml"))
    assert files_read() == ()
