"""The commands: one file each, and the only place that prints or exits."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager


def main(argv: Sequence[str] | None = None) -> int:
    """Run ``fabricsim`` with ``argv`` (the command line's words if left out); return the exit status."""
    # Small dense work is up to 60 times slower on several threads, and numpy asks only once, when it is imported.
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")  # else it looks for them in every package there is
    with quick_loading():
        from fabricsim.cli.app import main as run
    return run(argv)


@contextmanager
def quick_loading() -> Iterator[None]:
    """Load modules without a search for garbage among what they are made of, then or later: it stays to the end."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if collecting:
            gc.enable()
