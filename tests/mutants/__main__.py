"""``python -m tests.mutants PACKAGE``: put faults into a package, one at a time, and tell which the tests notice."""

from __future__ import annotations

import argparse
import os
import sys

if __name__ == "__main__":
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[variable] = "1"  # processes part after numpy is loaded, which threads would not survive
    from tests.mutants.campaign import Asked, main

    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("package", help="a folder of fabricsim, or one inside: design, design/catches")
    parser.add_argument("--count", type=int, default=200, help="how many faults (200)")
    parser.add_argument("--seed", type=int, default=0, help="which ones (0)")
    parser.add_argument("--kind", help="only faults of this kind, such as words")
    parser.add_argument("--most", type=float, default=120.0, help="processor seconds of tests for one fault (120)")
    parser.add_argument("--tests", help="folder or file of tests (those of the same folder as the package)")
    parser.add_argument("--record", help="file to keep what the tests come by, for other runs")
    parser.add_argument("--outcomes", help="file to keep what came of each fault, to be gone on with by the same words")
    given = parser.parse_args()
    sys.exit(main(Asked(**vars(given))))
