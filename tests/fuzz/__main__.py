"""``python -m tests.fuzz [SCENES [SEED]] [--deep]``: 1000 scenes from seed 0, or 100 with ``--deep``, by default."""

from __future__ import annotations

import argparse
import os
import sys

if __name__ == "__main__":
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")  # one thread a process; numpy asks only once, when it is imported
    from tests.fuzz import deep, tally

    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("scenes", nargs="?", type=int, help="how many scenes (1000, or 100 with --deep)")
    parser.add_argument("seed", nargs="?", type=int, default=0, help="the first one's seed (0)")
    parser.add_argument("--deep", action="store_true", help="bring extreme fabrics to rest")
    parser.add_argument("--keep", action="store_true", help="leave the files of a scene that shows a fault")
    given = parser.parse_args()
    if given.deep:
        sys.exit(1 if deep.main(given.scenes or 100, given.seed) else 0)
    sys.exit(1 if tally.main(given.scenes or 1000, given.seed, keep=given.keep) else 0)
