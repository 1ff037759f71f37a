"""``python -m tests.benchmarks``: run the benchmarks on one thread, print what they took and whether targets are met.

Seconds are of processor time, so that whatever else the machine does counts as little as can be; only start-up, which
is the work of other processes, is timed by the clock.

Further words go to pytest: ``-k growth``, ``-k "peers and not mujoco"``, ``-k "not longest"``. Exit status: pytest's.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from rich.console import Console

from tests.benchmarks.table import record_table, records_of
from tests.benchmarks.targets import held_against_targets, target_table

HERE = Path(__file__).parent
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "BLIS_NUM_THREADS", "NUMEXPR_NUM_THREADS")
"""Read by numerical libraries as they are loaded, so set for a process of its own."""
WIDTH = 180
"""Columns of the tables where the output is no terminal."""


def main(words: list[str]) -> int:
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.json"
        command = [sys.executable, "-m", "pytest", str(HERE), "--benchmark-only", f"--benchmark-json={report}"]
        quiet = ["-v", "--no-header", "--benchmark-columns=median", "--benchmark-timer=time.process_time"]
        environment = os.environ | dict.fromkeys(THREADS, "1")
        status = subprocess.run([*command, *quiet, *words], env=environment, check=False).returncode
        text = report.read_text(encoding="utf-8") if report.exists() else ""
    records = records_of(json.loads(text)) if text else []
    console = Console() if sys.stdout.isatty() else Console(width=WIDTH)
    if records:
        console.print(record_table(records))
    held = held_against_targets(records)
    if held:
        console.print(target_table(held))
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
