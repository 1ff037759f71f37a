"""How a command ends, whatever happens to it: one line, the right status, no traceback."""

from __future__ import annotations

import errno
import os
import re
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

import fabricsim
from fabricsim.cli import ending, main
from fabricsim.cli.ending import TRACEBACK, ended
from fabricsim.errors import InputError

PROGRAM = [sys.executable, "-m", "fabricsim"]


def _end_with(problem: BaseException, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    def work() -> int:
        raise problem

    status = ended(work, ["preview", "hat.toml"])
    said = capsys.readouterr()
    assert said.out == ""
    return status, said.err


def _fault(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    """Return what is said where something of fabricsim's own is broken."""
    monkeypatch.setattr("fabricsim.design.scene.read.demo_scene", lambda: None)
    monkeypatch.setattr("fabricsim.cli.shell.options.demo_scene", lambda: None)
    assert main(["floats"]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    return said.err


def test_a_fault_is_told_in_one_line_that_can_be_reported(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv(TRACEBACK, raising=False)
    said = _fault(monkeypatch, capsys)
    assert said.count("\n") == 1
    assert re.fullmatch(
        r"fabricsim: a fault of fabricsim's own, not of yours\. Please report this line, and the scene if you may: "
        r"'fabricsim floats' ended in AttributeError at [\w/]+\.py, line \d+ \(.*\); "
        rf"fabricsim {re.escape(fabricsim.__version__)}, Python [\d.]+, {sys.platform}\. {TRACEBACK}=1 shows more\n",
        said,
    )


def test_where_a_fault_came_from_is_shown_on_request(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv(TRACEBACK, "1")
    said = _fault(monkeypatch, capsys)
    assert said.startswith("Traceback (most recent call last):\n")
    assert "\nfabricsim: a fault of fabricsim's own" in said


def test_what_a_fault_quotes_is_cut(capsys: pytest.CaptureFixture[str]) -> None:
    status, said = _end_with(ValueError("x" * 5000 + "\x1b"), capsys)
    assert status == 1
    assert len(said) < 800
    assert "\\x1b" in said


@pytest.mark.parametrize(
    ("problem", "status", "line"),
    [
        (InputError("a", "b", "c", "d"), 2, "a: given b; allowed: c; d"),
        (MemoryError(), 1, "the memory ran out; close other programs, or try a smaller piece"),
        (
            OSError(errno.ENOSPC, "No space left on device", "/tmp/x"),
            1,
            "the system stops it: '/tmp/x' (No space left on device); see to that, and ask again",
        ),
        (
            PermissionError(errno.EACCES, "Permission denied", "/closed"),
            1,
            "the system stops it: '/closed' (Permission denied); see to that, and ask again",
        ),
        (KeyboardInterrupt(), 130, "stopped by you; files are written whole or not at all"),
    ],
)
def test_each_end_has_its_line_and_its_status(
    problem: BaseException, status: int, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _end_with(problem, capsys) == (status, f"fabricsim: {line}\n")


# ---- standard output -----------------------------------------------------------------------------

PRINTING = (["floats"], ["floats", "--json"], ["schema"], ["--help"])


@pytest.mark.parametrize("words", PRINTING, ids=" ".join)
def test_who_reads_no_more_is_no_fault(words: list[str]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run([*PROGRAM, *words], stdout=writing, stderr=subprocess.PIPE, text=True, check=False)
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("words", PRINTING, ids=" ".join)
def test_a_full_disk_behind_standard_output_is_told(words: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([*PROGRAM, *words], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    line = "what is printed can't be written (No space left on device); make room, or print elsewhere"
    assert (done.returncode, done.stderr) == (1, f"fabricsim: {line}\n")


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell of POSIX")
def test_closed_streams_are_told_where_there_is_someone_to_tell() -> None:
    def run(redirected: str) -> subprocess.CompletedProcess[str]:
        asked = f'"$0" -m fabricsim floats {redirected}'
        return subprocess.run(["sh", "-c", asked, sys.executable], capture_output=True, text=True, check=False)

    done = run(">&-")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == (
        "fabricsim: what is printed can't be written (Bad file descriptor); make room, or print elsewhere\n"
    )
    done = run("2>&-")
    assert (done.returncode, done.stderr) == (0, "")
    assert "float" in done.stdout
    assert run(">&- 2>&-").returncode == 1


def test_a_closed_standard_output_takes_no_file_s_number(tmp_path: Path) -> None:
    path = tmp_path / "it.json"
    asked = f'"$0" -m fabricsim schema --out {path} >&-'
    subprocess.run(["sh", "-c", asked, sys.executable], capture_output=True, check=False)
    assert path.read_text(encoding="utf-8").startswith("{")


# ---- Ctrl-C --------------------------------------------------------------------------------------


def _program(work: str, **also: str) -> subprocess.Popen[str]:
    """Start a program whose command ``schema`` does the ``work`` of a function; ``also``: in its environment."""
    script = f"""
import sys, threading, time
from concurrent.futures import ThreadPoolExecutor
import fabricsim.cli.commands.schema.command as command
from fabricsim.cli import main

def schema():
{textwrap.indent(textwrap.dedent(work), "    ")}

command.schema = schema
sys.argv = ["fabricsim", "schema"]
if __name__ == "__main__":
    sys.exit(main())
"""
    asked, pipe = [sys.executable, "-c", script], subprocess.PIPE
    environment = {**os.environ, **also}
    return subprocess.Popen(asked, stdout=pipe, stderr=pipe, text=True, start_new_session=True, env=environment)


def _heard(program: subprocess.Popen[str], line: str) -> None:
    assert program.stderr is not None
    while line not in (heard := program.stderr.readline()):
        assert heard, "it ended before"


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals of POSIX")
@pytest.mark.parametrize(
    ("work", "then"),
    [
        # solves in other threads end at their next step, which may take a while
        (
            """
            pool = ThreadPoolExecutor(1)
            waiting = pool.submit(time.sleep, 60)
            print("at it", file=sys.stderr, flush=True)
            try:
                waiting.result()
            finally:
                pool.shutdown(wait=False, cancel_futures=True)
            """,
            "stopped by you",
        ),
        # and so may what a command winds up
        (
            """
            try:
                print("at it", file=sys.stderr, flush=True)
                time.sleep(60)
            finally:
                print("winding up", file=sys.stderr, flush=True)
                time.sleep(60)
            """,
            "winding up",
        ),
    ],
)
def test_a_second_control_c_ends_it_at_once_and_quietly(work: str, then: str) -> None:
    program = _program(work)
    _heard(program, "at it")
    os.killpg(program.pid, signal.SIGINT)
    _heard(program, then)
    os.killpg(program.pid, signal.SIGINT)
    out, err = program.communicate(timeout=30)
    assert (program.returncode, out, err) == (130, "", "")


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals of POSIX")
def test_a_second_control_c_leaves_no_draft(tmp_path: Path) -> None:
    program = _program(
        f"""
        from pathlib import Path
        from fabricsim.cli.shell.outputs import Output, files_for_output, write_text_atomically
        path = Path({str(tmp_path)!r}) / "sub" / "it.txt"
        with files_for_output(Output(path)):
            write_text_atomically(path, "text")
            try:
                print("at it", file=sys.stderr, flush=True)
                time.sleep(60)
            finally:
                print("winding up", file=sys.stderr, flush=True)
                time.sleep(60)
        """
    )
    _heard(program, "at it")
    assert len(list((tmp_path / "sub").iterdir())) == 1
    os.killpg(program.pid, signal.SIGINT)
    _heard(program, "winding up")
    os.killpg(program.pid, signal.SIGINT)
    program.communicate(timeout=30)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals of POSIX")
def test_control_c_after_the_end_is_quiet_too() -> None:
    program = _program(
        """
        def wait():
            while threading.main_thread().is_alive():  # to the end of the command, when threads are waited for
                time.sleep(0.01)
            print("at it", file=sys.stderr, flush=True)
            time.sleep(60)

        threading.Thread(target=wait).start()
        """
    )
    _heard(program, "at it")
    os.killpg(program.pid, signal.SIGINT)
    assert program.communicate(timeout=30) == ("", "")
    assert program.returncode == 130


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals of POSIX")
def test_control_c_is_not_heard_by_processes_that_still_load(tmp_path: Path) -> None:
    # Python reads this file before anything else
    (tmp_path / "sitecustomize.py").write_text(
        "import sys, time\n"
        "if 'spawn_main' in ' '.join(sys.orig_argv):\n"
        "    print('a process loads', file=sys.stderr, flush=True)\n"
        "    time.sleep(60)\n",
        encoding="utf-8",
    )
    program = _program(
        """
        from fabricsim.study.executors import each_done
        list(each_done(time.sleep, [60.0, 60.0], processes=2))
        """,
        PYTHONPATH=os.pathsep.join([str(tmp_path), *(path for path in sys.path if path)]),
    )
    _heard(program, "a process loads")
    _heard(program, "a process loads")
    os.killpg(program.pid, signal.SIGINT)
    _, err = program.communicate(timeout=60)
    assert (program.returncode, err) == (130, f"fabricsim: {ending.STOPPED}\n")


def test_inside_another_program_control_c_is_left_as_it_is() -> None:
    before = signal.getsignal(signal.SIGINT)
    assert main(["--version"]) == 0
    assert signal.getsignal(signal.SIGINT) is before
