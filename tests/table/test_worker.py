"""The process that works on the newest order: what is overtaken, what is dropped, what dies."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from queue import Queue
from time import sleep
from typing import Any

import pytest

from fabricsim.errors import InputError, StoppedError
from fabricsim.study import fork_server
from fabricsim.table.messages.fabrics import TellWorking
from fabricsim.table.solving.order import Failed, Order, Outcome, Teller, Which, Wired
from fabricsim.table.solving.worker import Settle, Worker

PATIENCE = 60.0


def order(number: int, text: str = "", which: Which = "first") -> Order:
    return Order(which, number, 0, text, Path("x.toml"), "repeat", 12)


def echo(asked: Order, wire: Wired, teller: Teller) -> None:
    """Say that an order has come, and do what its text says."""
    wire.tell(asked, TellWorking(revision=asked.revision, on="look"))
    match asked.text:
        case "wait":
            while not wire.overtaken(asked):
                sleep(0.01)
            raise StoppedError("overtaken")
        case "hang":
            sleep(PATIENCE)
        case "die":
            os._exit(9)
        case "wrong":
            raise InputError("here", "this", "that", "change it")
        case "fault":
            raise ZeroDivisionError("of some kind")
    wire.tell(asked, TellWorking(revision=asked.revision, on="idle"))


def echoing() -> Settle:
    return echo


def nobody(*what: Any, **how: Any) -> Any:
    """Tells nothing."""


Lasting = tuple[Worker, Callable[[], tuple[int, Outcome]]]
"""A worker, and what waits for the next thing that comes of it: of which revision, and what."""


@contextmanager
def working() -> Iterator[Lasting]:
    """Give a worker, and what waits for the next thing that comes of it: of which revision, and what."""
    told: Queue[tuple[int, Outcome]] = Queue()

    def came(which: Which, revision: int, state: int, what: Outcome) -> None:
        told.put((revision, what))

    worker = Worker(echoing, nobody, came)
    try:
        yield worker, lambda: told.get(timeout=PATIENCE)
    finally:
        worker.end()


@pytest.fixture(scope="module", autouse=True)
def forked() -> Iterator[None]:
    """Have processes forked of one that has loaded what they need, as the table has them: most of what these tests take
    is to begin them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fork_server, "_begun", [])
        fork_server.begin_loading("tests.table.test_worker")
        yield


@pytest.fixture
def afresh(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have processes begun afresh, as every system can."""
    monkeypatch.setattr(fork_server, "_begun", [])


@pytest.fixture(scope="module")
def lasting() -> Iterator[Lasting]:
    """The same, for tests after which it goes on as before: each hears all that comes of what it asks."""
    with working() as both:
        yield both


def look(number: int) -> tuple[int, Outcome]:
    return number, TellWorking(revision=number, on="look")


def idle(number: int) -> tuple[int, Outcome]:
    return number, TellWorking(revision=number, on="idle")


def test_an_order_is_worked_off(lasting: Lasting) -> None:
    worker, told = lasting
    worker.ask(order(1))
    assert [told(), told()] == [look(1), idle(1)]


def test_a_newer_order_ends_the_one_before(lasting: Lasting) -> None:
    worker, told = lasting
    worker.ask(order(1, "wait"))
    assert told() == look(1)
    worker.ask(order(2, "wait"))
    assert told() == look(2)
    worker.ask(order(3))
    assert [told(), told()] == [look(3), idle(3)]


def test_of_many_orders_at_once_only_the_newest_need_be_worked_off() -> None:
    with working() as (worker, told):
        for number in range(1, 51):
            worker.ask(order(number, "wait"))
        worker.ask(order(51))
        came = []
        while not came or came[-1] != idle(51):
            came.append(told())
        assert idle(51) in came
        assert len(came) < 20  # while it loads only the newest of each kind waits


def test_the_piece_on_the_table_comes_before_the_one_beside_it(lasting: Lasting) -> None:
    worker, told = lasting
    worker.ask(order(1))
    assert [told(), told()] == [look(1), idle(1)]
    worker.ask(order(2, "wait", "second"))
    assert told() == look(2)
    worker.ask(order(3))
    assert [told(), told()] == [look(3), idle(3)]
    assert told() == look(2)  # taken up again
    worker.ask(order(4, which="second"))
    assert [told(), told()] == [look(4), idle(4)]


def test_a_wrong_order_and_a_fault_are_told_and_survived(lasting: Lasting) -> None:
    worker, told = lasting
    worker.ask(order(1, "wrong"))
    assert [told(), told()] == [look(1), (1, Failed("here: given this; allowed: that; change it"))]
    worker.ask(order(2, "fault"))
    assert told() == look(2)
    number, what = told()
    assert isinstance(what, Failed)
    assert (number, "ZeroDivisionError" in what.words) == (2, True)
    worker.ask(order(3))
    assert [told(), told()] == [look(3), idle(3)]


@pytest.mark.usefixtures("afresh")
def test_a_process_that_dies_is_told_and_followed_by_another() -> None:
    with working() as (worker, told):
        worker.ask(order(1, "die"))
        assert told() == look(1)
        number, what = told()
        assert isinstance(what, Failed)
        assert (number, "memory" in what.words) == (1, True)
        worker.ask(order(2))
        assert [told(), told()] == [look(2), idle(2)]


def test_what_is_dropped_is_left_at_once_and_nobody_hears_of_it() -> None:
    with working() as (worker, told):
        worker.ask(order(1, "hang"))
        assert told() == look(1)
        worker.drop()
        worker.ask(order(2))
        assert [told(), told()] == [look(2), idle(2)]


def stillborn(marks: Path) -> Settle:
    """Die before there is anything to work on, as where a library is missing; leave a mark."""
    with marks.open("a") as file:
        file.write("x")
    os._exit(1)


def test_a_process_that_cannot_begin_is_told_and_not_begun_on_and_on(tmp_path: Path) -> None:
    told: Queue[Outcome] = Queue()
    worker = Worker(partial(stillborn, tmp_path / "marks"), nobody, lambda which, revision, state, what: told.put(what))
    try:
        for number in (1, 2):
            worker.ask(order(number))
            assert isinstance(told.get(timeout=PATIENCE), Failed)
        sleep(1.5)  # in which, begun on and on, it would die several times
        assert len((tmp_path / "marks").read_text()) <= 3  # one at the start, and one an order
        assert told.empty()
    finally:
        worker.end()
