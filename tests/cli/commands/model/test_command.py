"""``fabricsim model`` as its users meet it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from fabricsim.cli import main
from fabricsim.cli.words.pins import SEEN_CURLED
from fabricsim.design.scene.read import read_scene
from fabricsim.study.forecast.forecast import forecast
from tests.support.little import assert_refused, little


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(little(floats="slack = -0.05"))
    return path


def _run(*words: object) -> int:
    return main(["model", *map(str, words)])


def _extents(path: Path) -> np.ndarray:
    loaded = trimesh.load_scene(io.BytesIO(path.read_bytes()), file_type=path.suffix[1:], process=False)
    return np.asarray(loaded.extents)


def test_it_leaves_a_file_and_says_what_is_in_it(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert _run(scene, "--case", "swatch") == 0
    said = capsys.readouterr()
    path = tmp_path / "model" / "check.glb"
    assert [one.name for one in path.parent.iterdir()] == ["check.glb"]
    assert said.out.startswith("Little check\n")
    assert "(milk, ink)" in said.out
    assert "metres; up is +y, and the face looks towards +z" in said.out
    assert f"{path.stat().st_size / 1e6:.1f} MB" in said.out
    across, up, deep = (f"{100 * size:.1f} cm" for size in _extents(path))
    assert f"{across} across, {up} up, {deep} deep" in said.out
    assert "The 3-D model is in model/check.glb" in said.out
    assert "drawing: 3-D model" in said.err


@pytest.mark.parametrize(
    ("of", "suffix"), [("yarn", ".obj"), ("yarn", ".ply"), ("surface", ".glb"), ("surface", ".PLY")]
)
def test_each_kind_shows_the_fabric_that_a_preview_shows(scene: Path, tmp_path: Path, of: str, suffix: str) -> None:
    out = tmp_path / "new" / f"piece{suffix}"
    assert _run(scene, "--of", of, "--out", out, "--case", "round", "--slack", "-0.08", "--inside-out") == 0
    rest = forecast(read_scene(scene), "round", slack=-0.08, inside_out=True, band=False).equilibrium
    lower = out.with_name("lower" + suffix.lower())
    out.rename(lower)
    # stitches reach to the middles of the outermost loops; beyond lie halves of them, yarn, and floats that hang out
    more = _extents(lower) - np.ptp(rest.x_nc, axis=0)
    w = rest.mesh.stitch_width
    assert (more > 0.1 * w).all()
    assert (more < 3.0 * w).all()


def test_numbers_for_programs(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    counts = {}
    for detail in ("fine", "medium", "coarse"):
        out = tmp_path / f"{detail}.glb"
        assert _run(scene, "--detail", detail, "--out", out, "--json") == 0
        said = json.loads(capsys.readouterr().out)
        assert said["file"] == str(out)
        assert said["of"] == "yarn"
        assert said["bytes"] == out.stat().st_size
        assert said["bodies"] == ["milk", "ink"]
        np.testing.assert_allclose(said["size_m"], _extents(out), atol=1e-6)
        assert said["passes_through_itself"] is False
        counts[detail] = said["triangles"]
    assert counts["fine"] > counts["medium"] > counts["coarse"] > 10_000


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--out", "x.stl"], "--out: given 'x.stl'; allowed: a file that ends in .glb or .ply or .obj"),
        (["--out", "folder"], "--out: given 'folder'"),
        (["--of", "wool"], "--of: given 'wool'; allowed: yarn, surface; name one of them"),
        (["--detail", "high", "--out", "x.glb"], "--detail: given 'high'; allowed: fine, medium, coarse"),
        (["--detail", "fine", "--of", "surface"], "--detail: given with --of surface"),
        (["--out", "check.toml/x.glb"], "--out: given 'check.toml' (File exists)"),
        (["--slack", "tight"], "--slack: given 'tight'"),
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
    assert_refused(("model", scene, *words), line, scene, capsys)


FLAT = little(("......",) * 12, worked="flat", across=6, case="swatch")


@pytest.mark.parametrize("of", ["yarn", "surface"])
def test_a_flat_piece_is_shown_off_its_pins_unless_it_is_said_to_be_flat(
    of: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    deep = {}
    for name, edges in (("lying", ""), ("pinned", '[fabric]\nedges = "flat"\n')):
        path, out = tmp_path / f"{name}.toml", tmp_path / f"{name}.glb"
        path.write_text(FLAT + edges)
        assert _run(path, "--of", of, "--out", out) == 0
        assert (SEEN_CURLED in capsys.readouterr().out) is (name == "lying")
        deep[name] = _extents(out)[2]
    assert deep["lying"] > deep["pinned"] + 0.01  # its edges, rolled up, rise by more than a centimetre
