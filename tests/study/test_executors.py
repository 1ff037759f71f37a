"""The same answers from one process, several, and a cluster; killed workers; failures; order; memory."""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest

from fabricsim.errors import InputError, KilledError
from fabricsim.study.executors import WAITING, each_done, each_in_chains
from tests.study import jobs

# what dask says of itself while its workers come and go
pytestmark = pytest.mark.filterwarnings("ignore")

WAYS = {"one process": {}, "two processes": {"processes": 2}, "a cluster": {"processes": 2, "cluster": "local"}}


@pytest.mark.parametrize("way", WAYS)
def test_every_job_is_done_once(way: str) -> None:
    found = dict(each_done(jobs.squared, range(20), **WAYS[way]))
    assert found == {number: number * number for number in range(20)}
    assert list(each_done(jobs.squared, [], **WAYS[way])) == []


@pytest.mark.parametrize("way", WAYS)
def test_each_job_of_a_chain_begins_with_what_the_one_before_it_found(way: str) -> None:
    def doubling(first: int, times: int) -> Generator[int, int, None]:
        for _ in range(times):
            first = yield 2 * first

    found: dict[int, list[int]] = {}
    for chain, result in each_in_chains(jobs.itself, (doubling(n, n) for n in range(9)), **WAYS[way]):
        found.setdefault(chain, []).append(result)
    assert found == {n: [n * 2**k for k in range(1, n + 1)] for n in range(1, 9)}
    assert list(each_done(jobs.itself, [None], **WAYS[way])) == [(0, None)]


def test_several_processes_work_on_it_and_each_on_one_thread() -> None:
    found = dict(each_done(jobs.named, range(12), processes=2))
    workers = {process for _, process in found.values()}
    assert os.getpid() not in workers
    assert 1 <= len(workers) <= 2
    assert set(dict(each_done(jobs.threads_allowed, range(2), processes=2)).values()) == {"1"}


@pytest.mark.parametrize("way", ["two processes", "a cluster"])
def test_the_jobs_of_a_killed_worker_are_run_again(way: str, tmp_path: Path) -> None:
    args = [(str(tmp_path), number) for number in range(8)]
    found = dict(each_done(jobs.killed_once, args, **WAYS[way]))
    assert (tmp_path / "was here").exists()
    assert found == dict(enumerate(range(8)))


def test_a_job_that_kills_every_worker_ends_it() -> None:
    with pytest.raises(KilledError):
        list(each_done(jobs.always_killed, range(2), processes=2))


@pytest.mark.parametrize("way", WAYS)
def test_what_a_job_raises_is_raised_here(way: str) -> None:
    with pytest.raises(ArithmeticError, match="two"):
        list(each_done(jobs.failing, range(5), **WAYS[way]))


def test_arguments_are_asked_for_only_as_they_are_needed() -> None:
    asked: list[int] = []

    def endless() -> Iterator[int]:
        while True:
            asked.append(len(asked))
            yield asked[-1]

    coming = each_done(jobs.squared, endless(), processes=2)
    for taken in range(1, 10):
        next(coming)
        assert len(asked) <= taken + 2 * WAITING
    coming.close()


def test_an_address_where_nobody_answers_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fabricsim.study.executors.PATIENCE", "1s")
    with pytest.raises(InputError, match=r"--cluster: given 'tcp://127\.0\.0\.1:9', which does not answer") as problem:
        list(each_done(jobs.squared, range(2), cluster="tcp://127.0.0.1:9"))
    assert "\n" not in str(problem.value)
