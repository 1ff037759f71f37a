"""``python -m tests.recovery [TRIALS [FIRST_SEED]]``: 200 made-up swatches from seed 0 by default; ``uneven [TRIALS]``:
20 pairs of swatches by uneven hands."""

from __future__ import annotations

import os
import sys

if __name__ == "__main__":
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")  # one thread a solve; numpy asks only once, when it is imported
    from tests.recovery.trials import main

    if sys.argv[1:2] == ["uneven"]:
        from tests.recovery.uneven import told

        print(told(*map(int, sys.argv[2:])))
        sys.exit(0)
    sys.exit(0 if main(*map(int, sys.argv[1:])) else 1)
