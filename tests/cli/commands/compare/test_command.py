"""The compare command: the same bytes whichever way it runs and however it is stopped; what it says and refuses."""

from __future__ import annotations

import csv
import io
import json
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.design.scene.read import read_scene
from fabricsim.fabric.setup import set_up
from fabricsim.study import executors
from fabricsim.study.cluster import Workers
from fabricsim.study.compare import chains
from fabricsim.study.forecast.puckering import puckers_from
from tests.study.compare.known import solve_each_once
from tests.study.solving import FOLDER, KILLS, counted, solves
from tests.support.little import assert_refused, little

GRID = ["--slack", "-0.06,-0.03,0,0.05", "--catches", "none", "--bending-stiffness", "0.5,2", "--even"]
COUNT = 8


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.toml"
    path.write_text(little(), encoding="utf-8")
    return path


NOBODY = "nobody:0"


def run(folder: Path, words: list[str], kills: str = NOBODY) -> subprocess.CompletedProcess[str]:
    """Run the command, its solves counted in the ``folder``: in a process of its own where it is killed or begins
    others, else in this one, which is quicker."""
    alone = "2" not in words and "--cluster" not in words
    if alone and kills.split(":")[0] in ("nobody", "interrupted"):
        return run_here(folder, words, kills)
    return subprocess.run(
        [sys.executable, "-m", "tests.study.solving", "compare", *words],
        env={**os.environ, FOLDER: str(folder), KILLS: kills},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def run_here(folder: Path, words: list[str], kills: str) -> subprocess.CompletedProcess[str]:
    """Run the command in this process."""
    said, told = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said), redirect_stderr(told):
        patch.setenv(FOLDER, str(folder))
        patch.setenv(KILLS, kills)
        patch.setattr(chains, "solve", counted)
        status = main(["compare", *words])
    return subprocess.CompletedProcess(words, status, said.getvalue(), told.getvalue())


@pytest.fixture(autouse=True)
def each_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """In this process; those that are started solve for themselves."""
    solve_each_once(monkeypatch)


