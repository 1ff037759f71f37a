"""The commands: one file each, and the only place that prints or exits."""

from __future__ import annotations

import os
from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run ``fabricsim`` with ``argv`` (the command line's words if left out); return the exit status."""
    # Small dense work is up to 60 times slower on several threads, and numpy asks only once, when it is imported.
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
    from fabricsim.cli.app import main as run

    return run(argv)
