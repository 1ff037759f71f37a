"""Work given to a cluster, from a made-up client: what becomes of a job is what its result says, however it stands."""

from __future__ import annotations

import logging
from collections.abc import Callable
from concurrent.futures import CancelledError
from typing import Any

import pytest

from fabricsim.errors import InputError
from fabricsim.study import cluster
from fabricsim.study.cluster import ADDRESSES, PATIENCE, _Given, scheduler_address, workers_at


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


# ---- reaching a cluster, from a made-up library ---------------------------------------------------


class KilledWorker(Exception):
    """What the library raises for a job that killed too many of its workers."""


class Library:
    """Stands for dask.distributed: a client that ``cores`` answer, or that raises what it is told to where it is told
    to, and certificates."""

    KilledWorker = KilledWorker

    def __init__(
        self, cores: dict[str, int], raises: dict[str, BaseException], context: object = "certificates"
    ) -> None:
        self.cores, self.raises, self.context = cores, raises, context
        self.begun: list[tuple[str, str]] = []
        self.closed = 0

    def _may_raise(self, at: str) -> None:
        if at in self.raises:
            raise self.raises[at]

    def Client(self, address: str, *, timeout: str) -> Library:
        self._may_raise("client")
        self.begun.append((address, timeout))
        return self

    def wait_for_workers(self, count: int, *, timeout: str) -> None:
        assert (count, timeout) == (1, PATIENCE)
        self._may_raise("workers")

    def ncores(self) -> dict[str, int]:
        return self.cores

    def close(self) -> None:
        self.closed += 1

    def Security(self) -> Library:
        return self

    def get_connection_args(self, role: str) -> dict[str, object]:
        assert role == "client"
        self._may_raise("certificates")
        return {"ssl_context": self.context} if self.context is not None else {}


def reached(monkeypatch: pytest.MonkeyPatch, raises: dict[str, BaseException] | None = None) -> Library:
    """Let this library be the one that is installed."""
    library = Library({"one": 3, "two": 2}, raises or {})
    monkeypatch.setattr(cluster, "import_module", {"distributed": library}.__getitem__)
    return library


def test_all_cores_of_a_cluster_work_and_the_line_to_it_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    library = reached(monkeypatch)
    with workers_at("studio:8786") as workers:
        assert (workers.count, workers.killed) == (5, KilledWorker)
        assert isinstance(workers.executor, _Given)
        assert library.begun == [("tcp://studio:8786", PATIENCE)]
        assert library.closed == 0
    assert library.closed == 1
    library.cores = {}
    with workers_at("studio:8786") as workers:
        assert workers.count == 1  # somebody works there, whatever is said of cores


REACHED: dict[str, tuple[str, BaseException, str]] = {
    "nobody answers": (
        "client",
        OSError("timed out"),
        "which does not answer (timed out); allowed: 'local', or the address of a dask scheduler, tcp://HOST:PORT or "
        "tls://HOST:PORT; such as tcp://192.168.1.5:8786",
    ),
    "nobody works": (
        "workers",
        TimeoutError(),
        "where nobody works; allowed: a scheduler with workers; start a worker there",
    ),
    "it goes away": (
        "workers",
        CancelledError(),
        "which went away; allowed: a scheduler that keeps running; start it again",
    ),
}


@pytest.mark.parametrize("how", REACHED)
def test_a_cluster_out_of_reach_is_one_line(monkeypatch: pytest.MonkeyPatch, how: str) -> None:
    where, problem, line = REACHED[how]
    library = reached(monkeypatch, raises={where: problem})
    with pytest.raises(InputError) as why, workers_at("tcp://studio:8786"):
        raise AssertionError("nobody to work with")
    assert str(why.value) == f"--cluster: given 'tcp://studio:8786', {line}"
    assert library.closed == (0 if where == "client" else 1)


@pytest.mark.parametrize("kind", [OSError, ValueError, TypeError, RuntimeError])
def test_whatever_the_library_says_of_an_address_that_does_not_answer(
    monkeypatch: pytest.MonkeyPatch, kind: type[Exception]
) -> None:
    reached(monkeypatch, raises={"client": kind("no")})
    with pytest.raises(InputError, match=r"which does not answer \(no\)"), workers_at("tcp://studio:8786"):
        pass


def test_a_scheduler_that_goes_away_while_it_is_worked_on_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    library = reached(monkeypatch)
    with pytest.raises(InputError, match="which went away"), workers_at("tcp://studio:8786"):
        raise CancelledError
    assert library.closed == 1


def test_without_the_library_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(cluster, "import_module", missing)
    with pytest.raises(InputError) as why, workers_at("studio:8786"):
        pass
    assert str(why.value) == (
        "--cluster: given 'tcp://studio:8786'; allowed: where dask.distributed is installed; "
        "pip install 'fabricsim[cluster]'"
    )


@pytest.mark.parametrize(
    ("context", "raises", "said"),
    [
        ("certificates", None, ""),
        (None, None, "which needs certificates"),
        ("certificates", OSError("no such file"), "whose certificates can't be read (no such file)"),
        ("certificates", ValueError("no PEM"), "whose certificates can't be read (no PEM)"),
    ],
)
def test_certificates_are_asked_for_at_tls_addresses_alone(
    monkeypatch: pytest.MonkeyPatch, context: object, raises: BaseException | None, said: str
) -> None:
    library = reached(monkeypatch, raises={"certificates": raises} if raises else {})
    library.context = context
    with workers_at("tcp://studio:8786"):
        pass
    if not said:
        with workers_at("tls://studio:8786"):
            return
    with pytest.raises(InputError) as why, workers_at("tls://studio:8786"):
        pass
    assert str(why.value) == (
        f"--cluster: given 'tls://studio:8786', {said}; allowed: what dask's configuration has certificates for; "
        "name the files under distributed.comm.tls there"
    )
    assert len(library.begun) == 1  # nobody was talked to without


def test_dask_is_quiet_meanwhile_and_nobody_else_is(monkeypatch: pytest.MonkeyPatch) -> None:
    reached(monkeypatch)
    levels = {"distributed": logging.INFO, "distributed.comm": logging.NOTSET, "distributedly": logging.DEBUG}
    loggers = {name: logging.getLogger(name) for name in levels}
    for name, level in levels.items():
        monkeypatch.setattr(loggers[name], "level", level)
    with workers_at("studio:8786"):
        assert {name: one.isEnabledFor(logging.CRITICAL) for name, one in loggers.items()} == {
            "distributed": False,
            "distributed.comm": False,
            "distributedly": True,
        }
    assert {name: one.level for name, one in loggers.items()} == levels


@pytest.mark.parametrize(
    "given",
    [
        "tcp://studio:8786?x=1",
        "tcp://studio:8786#x",
        "tcp://me@studio:8786",
        "tcp://:secret@studio:8786",
        "studio:87 86",
    ],
)
def test_an_address_holds_nothing_but_host_and_port(given: str) -> None:
    with pytest.raises(InputError) as why:
        scheduler_address(given)
    assert str(why.value) == f"--cluster: given '{given}'; allowed: {ADDRESSES}; such as tcp://192.168.1.5:8786"