@pytest.fixture(scope="module")
def straight(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """What an uninterrupted run on one process writes."""
    folder = tmp_path_factory.mktemp("straight")
    (folder / "scene.toml").write_text(little(), encoding="utf-8")
    ended = run(folder, [str(folder / "scene.toml"), *GRID, "--out", str(folder / "rows.csv"), "--processes", "1"])
    assert ended.returncode == 0, ended.stderr
    assert solves(folder) == dict.fromkeys(range(COUNT), 1)
    return (folder / "rows.csv").read_bytes()


def test_the_same_bytes_from_several_processes(scene: Path, straight: bytes) -> None:
    out = scene.parent / "rows.csv"
    ended = run(scene.parent, [str(scene), *GRID, "--out", str(out), "--processes", "2", "--cluster", "local"])
    assert ended.returncode == 0, ended.stderr
    assert out.read_bytes() == straight
    assert solves(scene.parent) == dict.fromkeys(range(COUNT), 1)


def test_a_killed_worker_loses_nothing(scene: Path, straight: bytes) -> None:
    out = scene.parent / "rows.csv"
    ended = run(scene.parent, [str(scene), *GRID, "--out", str(out), "--processes", "2"], kills="itself:1")
    assert ended.returncode == 0, ended.stderr
    assert (scene.parent / "killed").exists()
    assert out.read_bytes() == straight


def test_the_same_bytes_from_a_cluster_and_a_word_on_trust(
    scene: Path, straight: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What becomes of those whose worker is killed: ``tests/study/test_executors.py``."""

    class Cluster(Executor):
        def submit(self, job: Any, /, *args: Any, **_: Any) -> Future[Any]:
            future: Future[Any] = Future()
            there, sent = pickle.loads(pickle.dumps((job, args)))
            future.set_result(pickle.loads(pickle.dumps(there(*sent))))
            return future

    @contextmanager
    def workers_at(given: str) -> Iterator[Workers]:
        assert given == address
        yield Workers(1, Cluster(), RuntimeError)

    monkeypatch.setattr(executors, "workers_at", workers_at)
    out, address = scene.parent / "rows.csv", "tcp://127.0.0.1:9"
    ended = run_here(scene.parent, [str(scene), *GRID, "--out", str(out), "--cluster", address], NOBODY)
    assert ended.returncode == 0, ended.stderr
    assert solves(scene.parent) == dict.fromkeys(range(COUNT), 1)
    assert out.read_bytes() == straight
    trust = f"working on the cluster at {address}: whoever can reach its scheduler can run programs on its machines"
    assert trust in ended.stderr


def test_damage_is_told_and_the_same_bytes_come_out(scene: Path, straight: bytes) -> None:
    out = scene.parent / "rows.csv"
    words = [str(scene), *GRID, "--out", str(out), "--processes", "1"]
    assert run(scene.parent, words, kills="interrupted:4").returncode == 130  # in the second chain: 7, 6, 5, 4
    rows, shapes = scene.with_name("rows.csv.rows"), scene.with_name("rows.csv.rows.shapes")
    lines = rows.read_bytes().splitlines(keepends=True)
    damaged = b"".join([*lines[:2], b"\0" * 50 + b"\n", lines[3][:80], *lines[4:]])  # two of the first chain
    rows.write_bytes(damaged)
    (shape,) = shapes.iterdir()
    shape.write_bytes(b"")
    (shapes / ".DS_Store").touch()
    ended = run(scene.parent, words)
    assert ended.returncode == 0, ended.stderr
    assert out.read_bytes() == straight
    told = ended.stderr.splitlines()
    beside = f"what was lost is worked out anew; the file as it was is kept in {rows}.damaged"
    assert f"fabricsim: 2 damaged lines in {rows}: {beside}" in told
    assert rows.with_name("rows.csv.rows.damaged").read_bytes() == damaged
    more = "4 settings to be brought to rest once more: the shape that the next one starts from is lost or damaged"
    assert f"fabricsim: {more}" in told
    solved = {0: 1, 1: 2, 2: 2, 3: 2, 4: 1, 5: 2, 6: 2, 7: 2}
    assert [one.name for one in shapes.iterdir()] == [".DS_Store"]
    again = run(scene.parent, words)
    assert (again.returncode, again.stderr.count("fabricsim:")) == (0, 0)
    assert solves(scene.parent) == solved


def test_killed_in_the_middle_the_same_command_goes_on(scene: Path, straight: bytes) -> None:
    out, number = scene.parent / "rows.csv", 5  # in the middle of the second chain
    words = [str(scene), *GRID, "--out", str(out), "--processes", "1"]
    assert run(scene.parent, words, kills=f"itself:{number}").returncode == -signal.SIGKILL
    assert not out.exists()
    assert number not in solves(scene.parent)
    ended = run(scene.parent, words)
    assert ended.returncode == 0, ended.stderr
    assert out.read_bytes() == straight
    assert solves(scene.parent) == dict.fromkeys(range(COUNT), 1)
    again = run(scene.parent, words)
    assert again.returncode == 0
    assert out.read_bytes() == straight
    assert solves(scene.parent) == dict.fromkeys(range(COUNT), 1)
    assert f"{COUNT} of them already done" in again.stderr
    assert sorted(one.name for one in scene.parent.iterdir()) == [
        "killed",
        "rows.csv",
        "rows.csv.rows",
        "scene.toml",
        "solved",
    ]


def test_its_processes_end_with_it_when_it_is_killed(scene: Path, straight: bytes) -> None:
    out = scene.parent / "rows.csv"
    words = [str(scene), *GRID, "--out", str(out), "--processes"]
    # the pipes that its processes hold open close with them, or this never returns
    assert run(scene.parent, [*words, "2"], kills="command:1").returncode == -signal.SIGKILL
    assert run(scene.parent, [*words, "1"]).returncode == 0
    assert out.read_bytes() == straight


def test_ctrl_c_keeps_and_writes_what_there_is(scene: Path, straight: bytes) -> None:
    out = scene.parent / "rows.csv"
    words = [str(scene), *GRID, "--out", str(out), "--processes", "1"]
    ended = run(scene.parent, words, kills="interrupted:1")
    assert ended.returncode == 130
    assert f"2 of {COUNT} settings are done and kept in {out}.rows; the same command goes on" in ended.stderr
    assert "Traceback" not in ended.stderr
    whole = straight.decode().splitlines()
    assert out.read_text(encoding="utf-8").splitlines() == [whole[0], whole[3], whole[4]]
    assert run(scene.parent, words).returncode == 0
    assert out.read_bytes() == straight
    assert solves(scene.parent) == dict.fromkeys(range(COUNT), 1)


def test_ctrl_c_at_a_terminal_stops_several_processes_at_once(scene: Path) -> None:
    out = scene.parent / "rows.csv"
    slow = ["--slack", "-0.06:0.05:0.001", "--even", "--processes", "2", "--out", str(out)]
    going = subprocess.Popen(
        [sys.executable, "-m", "tests.study.solving", "compare", str(scene), *slow, "--bending-stiffness", "1,2"],
        env={**os.environ, FOLDER: str(scene.parent)},
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    rows = scene.with_name("rows.csv.rows")
    while not rows.exists() or rows.read_bytes().count(b"\n") < 4:
        assert going.poll() is None
        try:
            going.wait(0.2)
        except subprocess.TimeoutExpired:
            continue
    os.killpg(going.pid, signal.SIGINT)  # as a terminal does: to all of them
    _, said = going.communicate(timeout=60)
    assert going.returncode == 130
    assert "Traceback" not in said
    assert "settings are done and kept" in said


def test_a_file_is_the_command_line(scene: Path, straight: bytes) -> None:
    study = scene.parent / "study.toml"
    study.write_text(
        'scenes = "scene.toml"\nslack = [-0.06, -0.03, 0, 0.05]\ncatches = "none"\nbending_stiffness = [0.5, 2]\n'
        "even = true\n",
        encoding="utf-8",
    )
    out = scene.parent / "rows.csv"
    assert run(scene.parent, ["--study", str(study), "--out", str(out)]).returncode == 0
    assert out.read_bytes() == straight


def test_units_are_in_the_heads_and_rows_in_the_order_of_the_grid(straight: bytes) -> None:
    lines = list(csv.DictReader(io.StringIO(straight.decode())))
    assert list(lines[0]) == [
        "setting",
        "scene",
        "case",
        "whole",
        "inside_out",
        "gauge_stitches_per_10_cm",
        "gauge_rows_per_10_cm",
        "stretch_stiffness_times",
        "bending_stiffness_times",
        "catches",
        "longest_gap_stitches",
        "slack_percent",
        "draw_in_percent",
        "draw_in_low_percent",
        "draw_in_high_percent",
        "draw_in_cm",
        "width_cm",
        "pucker_mm",
        "pucker_low_mm",
        "pucker_high_mm",
        "onset_slack_percent",
        "floats",
        "taut_floats",
        "greatest_tension_cN",
        "stretch_left_percent",
        "floats_over_limit",
        "yarn_1_m",
        "yarn_2_m",
        "status",
        "remark",
    ]
    assert [int(line["setting"]) for line in lines] == list(range(1, COUNT + 1))
    assert [float(line["slack_percent"]) for line in lines] == 2 * [-6.0, -3.0, 0.0, 5.0]
    assert [float(line["bending_stiffness_times"]) for line in lines] == 4 * [0.5] + 4 * [2.0]
    for line in lines:
        assert line["draw_in_low_percent"] == line["pucker_high_mm"] == ""  # of floats all alike
        assert float(line["width_cm"]) == pytest.approx(12 * 10 / 19 * (1 - float(line["draw_in_percent"]) / 100))


def test_for_people(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["compare", str(scene), "--slack", "-0.05,0", "--slack", "0.1", "--slack-of", "b=-0.02,0.2", "--even"])
        == 0
    )
    said = capsys.readouterr().out
    assert "Seen as the chart endlessly repeated, 19 x 25.5 stitches and rows to 10 cm, no catches." in said
    assert "6 settings" in said
    assert "slack of b %  slack %  draw-in %" in said
    assert "safe" not in said.lower()
    assert "status" not in said


def test_what_is_written_is_told_too(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["compare", str(scene), "--slack", "-0.05,0.1", "--even"]
    assert main(words) == 0
    told = capsys.readouterr().out
    out = scene.with_name("rows.csv")
    assert main([*words, "--out", str(out)]) == 0
    assert capsys.readouterr().out == f"{told}Written to {out}: 2 settings, 2 at rest.\n"


def test_for_programs(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(scene), "--case", "repeat,round", "--slack", "0.05", "--even", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["command"], said["settings"], said["done"]) == ("compare", 2, 2)
    assert [one["case"] for one in said["rows"]] == ["repeat", "round"]
    assert said["floats_alike"] is True
    # 0.45 mm short of what the longest gap that is shortest spans
    assert said["rows"][0]["stretch_left_percent"] == pytest.approx(5.0 - 100 * 0.45 / (2 * 100 / 19))
    assert (
        main(
            ["compare", str(scene), "--case", "round", "--inside-out", "no,yes", "--slack", "0.05", "--even", "--json"]
        )
        == 0
    )
    rows = json.loads(capsys.readouterr().out)["rows"]
    assert [one["inside_out"] for one in rows] == [False, True]
    assert rows[1]["stretch_left_percent"] > rows[0]["stretch_left_percent"]  # floats outside are longer


def test_scenes_side_by_side(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = scene.with_name("other.toml")
    other.write_text(little(title="Other", across=3, rows=("b..b..", "......")), encoding="utf-8")
    assert main(["compare", str(scene), str(other), "--slack", "-0.02,0.02", "--even"]) == 0
    said = capsys.readouterr().out
    assert "2 scenes compared" in said
    assert [line.split()[0] for line in said.splitlines() if line.lstrip().startswith(("scene ", "other "))][-4:] == [
        "scene",
        "scene",
        "other",
        "other",
    ]


def test_rows_without_a_rest_say_why_and_the_others_stand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "scene.toml"
    path.write_text(little(rows=("b..",), across=1), encoding="utf-8")
    assert main(["compare", str(path), "--case", "repeat,round", "--slack", "0.05", "--even"]) == 0
    said = capsys.readouterr().out
    assert "can't be worked" in said
    assert "Setting 2, can't be worked: chart: given a piece of rows: 1" in " ".join(said.split())
    assert main(["compare", str(path), "--case", "round"]) == 3
    assert "no setting came to rest" in capsys.readouterr().err


@pytest.mark.parametrize("suffix", [".png", ".pdf", ".svg"])
def test_plots(scene: Path, suffix: str) -> None:
    plots = scene.with_name("plots" + suffix)
    assert main(["compare", str(scene), "--slack", "-0.05,0", "--gauge", "0.9,1", "--even", "--plots", str(plots)]) == 0
    head = plots.read_bytes()[:5]
    assert head == {".png": b"\x89PNG\r", ".pdf": b"%PDF-", ".svg": b"<?xml"}[suffix]


def test_pictures_of_all_at_one_scale_also_of_rows_found_before(scene: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fabricsim.render.handouts.multiples.WIDE", 300)
    pages = [scene.with_name(f"{number}.png") for number in range(2)]
    out = scene.with_name("rows.csv")
    scene.write_text(little(rows=(".b..", "b..."), across=1), encoding="utf-8")
    for page in pages:  # uneven floats: the picture is of the piece in the middle of all
        words = ["compare", str(scene), "--slack", "-0.05,0.1", "--pictures", str(page), "--out", str(out)]
        assert main(words) == 0
    one, other = (Image.open(page).convert("RGB") for page in pages)
    assert one.size == other.size
    assert one.tobytes() == other.tobytes()


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--slack", "-5"], "--slack: given -5; allowed: a slack as a fraction above -1, at most 1; write -0.05"),
        (["--slack", ""], "--slack: given no value at all"),
        (["--slack", "0:1:1e-9"], "the settings to compare: given 1,000,000,001 of them; allowed: at most 10,000"),
        (["--case", "tube"], "--case: given 'tube'"),
        (["--slack-of", "q=0.1"], "--slack-of: given 'q'"),
        (["--slack-of", "0.1"], "--slack-of: given '0.1'; allowed: a yarn's symbol, = and slacks"),
        (["--inside-out", "yes"], "--inside-out: given with the case 'repeat'"),
        (["--study", "nowhere.toml"], "--study: given together with SCENE; allowed: one of the two"),
        (["--json", "--csv"], "--csv: given together with --json"),
        (["--plots", "p.png"], "--plots: given with one slack; allowed: two slacks or more"),
        (["--plots", "p.gif", "--slack", "0,0.1"], "--plots: given 'p.gif'"),
        (["--processes", "2", "--cluster", "tcp://127.0.0.1:9"], "--processes: given with --cluster"),
        (["--cluster", "studio"], "--cluster: given 'studio'; allowed: 'local', or the address of a dask scheduler"),
        (
            ["--gauge", "1,20x120"],
            "--gauge: given '20x120', with which 'Little check' has 20 stitches and 120 rows to 10 cm; allowed: 12",
        ),
    ],
)
def test_bad_input_is_one_line(scene: Path, options: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert_refused(["compare", scene, *options], line, scene, capsys)


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_out_of_reach_is_one_line(
    scene: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fabricsim.study.cluster.PATIENCE", "1s")
    out = scene.with_name("rows.csv")
    words = ["compare", str(scene), "--slack", "0", "--cluster", "tcp://127.0.0.1:9", "--out", str(out)]
    assert main(words) == 2
    told = [one for one in capsys.readouterr().err.splitlines() if not one.endswith(" ...")]
    assert len(told) == 1
    assert told[0].startswith("fabricsim: --cluster: given 'tcp://127.0.0.1:9', which does not answer")
    assert [one.name for one in scene.parent.iterdir()] == [scene.name]


def test_rows_of_another_study_are_refused_and_kept(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = scene.with_name("rows.csv")
    assert main(["compare", str(scene), "--slack", "0", "--even", "--out", str(out)]) == 0
    before = {one.name: one.read_bytes() for one in scene.parent.iterdir()}
    capsys.readouterr()
    assert main(["compare", str(scene), "--slack", "0.1", "--even", "--out", str(out)]) == 2
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 1
    assert "rows.csv.rows: given the rows of another study (not the same: grid)" in told[0]
    assert {one.name: one.read_bytes() for one in scene.parent.iterdir()} == before


def test_a_folder_is_all_scenes_in_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "scenes"
    folder.mkdir()
    for name, rows in (("b", ("ab.", ".ab")), ("a", ("a..", "..b"))):
        text = little(tuple(row.replace("a", "b") for row in rows))
        (folder / f"{name}.toml").write_text(text.replace("Little check", name))
    (folder / "other.toml").write_text("[bending]\nused = 1\n")
    assert main(["compare", str(folder), "--case", "repeat", "--even", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [one["title"] for one in said["scenes"]] == ["a", "b"]
    assert said["onset_looked_for"]
    for one in said["rows"]:
        scene = read_scene(folder / f"{one['scene']}.toml")
        assert one["onset_slack_percent"] == pytest.approx(puckers_from(scene, set_up(scene, "repeat")), abs=1e-3)
    assert main(["compare", str(folder), "--case", "repeat", "--even", "--json", "--no-onset"]) == 0
    without = json.loads(capsys.readouterr().out)
    assert not without["onset_looked_for"]
    assert {one["onset_slack_percent"] for one in without["rows"]} == {None}
    empty = tmp_path / "empty"
    empty.mkdir()
    assert main(["compare", str(empty)]) == 2
    assert "a folder without scenes" in capsys.readouterr().err
