"""``fabricsim draw`` as its users meet it."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.cli.words.pins import SEEN_CURLED
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.read import read_scene
from fabricsim.fabric.relax import relax
from fabricsim.render.basics import memory
from tests.support.little import assert_refused, little

SCENE = little(("..bb..", ".bbbb.", "bb..bb", "......"), worked="flat", floats="slack = -0.04", case="swatch")


@pytest.fixture
def scene(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(SCENE)
    return path


def _picture(path: Path) -> Image.Image:
    with Image.open(path) as picture:
        picture.load()
        return picture


def _draw(*words: object) -> int:
    return main(["draw", *map(str, words), "--draft"])


def test_by_default_it_draws_the_face_on_a_page_into_a_folder(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _draw(scene) == 0
    assert capsys.readouterr().out.startswith(f"Face: {Path('drawings') / 'check-face.png'}, 1600 x ")
    assert _picture(tmp_path / "drawings" / "check-face.png").width == 1600


@pytest.mark.parametrize("view", ["back", "three-quarter", "close-up"])
def test_every_view_can_be_drawn(view: str, scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _draw(scene, "--view", view, "--width", 300, "--out", tmp_path / "it.png") == 0
    assert _picture(tmp_path / "it.png").width == 300
    assert ("In its middle is stitch" in capsys.readouterr().out) == (view == "close-up")


HAT = 'item = "hat"\n' + little(("..bb", "b...", "...."), across=12, case="round") + "[sizes]\nrib_cm = 1.5\n"


@pytest.mark.parametrize("view", ["face", "back", "above"])
def test_a_whole_hat_can_be_drawn(view: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "hat.toml"
    path.write_text(HAT)
    assert _draw(path, "--whole", "--view", view, "--width", 300, "--out", tmp_path / "it.png") == 0
    assert _picture(tmp_path / "it.png").width == 300
    said = capsys.readouterr().out
    assert said.startswith("Face, from above" if view == "above" else view.capitalize())


def test_a_whole_hat_is_put_on(tmp_path: Path) -> None:
    path = tmp_path / "hat.toml"
    path.write_text(HAT + 'file = "mine.toml"\n')
    (tmp_path / "mine.toml").write_text('bodies = [{ part = "head", name = "doll", cm = 26 }]\n')
    asked = (path, "--whole", "--draft", "--bare", "--width", 300)
    assert _draw(*asked, "--out", tmp_path / "off.png") == 0
    assert _draw(*asked, "--on", "head", "--out", tmp_path / "on.png") == 0
    off, on = _picture(tmp_path / "off.png"), _picture(tmp_path / "on.png")
    assert on.width == 300
    assert on.height > off.height  # what it is worn on shows below it


def test_a_section_is_drawn_to_scale_as_a_picture_or_in_lines(scene: Path, tmp_path: Path) -> None:
    for suffix in ("png", "svg"):
        assert _draw(scene, "--view", "section", "--width", 700, "--out", tmp_path / f"it.{suffix}") == 0
    assert _picture(tmp_path / "it.png").width == 700
    first = (tmp_path / "it.svg").read_bytes()
    assert b"<svg" in first
    assert _draw(scene, "--view", "section", "--width", 700, "--out", tmp_path / "it.svg") == 0
    assert (tmp_path / "it.svg").read_bytes() == first


def test_a_section_of_a_whole_piece_has_the_number_that_its_pattern_gives(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Above a rib of a few rounds; one more than are there is refused in the same numbers."""
    path, out = tmp_path / "hat.toml", tmp_path / "it.svg"
    path.write_text(HAT)
    there = piece_of(read_scene(path))
    number = there.section("chart").rows[1].number
    assert (number, there.rows_below > 0) == (2, True)
    words = (path, "--whole", "--even", "--view", "section", "--out", out)
    assert _draw(*words, "--row", number) == 0
    assert capsys.readouterr().out.startswith("Round 2 seen edge on: ")
    assert _draw(*words, "--row", there.last.number + 1) == 2
    said = f"--row: given {there.last.number + 1}; allowed: rounds 1 to {there.last.number} of this fabric"
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("show", ["pull", "pucker"])
def test_colours_may_say_what_the_fabric_does(show: str, scene: Path, tmp_path: Path) -> None:
    for name in ("yarn", show):
        assert _draw(scene, "--view", "back", "--show", name, "--width", 400, "--out", tmp_path / f"{name}.png") == 0
    plain, painted = (np.asarray(_picture(tmp_path / f"{name}.png")).astype(int) for name in ("yarn", show))
    # the fabric stands where it stood; the foot with the colours' scale is taller
    assert np.array_equal(plain[:10], painted[:10])
    tall = min(len(plain), len(painted)) - 60
    assert (np.abs(plain[:tall] - painted[:tall]).max(axis=2) > 40).mean() > 0.05


