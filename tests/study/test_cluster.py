"""Work given to a cluster, from a made-up client: what becomes of a job is what its result says, however it stands."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import CancelledError
from typing import Any

import pytest

from fabricsim.study.cluster import _Given


class Asked:
    """A job as a dask client knows it: done whenever the test says so."""

    status = "pending"  # as it stands once the worker that had the result is gone

    def __init__(self, job: Callable[..., Any], arg: Any) -> None:
        self.job, self.arg, self.cancelled = job, arg, False
        self.told: list[Callable[[Asked], None]] = []

    def add_done_callback(self, tell: Callable[[Asked], None]) -> None:
        self.told.append(tell)

    def result(self) -> Any:
        if self.cancelled:
            raise CancelledError
        return self.job(self.arg)

    def cancel(self) -> None:
        self.cancelled = True

    def done(self) -> None:
        for tell in self.told:
            tell(self)


class Client:
    def __init__(self) -> None:
        self.asked: list[Asked] = []

    def submit(self, job: Callable[..., Any], arg: Any, *, pure: bool) -> Asked:
        assert not pure
        self.asked.append(Asked(job, arg))
        return self.asked[-1]


def test_a_result_counts_whatever_has_become_of_its_worker() -> None:
    given = _Given(client := Client())
    future = given.submit(lambda arg: (arg, arg, arg), 2)
    assert not future.done()
    client.asked[0].done()
    assert future.result(timeout=0) == (2, 2, 2)


@pytest.mark.parametrize("kind", [ArithmeticError, CancelledError])
def test_what_a_job_raises_or_a_scheduler_that_went_away_is_raised(kind: type[BaseException]) -> None:
    def failing(arg: int) -> None:
        raise kind(arg)

    given = _Given(client := Client())
    future = given.submit(failing, 2)
    client.asked[0].done()
    with pytest.raises(kind):
        future.result(timeout=0)


def test_a_job_that_nobody_waits_for_is_called_back() -> None:
    given = _Given(client := Client())
    future = given.submit(abs, -2)
    assert future.cancel()
    assert client.asked[0].cancelled
    client.asked[0].done()
    assert future.cancelled()
    done = given.submit(abs, -2)
    client.asked[1].done()
    assert done.result(timeout=0) == 2
    assert not client.asked[1].cancelled
