"""What a comparison costs: ``python -m tests.benchmarks.compared`` (about a quarter of an hour on two cores).

Warm against cold settings; settings a second on one process, two, and a dask cluster of two; time and memory of
100, 300 and 1,000 settings, which must not grow with them. A repeat of 24 x 24 stitches, bent as it is and twice as
stiffly.
"""

from __future__ import annotations

import csv
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import fabricsim
from fabricsim.design.scene.read import read_scene
from fabricsim.study.compare.chains import job_of, solve
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study
from tests.benchmarks.fabrics import lozenges
from tests.support import dask_cluster

SIZE = 24
TIGHT, LOOSE = -0.05, 0.10
"""Slacks that are swept: a third of them tight."""


def scene(folder: Path) -> Path:
    """Write the scene that is compared."""
    path = folder / "lozenges.toml"
    rows = ", ".join(f'"{row}"' for row in lozenges(SIZE, SIZE))
    yarns = "".join(
        f'[[yarns]]\nsymbol = "{symbol}"\nname = "{name}"\ncolour = "{colour}"\ntex = 500\n'
        for symbol, name, colour in ((".", "light", "#dddddd"), ("x", "dark", "#333333"))
    )
    path.write_text(
        f'title = "Lozenges"\nworked = "flat"\n[chart]\nrows = [{rows}]\n{yarns}[gauge]\nstitches = 19\nrows = 25.5\n',
        encoding="utf-8",
    )
    return path


def warm_and_cold(path: Path) -> None:
    """Print the processor time of a setting that starts from the one before it, over that of one that starts cold."""
    study = Study(grid_of({"slack": ["-0.08:-0.01:0.01"]}), (read_scene(path),), fabricsim.__version__)
    warm, cold, start = [], [], None
    for number in next(study.grid.chains()):
        for taken, begin in ((cold, None), (warm, start)):
            begun = time.process_time()
            solved = solve(job_of(study, number, begin))
            taken.append(time.process_time() - begun)
            assert solved.row["at_rest"]
        start = solved.state
    ratios = [one / other for one, other in zip(warm, cold, strict=True)][1:]  # the first is cold both times
    print(f"slack -1 to -8 %, a per cent at a time: cold {sum(cold[1:]):.1f} s, warm {sum(warm[1:]):.1f} s; ", end="")
    print(f"warm over cold: median {median(ratios):.2f}, {min(ratios):.2f} to {max(ratios):.2f}")


def study_of(path: Path, settings: int, way: list[str], name: str) -> tuple[float, bytes]:
    """Run a study in a process of its own; print what it took; return seconds and its CSV."""
    out = path.parent / f"{name.replace(' ', '_')}.csv"
    step = (LOOSE - TIGHT) / (settings / 2 - 1)
    slacks = ",".join(f"{TIGHT + step * place:.6f}" for place in range(settings // 2))
    words = ["compare", str(path), "--slack", slacks, "--bending-stiffness", "1,2", "--out", str(out), *way]
    program = (
        "import resource, sys; from fabricsim.cli import main; status = main(sys.argv[1:]); "
        "both = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]; "
        "print(*(one.ru_maxrss / 976.5625 for one in both), sum(one.ru_utime + one.ru_stime for one in both), "
        "file=sys.stderr); sys.exit(status)"
    )
    begun = time.perf_counter()
    ended = subprocess.run(
        [sys.executable, "-c", program, *words], capture_output=True, text=True, check=False, env=os.environ
    )
    took = time.perf_counter() - begun
    assert ended.returncode == 0, ended.stderr
    own, others, worked = map(float, ended.stderr.split()[-3:])
    with out.open(encoding="utf-8") as file:
        assert sum(row["status"] == "at rest" for row in csv.DictReader(file)) == settings
    kept = out.with_name(out.name + ".rows").stat().st_size / settings
    print(
        f"{name}: {took:.1f} s ({worked:.1f} s of processors), {settings / took:.2f} settings a second; "
        f"peak {own:.0f} MB, of its processes {others:.0f} MB; rows kept in {kept:.0f} bytes each",
        flush=True,
    )
    return took, out.read_bytes()


def main() -> None:
    """Run all of it, or what is named: warm, ways, growth."""
    asked = sys.argv[1:] or ["warm", "ways", "growth"]
    with tempfile.TemporaryDirectory() as folder:
        path = scene(Path(folder))
        if "warm" in asked:
            warm_and_cold(path)
        if "ways" in asked:
            one, rows = study_of(path, 100, ["--processes", "1"], "100 on one process")
            with dask_cluster.running() as address:
                for name, way in (("two processes", ["--processes", "2"]), ("a cluster", ["--cluster", address])):
                    took, same = study_of(path, 100, way, f"100 on {name}")
                    print(f"  {one / took:.2f} times as fast, the same bytes: {same == rows}")
        if "growth" in asked:
            for settings in (100, 300, 1000):
                study_of(path, settings, ["--processes", "2"], f"{settings} settings")


if __name__ == "__main__":
    main()
