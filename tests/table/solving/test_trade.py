"""The work of a process, done here: which order is next, what it is told of, what it outlives; and what orders it."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from contextlib import contextmanager
from multiprocessing import Pipe
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.errors import InputError, StoppedError
from fabricsim.table.solving import worker
from fabricsim.table.solving.order import Failed, Order
from fabricsim.table.solving.worker import KILLED, PATIENT, Wire, Worker, _work
from tests.table.serving.stand_ins import SAID, teller
from tests.table.solving.made_up import ORDER, order_of

PATIENCE = 20.0


class EnoughError(BaseException):
    """Ends work that would go on for ever."""


class DoneBy:
    """What a process does that ends when the orders it is given are worked off; ``happened`` to it on the way."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.happened: list[object] = []
        self.ended = threading.Event()
        patch.setattr(worker.os, "nice", lambda more: self.happened.append(("nice", more)), raising=False)
        patch.setattr(signal, "signal", lambda *what: self.happened.append(what))
        patch.setattr(worker.os, "_exit", self._exit)
        self.ours, self.theirs = Pipe()

    def _exit(self, status: int) -> None:
        self.happened.append(("exit", status))
        self.ended.set()

    def work(self, *orders: Order, faults: dict[int, Exception], patient: bool = False) -> list[Any]:
        """Work off orders, given as each before is told of, that end by ``faults``; return what comes back."""
        back: list[Any] = []

        def settle(order: Order, wire: Wire, given: object) -> None:
            assert given is teller
            if order.text == "enough":
                raise EnoughError
            if order.revision in faults:
                following = [one for one in orders if one.revision > order.revision]
                if following:
                    self.ours.send(following[0])
                    wait_for(lambda: wire._waiting["first"].revision != order.revision)
                raise faults[order.revision]
            wire.tell(order, SAID)

        self.ours.send(orders[0])
        with pytest.raises(EnoughError):
            _work(self.theirs, lambda: settle, teller, patient)
        while self.ours.poll():
            back.append(self.ours.recv())
        self.ours.close()
        assert self.ended.wait(PATIENCE)  # with whoever ordered it
        self.theirs.close()
        return back


def numbered(number: int, text: str = "") -> Order:
    return order_of(text, revision=number)


def test_work_goes_on_after_whatever_it_meets(monkeypatch: pytest.MonkeyPatch) -> None:
    done = DoneBy(monkeypatch)
    faults: dict[int, Exception] = {
        1: StoppedError("overtaken"),
        2: InputError("here", "this", "that", "change it"),
        3: ZeroDivisionError("by nought"),
    }
    back = done.work(*map(numbered, (1, 2, 3)), numbered(4, "enough"), faults=faults, patient=True)
    assert back == [
        ("first", 2, 7, Failed("here: given this; allowed: that; change it")),
        ("first", 3, 7, Failed("a fault of fabricsim's own: ZeroDivisionError: by nought")),
    ]
    assert done.happened == [("nice", PATIENT), (signal.SIGINT, signal.SIG_IGN), ("exit", 0)]


def test_only_the_patient_give_way(monkeypatch: pytest.MonkeyPatch) -> None:
    done = DoneBy(monkeypatch)
    assert done.work(numbered(1, "enough"), faults={}) == []
    assert done.happened == [(signal.SIGINT, signal.SIG_IGN), ("exit", 0)]


class UnheardWire(Wire):
    """A wire on which orders are laid by hand."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._waiting, self._done = {}, {}

    def lay(self, order: Order) -> Order:
        self._waiting[order.which] = order
        return order


def test_the_piece_on_the_table_is_next_and_the_newest_of_each() -> None:
    wire = UnheardWire()
    beside = wire.lay(order_of("", revision=1, which="second"))
    assert wire.next() is beside
    assert not wire.overtaken(beside)
    first = wire.lay(numbered(2))
    assert wire.overtaken(beside)
    assert not wire.overtaken(first)
    assert wire.next() is first
    newer = wire.lay(numbered(2))  # alike, and another
    assert (wire.overtaken(first), wire.overtaken(newer)) == (True, False)
    wire.done(newer)
    assert wire.next() is beside
    assert not wire.overtaken(beside)
    wire.lay(order_of("", revision=3, which="second"))
    assert wire.overtaken(beside)


class BegunProcess:
    """A process that begins nothing: its end of the pipe is the test's."""

    def __init__(self, begun: list[BegunProcess], target: Callable[..., None], args: tuple[Any, ...]) -> None:
        assert target is _work
        self.loaded, self.teller, self.patient = args[1:]
        self.theirs = args[0].__class__(os.dup(args[0].fileno()))  # as another process has its own
        self.killed = 0
        self._begun = begun
        self._closing = threading.Lock()

    def start(self) -> None:
        self._begun.append(self)

    def kill(self) -> None:
        self.killed += 1
        self.die()

    def die(self) -> None:
        """Close the pipe: whoever hears of that at once, and kills what is dead, closes nothing that is another's by
        then."""
        with self._closing:
            self.theirs.close()


