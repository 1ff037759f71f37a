"""A process that is told to stay in a folder tries to leave it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_a_process_may_change_files_in_its_folder_only(tmp_path: Path) -> None:
    own, other = tmp_path / "own", tmp_path / "other.txt"
    own.mkdir()
    other.write_text("kept")
    code = f"""
from pathlib import Path
from tests.mutants.guard import stay_in
stay_in(Path({str(own)!r}))
import os, shutil, tempfile
other = Path({str(other)!r})
for change in (
    lambda: other.write_text("gone"), other.unlink, lambda: os.rename(other, {str(own / "x")!r}),
    lambda: shutil.rmtree(other.parent), lambda: os.open(other, os.O_RDWR), lambda: (other.parent / "new").mkdir(),
    lambda: open("/dev/sda", "wb"),
):
    try:
        change()
    except PermissionError as error:
        assert "outside" in str(error)
    else:
        raise SystemExit(1)
assert other.read_text() == "kept"
for path in ({str(own / "y.txt")!r}, "/dev/null", tempfile.mkdtemp() + "/z.txt"):
    Path(path).write_text("y")
assert Path(tempfile.gettempdir()).parent == Path({str(own)!r})
"""
    subprocess.run([sys.executable, "-c", code], check=True, cwd=Path(__file__).parents[2])
