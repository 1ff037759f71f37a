"""What only POSIX has is done without where it is missing: everything is run where all of it has been taken away."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.little import little
from tests.table.visiting import served

ROWS = ("..bb..", ".b..b.", "b....b")

BARE = """
import multiprocessing.context, os, platform, signal, sys

class Hidden:
    def find_spec(self, name, path=None, target=None):
        if name in {"fcntl", "resource", "termios", "tty", "pty", "pwd", "grp", "syslog"}:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, Hidden())
for name in ("fcntl", "resource", "termios", "tty", "pty", "pwd", "grp", "syslog"):
    sys.modules.pop(name, None)
for home, names in (
    (os, ("fork", "forkpty", "sched_getaffinity", "sync", "fchown", "chown", "getuid", "geteuid", "sysconf",
          "killpg", "setsid", "getpgid", "link", "umask", "nice", "mkfifo", "statvfs", "getloadavg")),
    (signal, ("pthread_sigmask", "SIGHUP", "SIGKILL", "SIGUSR1", "SIGALRM", "alarm", "setitimer", "sigwait", "pause")),
):
    for name in names:
        if hasattr(home, name):
            delattr(home, name)
platform.system = lambda: "Windows"
contexts = multiprocessing.context._concrete_contexts
multiprocessing.context._default_context = multiprocessing.context.DefaultContext(contexts["spawn"])
multiprocessing.set_start_method = multiprocessing.context._default_context.set_start_method
multiprocessing.get_start_method = multiprocessing.context._default_context.get_start_method
multiprocessing.get_context = multiprocessing.context._default_context.get_context
multiprocessing.context._concrete_contexts.pop("fork", None)
multiprocessing.context._concrete_contexts.pop("forkserver", None)
"""
"""Run by every Python that is started with it on its path, workers too, before anything else. What a system lacks is
more than this; that the paths are sound on Windows itself it can't show."""


@pytest.fixture
def bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A system that has nothing of POSIX, for whatever is started; a folder with a scene in it."""
    folder = tmp_path / "bare"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(BARE, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(folder))
    asked = "import os\ntry:\n import fcntl\nexcept ImportError:\n print(hasattr(os, 'fork'))"
    shown = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert shown.stdout == "False\n"  # it is gone, or what follows shows nothing
    (tmp_path / "scene.toml").write_text(little(ROWS, case="repeat"), encoding="utf-8")
    return tmp_path


COMMANDS = (
    "floats",
    "preview --draft --out out",
    "compare --slack -0.04,0 --out rows.csv",
    "rounds --out rounds.txt",
    "chart --out chart.pdf",
)
ONE_AFTER_ANOTHER = """
import sys
from fabricsim.cli import main
statuses = []
for words in sys.argv[1:]:
    command, *more = words.split()
    sys.argv = ["fabricsim", command, "scene.toml", *more]
    statuses.append(main())
print("statuses", *statuses, flush=True)
"""


def test_commands_need_nothing_of_posix(bare: Path) -> None:
    """All in one process, as each takes longer to begin than to do its work."""
    asked = [sys.executable, "-c", ONE_AFTER_ANOTHER, *COMMANDS]
    done = subprocess.run(asked, cwd=bare, capture_output=True, text=True, check=False, env=dict(os.environ))
    assert done.stdout.splitlines()[-1] == "statuses" + len(COMMANDS) * " 0", done.stderr
    assert "Traceback" not in done.stderr
    assert all((bare / name).exists() for name in ("out", "rows.csv", "rounds.txt", "chart.pdf"))


def test_the_table_needs_nothing_of_posix(bare: Path) -> None:
    with served(bare / "state", str(bare / "scene.toml")) as one, one.visit() as page:
        page.until("said", revision=page.until("scene").revision)
        page.ask(kind="paint", squares=[(0, 0, 0)])
        page.until("said", revision=page.until("scene").revision)
        page.ask(kind="job", command="floats", options={})
        assert page.until("done").status == 0
        page.ask(kind="keep")
        assert page.until("note", what="kept").text == "scene.toml"
