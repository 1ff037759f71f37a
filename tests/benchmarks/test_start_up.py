"""How long a command takes to start, against importing the libraries that it can't do without."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.record import record

TOP = Path(__file__).parents[2]
COMMANDS = {
    "fabricsim --help": ["-m", "fabricsim", "--help"],
    "fabricsim floats": ["-m", "fabricsim", "floats", "scenes/hat_band.toml"],
    "bare imports": ["-c", "import numpy, pydantic, typer"],
}
ROUNDS = 7


@pytest.mark.benchmark(timer=time.perf_counter)
@pytest.mark.parametrize("command", COMMANDS)
def test_start_up(benchmark: Any, command: str) -> None:
    def run() -> subprocess.CompletedProcess[bytes]:
        return subprocess.run([sys.executable, *COMMANDS[command]], cwd=TOP, capture_output=True, check=False)

    done = record(benchmark, "start-up", command, 0, run, rounds=ROUNDS, warmup=1)
    # The memory is that of another process: not what was watched.
    benchmark.extra_info.update(peak_mb=None, growth_mb=None, status=f"exit {done.returncode}")
    assert done.returncode == 0, done.stderr.decode()
    assert command == "bare imports" or done.stdout
