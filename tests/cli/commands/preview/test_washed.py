"""A preview of a piece that is washed and blocked, from the words of its scene to its files, and its report."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from tests.support.little import little

CHART = ("..b...", ".b.b..", "b...b.")


def written(folder: Path, washed: str, case: str = "round") -> Path:
    path = folder / "check.toml"
    text = little(CHART, across=4, case=case, floats="slack = -0.02")
    path.write_text(text.replace("[gauge]", f"[gauge]\nwashed = {{ stitches = 18.2, rows = 25.5{washed} }}"))
    return path


def _preview(scene: Path, *words: str) -> int:
    return main(["preview", str(scene), "--draft", "--even", "--width", "300", "--out", "out", *words])


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_it_is_told_row_by_row_and_drawn_on_its_pins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], case: str
) -> None:
    monkeypatch.chdir(tmp_path)
    scene = written(tmp_path, ", pinned_cm = 13", case)
    assert _preview(scene, "--case", case) == 0
    said = capsys.readouterr().out
    assert "Washed     plain fabric comes out 4.4 % wider" in said
    assert "Follows    laid flat it can follow" in said
    assert "Blocked    pinned to 13.0 cm it is" in said
    assert "washed.png" in said
    told = json.loads(Path("out/summary.json").read_text())
    assert len(told["washed"]["rows_from_the_bottom"]) == told["rows"]
    assert told["washed"]["pinned_cm"] == pytest.approx(13.0, rel=0.02)
    assert told["washed"]["unpinned_low_cm"] < told["washed"]["unpinned_high_cm"]
    for name in ("washed.png", "blocked.png"):
        assert Path("out", name).stat().st_size > 1000
    # no longer pinned, no picture of it on pins is left
    assert _preview(written(tmp_path, "", case), "--case", case) == 0
    assert Path("out/washed.png").exists()
    assert "Blocked" not in capsys.readouterr().out


def test_what_no_knitting_can_be_pinned_to_is_refused_before_anything_is_solved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert _preview(written(tmp_path, ", pinned_cm = 54")) == 2
    said = capsys.readouterr().err
    assert "gauge.washed.pinned_cm: given 54; allowed: 6.59 to 19.8" in " ".join(said.split())
    assert not Path("out").exists()


def test_over_a_form_without_its_size_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["preview", str(written(tmp_path, ', over = "head"'))]) == 2
    assert "say how far round it is" in " ".join(capsys.readouterr().err.split())
