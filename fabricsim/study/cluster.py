"""The workers of a dask cluster, as an executor; whose cluster that is, is the user's to know.

A dask scheduler runs what whoever can reach it sends. So none is ever started here, and only one whose address is given
is used; at a tls:// address with the certificates of dask's own configuration.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Executor, Future
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from typing import Any
from urllib.parse import urlsplit

from fabricsim.errors import InputError

ADDRESSES = "'local', or the address of a dask scheduler, tcp://HOST:PORT or tls://HOST:PORT"
PATIENCE = "10s"
"""How long a cluster may take to answer (chosen)."""


@dataclass(frozen=True)
class Workers:
    """How many there are, what gives work to them, and what they raise for a job that ``killed`` too many of them."""

    count: int
    executor: Executor
    killed: type[Exception]


def scheduler_address(given: str) -> str:
    """Return the address of a dask scheduler in full; raises InputError for anything that isn't one."""
    whole = given if "://" in given else f"tcp://{given}"
    try:
        parts = urlsplit(whole)
        rest = (parts.path, parts.query, parts.fragment, parts.username, parts.password)
        fits = parts.scheme in ("tcp", "tls") and parts.hostname and parts.port and not any(rest)
    except ValueError:  # a port that is no number, a bracket that is not closed
        fits = False
    if not fits or not whole.isprintable() or " " in whole:
        raise InputError("--cluster", f"'{given}'", ADDRESSES, "such as tcp://192.168.1.5:8786")
    return whole


@contextmanager
def workers_at(address: str) -> Iterator[Workers]:
    """Give the workers of the cluster whose scheduler is at ``address``; raises InputError if it is out of reach."""
    address = scheduler_address(address)
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise InputError(
            "--cluster", f"'{address}'", "where dask.distributed is installed", "pip install 'fabricsim[cluster]'"
        ) from None
    if address.startswith("tls://"):
        _check_certificates(distributed, address)
    with _quiet():
        yield from _workers(distributed, address)


def _workers(distributed: Any, address: str) -> Iterator[Workers]:
    try:
        client: Any = distributed.Client(address, timeout=PATIENCE)
    except (OSError, ValueError, TypeError, RuntimeError) as problem:
        raise InputError(
            "--cluster", f"'{address}', which does not answer ({problem})", ADDRESSES, "such as tcp://192.168.1.5:8786"
        ) from None
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
        yield Workers(max(1, sum(client.ncores().values())), _Given(client), distributed.KilledWorker)
    except TimeoutError:
        raise InputError(
            "--cluster", f"'{address}', where nobody works", "a scheduler with workers", "start a worker there"
        ) from None
    except CancelledError:
        raise InputError(
            "--cluster", f"'{address}', which went away", "a scheduler that keeps running", "start it again"
        ) from None
    finally:
        client.close()


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep dask from logging what goes wrong: whoever called is told in a line."""
    names = [name for name in logging.root.manager.loggerDict if name.split(".")[0] == "distributed"]
    before = {logger: logger.level for logger in map(logging.getLogger, names)}
    for logger in before:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for logger, level in before.items():
            logger.setLevel(level)


def _check_certificates(distributed: Any, address: str) -> None:
    """Raise InputError unless dask's own configuration names certificates that can be read."""
    given = ""
    try:
        if distributed.Security().get_connection_args("client").get("ssl_context") is None:
            given = "which needs certificates"
    except (OSError, ValueError) as problem:
        given = f"whose certificates can't be read ({problem})"
    if given:
        todo = "name the files under distributed.comm.tls there"
        raise InputError("--cluster", f"'{address}', {given}", "what dask's configuration has certificates for", todo)


class _Given(Executor):
    """Gives work to a dask client.

    Dask has an executor of its own, which asks how a job stands once more after its result is there: if its worker is
    killed in between, the result is taken for what the job raised.
    """

    def __init__(self, client: Any) -> None:
        self._client = client
        self._out: set[Future[Any]] = set()

    def submit(self, job: Callable[..., Any], /, *args: Any, **more: Any) -> Future[Any]:
        """Give out a job."""
        future: Future[Any] = Future()
        # not pure: two jobs of the same argument are two jobs
        given = self._client.submit(job, *args, **more, pure=False)
        future.add_done_callback(lambda one: given.cancel() if one.cancelled() else None)
        self._out.add(future)
        future.add_done_callback(self._out.discard)
        given.add_done_callback(lambda done: _hand_over(done, future))
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Give back what has not begun, if asked to; the client is not ours to end."""
        for future in list(self._out) if cancel_futures else ():
            future.cancel()


def _hand_over(done: Any, future: Future[Any]) -> None:
    """Tell the ``future`` what came of a job that dask says is done."""
    if future.set_running_or_notify_cancel():
        try:
            future.set_result(done.result())
        except BaseException as problem:
            future.set_exception(problem)