@contextmanager
def begun_by(patch: pytest.MonkeyPatch) -> Any:
    """Give a worker whose processes are stand-ins, those that were begun, and what came of orders."""
    begun: list[BegunProcess] = []
    came: list[Any] = []
    pipes: list[Any] = []

    def piped() -> Any:
        pipes.append(Pipe())
        return pipes[-1]

    class Context:
        @staticmethod
        def Process(**how: Any) -> BegunProcess:
            return BegunProcess(begun, **how)

    patch.setattr(worker, "context", Context)
    patch.setattr(worker, "Pipe", piped)
    threads = set(threading.enumerate())
    one = Worker("loaded", teller, lambda *what: came.append(what), patient=True)  # type: ignore[arg-type]
    yield one, begun, came
    one.end()
    for thread in set(threading.enumerate()) - threads:
        thread.join(PATIENCE)
        assert not thread.is_alive()
    for mine, theirs in pipes:
        assert (mine.closed, theirs.closed) == (True, True)
    assert all(process.killed for process in begun)


def wait_for(true: Callable[[], object]) -> None:
    """Wait until something comes about in another thread."""
    done = threading.Event()
    for _ in range(int(PATIENCE / 0.002)):
        if true():
            return
        done.wait(0.002)
    raise TimeoutError


def test_a_process_is_begun_once_it_is_needed_and_told_what_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    with begun_by(monkeypatch) as (one, begun, came):
        assert begun == []
        one.wake()
        wait_for(lambda: begun)
        (process,) = begun
        assert (process.loaded, process.teller, process.patient) == ("loaded", teller, True)
        one.ask(ORDER)
        assert process.theirs.recv() == ORDER
        process.theirs.send(("first", 3, 7, SAID))
        wait_for(lambda: came)
        assert came == [("first", 3, 7, SAID)]
        one.wake()  # it is there
        one.drop()
        wait_for(lambda: process.killed)
        one.ask(order_of("", revision=4, which="second"))
        one.ask(numbered(5))
        wait_for(lambda: len(begun) == 2)
        sent = [begun[1].theirs.recv() for _ in range(2)]
        assert sorted(order.revision for order in sent) == [4, 5]  # and not what was dropped
        assert came == [("first", 3, 7, SAID)]


def test_of_a_process_that_dies_all_that_was_ordered_is_said_once(monkeypatch: pytest.MonkeyPatch) -> None:
    with begun_by(monkeypatch) as (one, begun, came):
        one.ask(ORDER)
        wait_for(lambda: begun)
        assert begun[0].theirs.recv() == ORDER
        one.ask(order_of("", revision=4, state=0, which="second"))
        assert begun[0].theirs.recv().revision == 4
        begun[0].die()
        wait_for(lambda: len(came) == 2)
        assert came == [("first", 3, 7, Failed(KILLED)), ("second", 4, 0, Failed(KILLED))]
        one.wake()  # in place of one that died the next may die too
        one.ask(numbered(5))
        wait_for(lambda: len(begun) == 2)
        assert begun[1].theirs.recv().revision == 5
    assert len(came) == 2


def test_a_process_begins_afresh_where_the_one_that_it_is_forked_of_has_died(monkeypatch: pytest.MonkeyPatch) -> None:
    class Forked(BegunProcess):
        def start(self) -> None:
            raise EOFError

    with begun_by(monkeypatch) as (one, begun, _):
        afresh, forked = worker.context(), []

        def dead(**how: Any) -> BegunProcess:
            forked.append(Forked([], **how))
            return forked[-1]

        monkeypatch.setattr(worker, "context", lambda: SimpleNamespace(Process=dead))
        monkeypatch.setattr(worker, "get_context", lambda how: {"spawn": afresh}[how])
        one.ask(ORDER)
        wait_for(lambda: begun)
        assert begun[0].theirs.recv() == ORDER
        assert len(forked) == 1
        forked[0].die()
