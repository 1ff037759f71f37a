"""``fabricsim preview`` as its users meet it."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.cli.commands.preview import command as preview_module
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene, scene_hash
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric import relax as relax_module
from fabricsim.fabric.setup import set_up
from fabricsim.mechanics.solver.stopping import Stopping
from fabricsim.study.forecast import forecast as forecasting
from fabricsim.study.forecast.forecast import Forecast
from tests.cli.remembered import remembered
from tests.support.little import little

FILES = {"face.png", "back.png", "pucker.png", "widths.png", "summary.json"}

HAT = 'item = "hat"\n' + little(("..bb", "b...", "...."), across=12, case="round") + "[sizes]\nrib_cm = 1.5\n"
SCENE = little(floats="slack = -0.05\nlongest_gap = 2")
ALIKE = little(floats="slack = -0.05\nlongest_gap = 2\nunevenness = 0\nshort_mm = 0")
"""The same, every float just as it is told."""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(SCENE)
    return path


def _run(*words: object) -> int:
    return main(["preview", *map(str, words)])


@pytest.fixture(autouse=True, scope="module")
def solved_once() -> Iterator[None]:
    with remembered(forecasting, "forecast"):
        yield


def test_it_says_what_a_knitter_asks_and_leaves_five_files(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert _run(scene, "--out", out, "--width", 320) == 0
    said = capsys.readouterr()
    for word in ("Little check", "Floats", "Taut", "Draw-in", "likely", "Pucker", "flat (under 1 mm)", "What to do"):
        assert word in said.out
    assert "over your limit of 2 stitches" in said.out
    assert "safe" not in said.out.lower()
    for told in (
        "bringing to rest: forecast (1 of 4)",
        "bringing pieces to rest: ",
        "where it begins to pucker (4 of 4)",
    ):
        assert told in said.err  # long work shows how far it is, apart from results
    assert {path.name for path in out.iterdir()} == FILES
    for name in FILES - {"summary.json"}:
        pixels = np.asarray(Image.open(out / name).convert("L"))
        assert pixels.shape[1] >= 320
        assert pixels.std() > 5.0  # something is drawn
    said = json.loads((out / "summary.json").read_text())
    assert said["schema_version"] == 3
    assert said["scene_hash"] == scene_hash(read_scene(scene))
    draw_in = said["draw_in"]
    assert draw_in["low_percent"] < draw_in["nominal_percent"] < draw_in["high_percent"]
    assert draw_in["nominal_cm"] == pytest.approx(draw_in["plain_width_cm"] - draw_in["width_cm"], rel=1e-12)
    assert draw_in["nominal_cm"] == pytest.approx(draw_in["nominal_percent"] / 100 * draw_in["plain_width_cm"])
    assert len(said["rows_from_the_bottom"]) == 5
    assert len(said["pieces"]) == forecasting.PIECES
    assert said["floats"]["count"] == len(said["floats"]["each"]) > 0
    assert said["floats"]["taut"] == sum(one["taut"] for one in said["floats"]["each"])
    assert said["fabric"]["stretch_across_N_per_m"]["owner"].startswith("chosen")
    assert said["solver"]["status"] == "at_rest"
    assert said["solver"]["residual_over_force_scale"] <= 1e-9


def test_random_starts_are_tried_and_told(scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene.write_text(ALIKE)
    assert _run(scene, "--out", tmp_path / "out", "--draft", "--starts", "3", "--width", 200) == 0
    said = capsys.readouterr()
    assert "This was a draft" in said.out
    assert "likely" not in said.out.replace("likely range", "")
    assert (
        "Shapes     5 starts all came to one shape: 5.0 to 5.0 % narrower, pucker 0.0 to 0.0 mm; shown is" in said.out
    )
    assert max(map(len, said.out.splitlines()[:-4])) <= 120  # in lines, piped too; names of files stay whole
    assert "random start 3 (5 of 6)" in said.err
    starts = json.loads((tmp_path / "out" / "summary.json").read_text())["starts"]
    assert [one["start"] for one in starts["each"]][:2] == ["plain fabric", "from loose to tight"]
    assert len(starts["each"]) == 5
    (shown,) = [one for one in starts["each"] if one["start"] == starts["shown"]]
    least = min(one["energy_uJ"] for one in starts["each"])
    assert shown["energy_uJ"] == pytest.approx(least, rel=1e-5)  # one shape: the first of what differs by rounding
    told = f"shown is the one of least energy, {shown['energy_uJ']:.1f} microjoules"
    assert told in " ".join(said.out.split())
    assert starts["different_shapes"] == 1
    low, high = starts["pucker_mm_least_and_greatest"]
    assert 0.0 < low <= high < 0.05  # said as 0.0
    assert all(one["energy_uJ"] > 0.0 and one["no_rest_because"] is None for one in starts["each"])


def test_slack_and_case_are_taken_from_the_command(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene.write_text(ALIKE)
    words = ("--draft", "--slack", "0", "--case", "swatch", "--json", "--width", 200)
    assert _run(scene, "--out", tmp_path / "out", *words) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["case"] == "swatch"
    assert said["draw_in"]["nominal_percent"] == 0.0
    assert said["pucker"]["nominal_mm"] == 0.0
    assert said["pieces"] == []
    assert {one["slack_percent"] for one in said["floats"]["each"]} == {0.0}
    assert said["asked"]["slack"] == 0.0
    assert said["asked"]["draft"] is True


def test_both_commands_tell_the_same_of_every_float(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Worked flat, where every second row runs the other way."""
    scene.write_text(SCENE.replace('"round"', '"flat"'))
    assert _run(scene, "--out", tmp_path / "out", "--draft", "--case", "swatch", "--json", "--width", 200) == 0
    previewed = json.loads(capsys.readouterr().out)["floats"]["each"]
    assert main(["floats", str(scene), "--json"]) == 0
    counted = json.loads(capsys.readouterr().out)["floats"]
    assert {one["worked"] for one in counted} == {"left to right", "right to left"}
    shared = set(previewed[0]) & set(counted[0])
    assert {"yarn", "row", "stitch", "to_row", "to_stitch", "gap_stitches", "yarn_cm"} <= shared
    assert [{key: one[key] for key in shared} for one in previewed] == [
        {key: one[key] for key in shared} for one in counted
    ]


