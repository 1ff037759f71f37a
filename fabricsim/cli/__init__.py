"""The commands: one folder each, and the only place that prints or exits."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import copy_context

from fabricsim.cli.ending import Stop, ended, own_streams


def main(argv: Sequence[str] | None = None) -> int:
    """Run ``fabricsim`` with ``argv``; return the exit status, as ``fabricsim.cli.ending`` lists them.

    ``argv`` left out: the words of the command line, and the process is this command's alone; Ctrl-C is seen to.
    """
    words = sys.argv[1:] if argv is None else argv
    stop = Stop()
    if argv is None:
        stop.install()
        own_streams()
    try:
        return copy_context().run(ended, lambda: _run(words), words)
    finally:
        stop.asked = True  # what is left is to wait for threads, which nobody need wait for


def _run(words: Sequence[str]) -> int:
    # Small dense work is up to 60 times slower on several threads, and numpy asks only once, when it is imported.
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")  # else it looks for them in every package there is
    with quick_loading():
        from fabricsim.cli.app import main as run
    return run(words)


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
