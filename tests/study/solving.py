"""Jobs of studies that are counted, and that kill their process or the command once; importable by others."""

from __future__ import annotations

import os
import signal
import sys
from collections import Counter
from pathlib import Path

from fabricsim.study import cluster
from fabricsim.study.compare import chains as comparing
from fabricsim.study.motifs import mapping

FOLDER, KILLS = "FABRICSIM_TEST_FOLDER", "FABRICSIM_TEST_KILLS"
COMMAND = "FABRICSIM_TEST_COMMAND"
"""The number of the process of the command; those at work need not be its children."""
_solve, _row_of_motif = comparing.solve, mapping.row_of_motif


def counted(job: comparing.Job) -> comparing.Settled:
    """Solve, and note it in the folder when it is done; first end a process if that is asked for: ``who:number``."""
    _end_if_asked(job.number)
    solved = _solve(job)
    _note(job.number)
    return solved


def counted_motif(job: mapping._Job) -> mapping.MotifRow:
    """Do the same for a motif, by the number of its size."""
    _end_if_asked(job.motif.number)
    row = _row_of_motif(job)
    _note(job.motif.number)
    return row


def _end_if_asked(which: int) -> None:
    folder = Path(os.environ[FOLDER])
    who, number = os.environ.get(KILLS, "nobody:0").split(":")
    mark = folder / "killed"
    if who != "nobody" and which == int(number) and not mark.exists():
        mark.touch()
        whom = int(os.environ[COMMAND]) if who == "command" else os.getpid()
        os.kill(whom, signal.SIGINT if who == "interrupted" else signal.SIGKILL)


def _note(which: int) -> None:
    with (Path(os.environ[FOLDER]) / "solved").open("a", encoding="ascii") as file:
        file.write(f"{which}\n")


def solves(folder: Path) -> Counter[int]:
    """Return how often each setting was solved to the end."""
    path = folder / "solved"
    return Counter(map(int, path.read_text(encoding="ascii").split())) if path.exists() else Counter()


if __name__ == "__main__":
    os.environ[COMMAND] = str(os.getpid())
    from tests.study import solving  # under its own name, so that other processes find it

    # what a shell puts in the background has its Ctrl-C ignored, and hands that down to whatever it starts
    signal.signal(signal.SIGINT, signal.default_int_handler)
    cluster.PATIENCE = "60s"  # a busy machine takes its time until workers answer
    comparing.solve, mapping.row_of_motif = solving.counted, solving.counted_motif
    from fabricsim.cli import main

    sys.exit(main(sys.argv[1:]))