def test_inside_out_is_taken_from_the_command_or_else_from_the_scene(
    scene: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    longer: dict[tuple[bool, str], bool] = {}

    def set_up_only(read: Scene, case: Case, *, slack: None, inside_out: bool | None, **_: object) -> Forecast:
        longer[written, option] = set_up(read, case, slack=slack, inside_out=inside_out).mesh.floats_longer > 1.0
        raise NoEquilibriumError("not asked for")

    monkeypatch.setattr(forecasting, "forecast", set_up_only)
    for written in (False, True):
        scene.write_text(SCENE + f"inside_out = {str(written).lower()}\n")
        for option in ("", "--inside-out", "--no-inside-out"):
            words = [option] if option else []
            assert _run(scene, "--out", tmp_path / "out", "--case", "round", *words) == 3
    assert longer == {(asked, option): longer[True, option] if option else asked for asked, option in longer}
    assert (longer[True, "--inside-out"], longer[True, "--no-inside-out"]) == (True, False)


def test_without_a_scene_it_shows_the_built_in_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["preview", "--draft", "--case", "repeat", "--width", "200"]) == 0
    assert {path.name for path in (tmp_path / "preview" / "demo").iterdir()} == FILES
    assert "Seed-head hat band" in capsys.readouterr().out


def test_the_module_runs_as_the_command_does() -> None:
    said = [
        subprocess.run([*start, "preview", "--help"], capture_output=True, text=True, check=True).stdout
        for start in ([sys.executable, "-m", "fabricsim"], [str(Path(sys.executable).parent / "fabricsim")])
    ]
    assert said[0] == said[1]
    assert "--slack" in said[0]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["--case", "sideways"], "--case: given 'sideways'; allowed: repeat, swatch, round"),
        (["--slack", "-1"], "--slack: given -1; allowed: a fraction above -1, at most 1; -0.05 is 5 % too tight"),
        (["--slack", "nan"], "--slack: given nan; allowed: a fraction above -1, at most 1"),
        (["--slack", "5"], "--slack: given 5; allowed: a fraction above -1, at most 1; write 0.05 if you mean 5 %"),
        (["--inside-out"], "--inside-out: given with the case 'repeat'; allowed: with the case 'round' only"),
    ],
)
def test_bad_words_give_one_line_and_nothing_else(
    words: list[str], part: str, scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert _run(scene, "--out", out, *words) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert part in said
    assert not out.exists()


@pytest.mark.parametrize(
    ("given", "key"),
    [
        ("poisson_across = 0.9", "fabric.poisson_across"),
        ("shear_N_per_m = 500.0", "fabric.shear_N_per_m"),
    ],
)
def test_a_stiffness_that_is_not_positive_definite_is_refused(
    given: str, key: str, scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene.write_text(SCENE + "[fabric]\n" + given + "\n")
    assert _run(scene, "--out", tmp_path / "out") == 2
    said = capsys.readouterr().err.splitlines()
    assert said[-1].startswith(f"fabricsim: {scene}: {key}: given")
    assert "positive definite" in said[-1]
    assert not (tmp_path / "out").exists()


def test_an_output_folder_that_cannot_be_is_refused_before_any_work(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "a_file"
    blocked.write_text("mine")
    assert _run(scene, "--out", blocked) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "--out" in said
    assert blocked.read_text() == "mine"


@pytest.fixture
def earlier(tmp_path: Path) -> Path:
    """A folder with what an earlier preview left there, and a file that is not of our making."""
    out = tmp_path / "out"
    out.mkdir()
    for name in FILES:
        if name.endswith(".png"):
            Image.new("RGB", (2, 2)).save(out / name)
        else:
            (out / name).write_text('{"command": "preview"}')
    (out / "notes.txt").write_text("mine")
    return out


def test_no_equilibrium_says_so_exits_3_and_leaves_no_picture_that_looks_finished(
    scene: Path, earlier: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(relax_module, "Stopping", lambda tolerance, steps: Stopping(tolerance, steps=1))
    assert _run(scene, "--out", earlier, "--draft", "--slack", "-0.11") == 3
    said = capsys.readouterr().err.splitlines()[-1]
    assert "no equilibrium" in said
    assert "used up its steps" in said
    assert {path.name for path in earlier.iterdir()} == {"notes.txt"}  # what is not ours stays


def test_stopped_by_hand_it_leaves_the_earlier_files_whole(
    scene: Path, earlier: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(*words: object) -> None:
        raise KeyboardInterrupt

    before = {path.name: path.read_bytes() for path in earlier.iterdir()}
    monkeypatch.setattr("fabricsim.cli.commands.preview.pictures.pictures", stopped)
    assert _run(scene, "--out", earlier, "--draft") == 130
    assert "stopped by you" in capsys.readouterr().err
    assert {path.name: path.read_bytes() for path in earlier.iterdir()} == before


def test_the_list_of_files_is_what_is_written() -> None:
    assert set(preview_module.FILES) == FILES


def test_a_swatch_is_drawn_off_its_pins_unless_its_edges_are_flat_or_it_is_a_draft(tmp_path: Path) -> None:
    path, out = tmp_path / "swatch.toml", tmp_path / "out"
    swatch = little(("......",) * 4, worked="flat", case="swatch")
    told = {}
    for name, edges, more in (("", "", ()), ("draft", "", ("--draft",)), ("flat", '[fabric]\nedges = "flat"\n', ())):
        path.write_text(swatch + edges)
        assert _run(path, "--width", 200, "--even", "--out", out, *more) == 0
        assert {file.name for file in out.iterdir()} == FILES | (set() if name else {"unpinned.png"})
        told[name] = json.loads((out / "summary.json").read_text())
    assert told[""]["unpinned"]["stands_cm"] > 1.0
    assert [name for name in told if "unpinned" in told[name]] == [""]
    assert told[""]["draw_in"] == told["flat"]["draw_in"]  # numbers are taken pinned


def test_a_whole_hat_is_told_by_the_names_of_its_rounds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, out = tmp_path / "hat.toml", tmp_path / "out"
    path.write_text(HAT)
    assert _run(path, "--whole", "--slack", -0.1, "--even", "--draft", "--width", 300, "--out", out) == 0
    said = capsys.readouterr().out
    assert "whole piece as it is worked: 48 stitches cast on, 48 at the most, 6 drawn together, 17 rounds." in said
    assert {file.name for file in out.iterdir()} == FILES
    told = json.loads((out / "summary.json").read_text())
    lost = [row["loss_percent"] for row in told["rows_from_the_bottom"]]
    narrowest = told["row_names"][lost.index(max(lost))]
    assert f"Narrowest  {narrowest}: " in said
    assert narrowest in ("round 1", "round 2")  # of the chart; those of the rib have its name before them
    assert told["whole"]
    assert told["row_names"][0] == "rib, round 1"
    assert len(told["row_names"]) == len(told["rows_from_the_bottom"])
    assert {one["row"] for one in told["floats"]["each"]} == {2, 3}


def test_a_scene_that_is_shaped_is_seen_whole_unless_a_case_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "sleeve.toml"
    path.write_text(HAT.replace('item = "hat"', 'item = "sleeves"') + "[shaping]\nincrease_every = 2\nincreases = 1\n")
    few = ("--slack", 0.3, "--even", "--draft", "--width", 300, "--out", tmp_path / "out")
    assert _run(path, *few) == 0
    assert "48 stitches cast on, 50 at the most, 50 left" in capsys.readouterr().out
    for words in (("--no-whole",), ("--case", "round")):
        assert _run(path, *few, *words) == 0
        assert "Seen as a tube without weight, floats inside: 48 stitches x 3 rounds." in capsys.readouterr().out