def test_a_fabric_without_floats_has_no_pull_to_show(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene.write_text(SCENE.replace('["..bb..", ".bbbb.", "bb..bb", "......"]', '["......", "......"]'))
    assert _draw(scene, "--view", "back", "--show", "pull") == 2
    assert "this fabric has no floats" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [scene]


def test_a_close_up_shows_the_stitch_asked_for_counted_from_the_bottom_right(scene: Path, tmp_path: Path) -> None:
    """Row 2 of the chart is ``bb..bb``: its stitches 1 and 4 differ, and so does what is in the picture's middle."""
    middles = []
    for place in ("2,1", "2,4"):
        name = tmp_path / f"{place}.png"
        words = ("--view", "close-up", "--at", place, "--across", 3, "--ground", "transparent", "--width", 150)
        assert _draw(scene, *words, "--out", name) == 0
        seen = np.asarray(_picture(name).convert("RGB")).astype(float)
        tall, wide = seen.shape[:2]
        middles.append(seen[tall // 2 - 8 : tall // 2 + 8, wide // 2 - 20 : wide // 2 + 20].mean())
    assert middles[0] < 90.0 < 130.0 < middles[1]


def test_true_size_is_the_size_of_the_fabric(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = tmp_path / "it.png"
    assert _draw(scene, "--true-size", "--dpi", 100, "--bare", "--ground", "transparent", "--out", name) == 0
    picture = _picture(name)
    assert picture.info["dpi"] == pytest.approx((100.0, 100.0), abs=0.02)
    columns = np.nonzero((np.asarray(picture)[..., 3] > 150).any(axis=0))[0]
    drawn = 2.54 * (columns[-1] - columns[0] + 1) / 100
    # from the middle of the first stitch to that of the last, and about half a stitch and a turn of yarn at each end
    rest = relax(read_scene(scene))
    knitted, stitch = 100.0 * np.ptp(rest.x_nc[:, 0]), 100.0 * rest.mesh.stitch_width
    assert knitted + 0.6 * stitch < drawn < knitted + 1.8 * stitch
    assert "the fabric as large as in the hand" in capsys.readouterr().out


def test_a_width_in_cm_comes_out_at_its_resolution(scene: Path, tmp_path: Path) -> None:
    assert _draw(scene, "--width-cm", 5.08, "--dpi", 150, "--out", tmp_path / "it.png") == 0
    assert _picture(tmp_path / "it.png").width == 300


def test_a_transparent_ground_leaves_the_fabric_alone(scene: Path, tmp_path: Path) -> None:
    assert _draw(scene, "--ground", "transparent", "--width", 200, "--out", tmp_path / "it.png") == 0
    picture = np.asarray(_picture(tmp_path / "it.png"))
    assert picture.shape[2] == 4
    assert picture[0, 0, 3] == 0
    assert picture[..., 3].max() == 255


WRONG = {
    (
        "--view",
        "front",
    ): "--view: given 'front'; allowed: face, back, three-quarter, above, close-up, section; name one of them",
    ("--side", "left"): "--side: given 'left'; allowed: face, back; name one of them",
    ("--view", "face", "--side", "back"): "--side: given 'back' with --view face; allowed: a side with three-quarter "
    "or close-up; say --view back",
    ("--at", "3,3"): "--at: given with --view face; allowed: with --view close-up only; add --view close-up",
    ("--view", "close-up", "--at", "x"): "--at: given 'x'; allowed: a row and a stitch, such as 12,30; count from the "
    "bottom right",
    ("--view", "close-up", "--at", "5,3"): "--at: given 5,3; allowed: rows 1 to 4 and stitches 1 to 12 of this fabric; "
    "count from the bottom right",
    ("--view", "above"): "--view: given 'above'; allowed: with --whole only; add --whole",
    ("--whole", "--case", "swatch"): "--case: given 'swatch' with --whole; allowed: none: it is seen as it is worked; "
    "leave one of them out",
    ("--row", "3"): "--row: given with --view face; allowed: with --view section only; add --view section",
    ("--view", "section", "--row", "9"): "--row: given 9; allowed: rows 1 to 4 of this fabric; count from below",
    ("--view", "section", "--show", "pull"): "--show: given with --view section; allowed: with views of the fabric "
    "only; leave it out",
    ("--show", "stress"): "--show: given 'stress'; allowed: yarn, pull, pucker; name one of them",
    ("--ground", "grass"): "--ground: given 'grass'; allowed: paper, white, transparent or a colour such as "
    "'#e8e4da'; name one of them",
    ("--width", "500", "--true-size"): "--width and --true-size: given together; allowed: one size; leave out "
    "--true-size",
    ("--width-cm", "-3"): "--width-cm: given -3; allowed: from 0.1 to 1000 cm; say how wide it is to be in print",
    ("--dpi", "0"): "--dpi: given 0; allowed: from 1 to 2400; 300 is usual",
    ("--out", "it.jpg"): "--out: given 'it.jpg'; allowed: a file that ends in .png; name it it.png",
}


@pytest.mark.parametrize("words", WRONG, ids=" ".join)
def test_what_cannot_be_drawn_is_said_in_one_line_and_leaves_nothing(
    words: tuple[str, ...], scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert_refused(("draw", scene, *words, "--draft"), WRONG[words], scene, capsys, whole=True)


def test_a_picture_too_large_for_the_memory_is_refused(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memory, "free_memory", lambda: 100 << 20)
    assert _draw(scene, "--width", 6000) == 2
    assert "ask for fewer dots per inch or a narrower picture" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [scene]


@pytest.mark.skipif(os.geteuid() == 0, reason="the administrator may write everywhere")
def test_a_folder_that_cannot_be_written_to_is_refused(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    assert _draw(scene, "--out", closed / "it.png") == 2
    assert "Permission denied" in capsys.readouterr().err


def test_a_folder_is_no_file(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "it.png").mkdir()
    assert _draw(scene, "--out", tmp_path / "it.png") == 2
    assert "allowed: a file that can be written; name a file" in capsys.readouterr().err


def test_a_tube_is_drawn_as_it_is_worn_or_refused_if_it_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    bodies = 'bodies = [{ part = "head", name = "doll", cm = 19.5 }, { part = "head", name = "giant", cm = 60 }]\n'
    (tmp_path / "mine.toml").write_text(bodies)
    tube = little(("..b...", ".b.b..", "b...b."), across=6, case="round", floats="slack = 0.08")
    (tmp_path / "tube.toml").write_text(tube + '\n[sizes]\nfile = "mine.toml"\n')
    assert _draw("tube.toml", "--even", "--on", "head", "--width", 300) == 0
    assert _picture(tmp_path / "drawings" / "tube-face-on-head.png").width == 300
    capsys.readouterr()
    assert _draw("tube.toml", "--even", "--on", "head", "--size", "giant", "--out", "no.png") == 2
    said = capsys.readouterr().err.strip().splitlines()[-1]
    assert "a head (giant), 60.0 cm round where it is widest, where it doesn't go on (no: round" in said
    assert not (tmp_path / "no.png").exists()


def test_aslant_a_flat_piece_is_seen_off_its_pins_and_from_above_on_them(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    seen = {}
    for edges in ("", '[fabric]\nedges = "flat"\n'):
        scene.write_text(SCENE + edges)
        for view in ("face", "three-quarter"):
            out = tmp_path / "it.png"
            assert _draw(scene, "--view", view, "--width", 300, "--bare", "--out", out) == 0
            assert (SEEN_CURLED in capsys.readouterr().out) is (view == "three-quarter" and not edges)
            seen[view, edges] = out.read_bytes()
    assert len(set(seen.values())) == 3  # the face is the same either way
