"""``fabricsim motion`` as its users meet it."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.design.scene.read import read_scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from fabricsim.render.basics.palette import HAIR
from fabricsim.render.handouts.motion import FOOT, UNIT_WIDTH
from fabricsim.study.forecast import sweep as sweep_module
from fabricsim.study.forecast.sweep import Sweep
from tests.support.little import assert_refused, little


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(little(floats="slack = -0.05"))
    return path


def _film(path: Path) -> Any:
    return Image.open(io.BytesIO(path.read_bytes()))


def _bar(film: Any, number: int) -> float:
    """Return how wide the bar under the fabric is in one frame, px: its ink beyond that of the outline of plain fabric,
    which stands free of it where the fabric is narrower."""
    film.seek(number)
    grey_hw = np.asarray(film.convert("L"), float)[-round(FOOT * film.width / UNIT_WIDTH) :][:10]
    ink, outline = grey_hw.min(), np.asarray(Image.new("RGB", (1, 1), HAIR).convert("L"), float)
    return float((np.clip(outline - grey_hw, 0.0, None) / (outline - ink)).sum(axis=1).max())


def _run(*words: object) -> int:
    return main(["motion", *map(str, words)])


def test_it_goes_from_loose_to_the_scenes_own_slack_by_true_equilibria(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert _run(scene, "--frames", 4, "--width", 200, "--seconds", 2) == 0
    said = capsys.readouterr()
    path = tmp_path / "motion" / "check.webp"
    assert [one.name for one in path.parent.iterdir()] == ["check.webp"]
    for slack in ("+6 %", "+2.33 %", "-1.33 %", "-5 %"):
        assert f"slack {slack} (" in said.err  # each is solved
    tight = measure(relax(read_scene(scene))).widths
    assert (
        f"slack -5 %: {100 * tight.overall:.1f} % narrower, {100 * tight.plain:.1f} cm to {100 * tight.width:.1f}"
        in said.out
    )
    assert re.search(r"Loose +slack \+6 %: as wide as plain fabric, 6\.\d cm; pucker 0\.0 mm", said.out)
    assert "4 fabrics at rest, there and back in 2 s" in said.out
    film = _film(path)
    assert (film.n_frames, film.width, film.info["loop"]) == (6, 200, 0)
    # there and back in six frames: the bar under the fabric is as wide as that, and least in the fourth
    bars = [_bar(film, number) for number in range(6)]
    assert bars[3] / bars[0] == pytest.approx(1.0 - tight.overall, abs=1.0 / bars[0])
    assert bars[3] < min(bars[2], bars[4]) - 1.0


def test_either_side_either_way_as_a_gif(scene: Path, tmp_path: Path) -> None:
    shown = {}
    for side, start, end in (("face", 0.02, -0.08), ("face", -0.08, 0.02), ("back", 0.02, -0.08)):
        out = tmp_path / f"{side}{start}.gif"
        words = ["--from", start, "--to", end, "--frames", 2, "--width", 200, "--case", "swatch"]
        assert _run(scene, *words, "--side", side, "--out", out) == 0
        film = _film(out)
        assert film.n_frames == 2
        frames = []
        for number in range(2):
            film.seek(number)
            frames.append(film.convert("RGB"))
            assert film.info["duration"] == 3500
        shown[side, start] = frames
    assert shown["face", 0.02][0].size == shown["face", -0.08][0].size
    assert shown["face", 0.02][0].tobytes() != shown["back", 0.02][0].tobytes()
    assert shown["face", 0.02][0].tobytes() != shown["face", 0.02][1].tobytes()


def test_a_slack_without_rest_is_left_out_and_said(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    true = sweep_module.settled

    def stuck(fabric: Any, *more: Any) -> Any:
        if -0.04 < float(fabric.mesh.floats.slack_f.min()) < -0.01:
            raise NoEquilibriumError("it crawls")
        return true(fabric, *more)

    monkeypatch.setattr(sweep_module, "settled", stuck)
    out = tmp_path / "film.webp"
    assert _run(scene, "--from", 0, "--to", -0.05, "--frames", 3, "--width", 200, "--out", out) == 0
    assert "slack -2.5 %: no rest was found there" in capsys.readouterr().out
    assert _film(out).n_frames == 2
    monkeypatch.setattr(sweep_module, "settled", never)
    other = tmp_path / "none" / "film.webp"
    assert _run(scene, "--frames", 2, "--out", other) == 3
    assert not other.parent.exists()


def never(*_: Any) -> Any:
    raise NoEquilibriumError("it crawls")


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--out", "x.mp4"], "--out: given 'x.mp4'; allowed: a file that ends in .webp or .gif"),
        (["--out", "folder"], "--out: given 'folder'"),
        (["--out", "check.toml/x.gif"], "--out: given 'check.toml' (File exists)"),
        (["--from", "-0.05"], "--from: given -0.05, and the same --to; allowed: two different slacks"),
        (["--from", "0.02", "--to", "0.02"], "--from: given 0.02, and the same --to"),
        (["--from", "loose"], "--from: given 'loose'"),
        (["--to", "-5"], "--to: given -5; allowed: a fraction above -1, at most 1; write -0.05 if you mean -5 %"),
        (["--frames", "1"], "--frames: given '1'; allowed: a whole number, at least 2, at most 200"),
        (["--frames", "60", "--seconds", "1"], "--seconds: given 1 for 60 frames there and back; allowed: at least"),
        (["--side", "top"], "--side: given 'top'; allowed: face, back"),
    ],
)
def test_what_is_wrong_is_said_in_one_line_and_nothing_is_left(
    scene: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    words: list[str],
    line: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert_refused(("motion", scene, *words), line, scene, capsys)


def test_without_floats_there_is_nothing_to_show(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene.write_text(little(["......", "......"]))
    assert _run(scene, "--out", tmp_path / "x.gif") == 2
    assert "given a chart without floats" in capsys.readouterr().err
    assert not (tmp_path / "x.gif").exists()


def test_a_file_is_whole_or_not_there(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Path, *_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("fabricsim.cli.commands.motion.pictures.film", lambda *_: (Sweep(()), b"a film"))
    monkeypatch.setattr(Path, "replace", full)
    out = tmp_path / "films" / "x.webp"
    assert _run(scene, "--frames", 2, "--width", 200, "--out", out) == 2
    assert "No space left on device" in capsys.readouterr().err
    assert not out.parent.exists()
