"""Programs that a test starts note what they run of a made-up package, and again once that was read."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.mutants.started import Started

CODE = """\
LIMIT = 3


def over(count):
    if count > LIMIT:
        return "over"
    return "within"
"""
PROGRAM = """\
import sys

from house.counting import over

for line in sys.stdin:
    print(over(int(line)) if line.strip().isdigit() else "", flush=True)
"""


def test_a_program_notes_the_lines_that_it_runs_and_again_once_they_were_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "house").mkdir()
    (tmp_path / "house" / "__init__.py").touch()
    (tmp_path / "house" / "counting.py").write_text(CODE)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    started = Started(tmp_path / "watching", tmp_path, "house")
    with subprocess.Popen(
        [sys.executable, "-c", PROGRAM], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as program:
        assert program.stdin is not None
        assert program.stdout is not None

        def ran(said: str) -> dict[str, set[int]]:
            print(said, file=program.stdin, flush=True)
            program.stdout.readline()
            return started.ran()

        assert ran("5") == {"house/counting.py": {4, 5, 6}}
        assert ran("5") == {"house/counting.py": {4, 5, 6}}
        assert ran("2") == {"house/counting.py": {4, 5, 7}}
        assert ran("nothing") == {}
        program.stdin.close()
    assert program.returncode == 0
    started.close()
