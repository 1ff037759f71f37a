"""``fabricsim motifs`` as its users meet it: told, kept, stopped and gone on with."""

from __future__ import annotations

import csv
import json
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.study import executors
from fabricsim.study.cluster import Workers
from fabricsim.study.motifs import mapping
from tests.study.solving import FOLDER, KILLS, solves
from tests.support.little import assert_refused, little

SMALL = ["--rows", "2", "--stitches", "4", "--most", "9", "--processes", "1"]
FEW = [*SMALL[:5], "3", *SMALL[6:]]
"""For what is drawn: every motif twice."""


ROOT = Path(__file__).parents[4]
KILLED = ["--rows", "2", "--stitches", "3"]


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little(("b...b..", ".bb...b"), floats="slack = -0.04"))
    return path


def test_it_tells_writes_and_draws_them(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["motifs", str(path), *FEW, "--out", "m.csv", "--page", "m.html", "--pictures", "m.png"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "the smallest 3 of 26" in said
    with Path("m.csv").open() as file:
        lines = list(csv.DictReader(file))
    assert [int(one["place"]) for one in lines] == list(range(1, 4))
    assert [float(one["draw_in_percent"]) for one in lines] == sorted(float(one["draw_in_percent"]) for one in lines)
    page = Path("m.html").read_text()
    assert page.count("<li>") == 3
    assert all(one["motif"] in page for one in lines)
    with Image.open("m.png") as drawn:
        assert drawn.width > 1000


def test_stopped_and_gone_on_with_it_ends_with_the_same_bytes(
    path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    usual, rows, asked = mapping.row_of_motif, {}, []

    def noted(job: Any) -> Any:
        rows[job.motif.key] = usual(job)
        return rows[job.motif.key]

    def until_stopped(job: Any) -> Any:
        asked.append(job.motif.key)
        if len(asked) == 4:
            raise KeyboardInterrupt
        return rows[job.motif.key]  # as it was solved the first time

    monkeypatch.setattr(mapping, "row_of_motif", noted)
    assert main(["motifs", str(path), *SMALL, "--out", "whole.json"]) == 0

    monkeypatch.setattr(mapping, "row_of_motif", until_stopped)
    assert main(["motifs", str(path), *SMALL, "--out", "parts.json"]) == 130
    assert len(json.loads(Path("parts.json").read_text())["motifs"]) == 3
    assert main(["motifs", str(path), *SMALL, "--out", "parts.json"]) == 0
    assert Path("parts.json").read_bytes() == Path("whole.json").read_bytes()
    assert len(asked) == 10  # nine, and the one that was stopped
    capsys.readouterr()


def _run(path: Path, out: Path, *words: str, kills: str = "nobody:0") -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own, its motifs counted beside the scene."""
    return subprocess.run(
        [
            sys.executable,
            "-m",
            "tests.study.solving",
            "motifs",
            str(path),
            *KILLED,
            *words,
            "--out",
            str(out),
        ],
        env={**os.environ, FOLDER: str(path.parent), KILLS: kills},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def test_killed_in_the_middle_it_goes_on_in_several_processes_and_ends_with_the_same_bytes(
    path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)  # from which processes and workers import their jobs
    whole, parts = (path.with_name(name) for name in ("w.csv", "p.csv"))
    assert main(["motifs", str(path), *KILLED, "--processes", "1", "--out", str(whole)]) == 0
    capsys.readouterr()
    assert _run(path, parts, "--processes", "1", kills="itself:3").returncode == -signal.SIGKILL
    assert not parts.exists()
    assert solves(path.parent) == {1: 4, 2: 2}  # by the numbers of four sizes
    ended = _run(path, parts, "--processes", "2")
    assert ended.returncode == 0, ended.stderr
    assert "6 of them already done" in ended.stderr
    assert solves(path.parent) == {1: 4, 2: 2, 3: 1, 4: 1, 5: 1}
    assert parts.read_bytes() == whole.read_bytes()


def test_a_cluster_is_given_every_motif(
    path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What becomes of those whose worker is killed: ``tests/study/test_executors.py``."""
    asked: list[Any] = []

    class Cluster(Executor):
        def submit(self, job: Any, /, *args: Any, **more: Any) -> Future[Any]:
            asked.append(pickle.loads(pickle.dumps(args)))
            future: Future[Any] = Future()
            future.set_result(rows[args[0].motif.key])
            return future

    @contextmanager
    def workers_at(address: str) -> Iterator[Workers]:
        assert address == "tcp://127.0.0.1:9"
        yield Workers(1, Cluster(), RuntimeError)

    usual, rows = mapping.row_of_motif, {}

    def noted(job: Any) -> Any:
        rows[job.motif.key] = usual(job)
        return rows[job.motif.key]

    monkeypatch.setattr(executors, "workers_at", workers_at)
    monkeypatch.setattr(mapping, "row_of_motif", noted)
    few = [*FEW, "--out"]
    assert main(["motifs", str(path), *few, "whole.csv"]) == 0
    assert main(["motifs", str(path), *few[:-3], "--cluster", "tcp://127.0.0.1:9", "--out", "there.csv"]) == 0
    assert [one.motif.key for (one,) in asked] == list(rows)
    assert Path("there.csv").read_bytes() == Path("whole.csv").read_bytes()
    assert "can run programs on its machines" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--rows", "0"], "--rows: given 0; allowed: 1 to 8"),
        (["--stitches", "9"], "--stitches: given 9; allowed: 2 to 8"),
        (["--most", "0"], "--most: given 0; allowed: 1 to 10,000"),
        (["--page", "m.pdf"], "--page: given 'm.pdf'; allowed: a file that ends in .html"),
        (["--pictures", "m.svg"], "--pictures: given 'm.svg'; allowed: a file that ends in .png"),
    ],
)
def test_what_can_not_be_is_refused(
    path: Path, capsys: pytest.CaptureFixture[str], words: list[str], line: str
) -> None:
    assert_refused(["motifs", path, *words], line, path, capsys)
