"""Linear algebra on one thread while a fabric comes to rest, whoever asks for it.

The matrices of a fabric are narrow bands and small blocks, which several threads only hand to and fro: on two cores a
solve takes longer by the clock on two threads than on one. And sums split over threads add up in another order, so the
same fabric would not come to the same bits on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from threadpoolctl import ThreadpoolController


@cache
def _libraries() -> ThreadpoolController:
    """Return what sets the threads of the libraries that are loaded; one, found at the first solve."""
    return ThreadpoolController()


@contextmanager
def one_thread() -> Iterator[None]:
    """Hold the libraries of linear algebra to one thread, and to as many as before afterwards.

    Some count threads for each thread that calls them, others for all of them: whoever starts threads that solve holds
    them too while those run.
    """
    with _libraries().limit(limits=1, user_api="blas"):
        yield
