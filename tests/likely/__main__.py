"""``python -m tests.likely [SCENES [DRAWS]]``: 30 scenes and 30 fresh pieces of each by default."""

from __future__ import annotations

import os
import sys


def main(scenes: int = 30, draws: int = 30) -> None:
    """Print how many fresh pieces lie within, scene by scene and together."""
    from fabricsim.cores import usable_cores
    from fabricsim.study.executors import each_done
    from tests.likely.tally import task, told

    found = []
    for _, one in each_done(task, [(seed, draws) for seed in range(scenes)], processes=usable_cores()):
        found.append(one)
        within = f"{one.draw_in:3d} and {one.pucker:3d} of {one.draws}"
        print(f"{one.seed:3d}: {within}, {one.lost} lost; {one.said}", flush=True)
    print(told(found))


if __name__ == "__main__":
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")  # one thread a solve; numpy asks only once, when it is imported
    main(*map(int, sys.argv[1:]))
