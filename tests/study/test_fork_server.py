"""Processes forked of one that has loaded what they need: that they are, and no less sound than those begun afresh."""

from __future__ import annotations

import os
import platform
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from fabricsim.study import fork_server

PROGRAM = """
import os
import signal
import sys
import time
from fabricsim.study.executors import each_done
from fabricsim.study.fork_server import begin_loading
from tests.study import jobs

if __name__ == "__main__":
    begin_loading("tests.study.slow_to_load")
    assert "OMP_NUM_THREADS" not in os.environ
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])
"""


def run(tmp_path: Path, lines: str) -> str:
    program = tmp_path / "program.py"
    program.write_text(PROGRAM + "".join(f"    {line}\n" for line in lines.splitlines()), encoding="utf-8")
    ended = subprocess.run(
        [sys.executable, str(program)],
        env=surroundings(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stderr) == (0, "")
    return ended.stdout


def surroundings() -> dict[str, str]:
    """Return today's, as a user's are who has never said how many threads to use."""
    said = {name: value for name, value in os.environ.items() if name not in fork_server.ONE_THREAD}
    return {**said, "PYTHONPATH": os.pathsep.join(sys.path)}


pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="only Linux has it")


def test_what_they_need_is_loaded_once_for_all_of_them(tmp_path: Path) -> None:
    told = run(
        tmp_path, "print(sorted(dict(each_done(jobs.loaded_by, range(8), processes=2)).values()))\nprint(os.getpid())"
    )
    loaded, own = told.splitlines()
    parents = {int(one) for one in loaded.strip("[]").split(",")}
    assert len(parents) == 1
    assert parents != {int(own)}


def test_they_keep_to_one_thread_are_deaf_to_ctrl_c_from_the_start_and_live_in_todays_surroundings(
    tmp_path: Path,
) -> None:
    told = run(
        tmp_path,
        """os.environ["SET_LATER"] = "yes"
print(set(dict(each_done(jobs.born, range(4), processes=2)).values()))
print(set(dict(each_done(jobs.surroundings, ["SET_LATER"], processes=2)).values()))
print(set(dict(each_done(jobs.collects, range(2), processes=2)).values()))""",
    )
    assert told.splitlines() == ["{('1', True)}", "{'yes'}", "{(True, True)}"]


def test_the_jobs_of_a_killed_one_are_run_again(tmp_path: Path) -> None:
    args = [(str(tmp_path), number) for number in range(8)]
    told = run(
        tmp_path, f"print(dict(each_done(jobs.killed_once, {args!r}, processes=2)) == dict(enumerate(range(8))))"
    )
    assert told == "True\n"
    assert (tmp_path / "was here").exists()


def test_the_one_that_loads_does_not_outlive_a_command_that_is_killed(tmp_path: Path) -> None:
    program = tmp_path / "program.py"
    lines = "print(forkserver._forkserver._forkserver_pid, flush=True)\ntime.sleep(60)"
    code = PROGRAM.replace("import time\n", "import time\nfrom multiprocessing import forkserver\n")
    program.write_text(code + "".join(f"    {line}\n" for line in lines.splitlines()), encoding="utf-8")
    with subprocess.Popen(
        [sys.executable, str(program)],
        env=surroundings(),
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        assert running.stdout is not None
        state = Path(f"/proc/{int(running.stdout.readline())}/stat")
        assert state.exists()
        running.kill()
    tries = 3000
    while tries and at_work(state):
        tries -= 1
        time.sleep(0.01)
    assert tries


def test_it_is_ended_even_while_it_loads(tmp_path: Path) -> None:
    """Python waits for a process that it has begun; only one that was killed says so by its status."""
    lines = """from multiprocessing import forkserver
from fabricsim.study.fork_server import end_loading
end_loading()
print(os.waitpid(forkserver._forkserver._forkserver_pid, 0)[1])
end_loading()"""
    assert run(tmp_path, lines) == f"{signal.SIGKILL.value}\n"


def at_work(state: Path) -> bool:
    """Return whether a process is neither gone nor about to be, by its ``state`` as Linux tells it."""
    try:
        return state.read_text(encoding="utf-8").rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):  # it may go while this looks
        return False


@pytest.mark.parametrize("where", ["Windows", "Darwin"])
def test_elsewhere_they_begin_afresh(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "system", lambda: where)
    monkeypatch.setattr(fork_server, "_begun", [])
    fork_server.begin_loading("tests.study.slow_to_load")
    assert fork_server.context().get_start_method() == "spawn"


def test_with_a_python_whose_server_others_could_reach_they_begin_afresh(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fork_server, "SOUND", (99,))
    monkeypatch.setattr(fork_server, "_begun", [])
    fork_server.begin_loading("tests.study.slow_to_load")
    assert fork_server.context().get_start_method() == "spawn"
