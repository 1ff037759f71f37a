"""A process that works on the newest order alone, and ends with whoever began it.

Solving holds Python's lock most of the time and may take more memory than there is: in a process of its own neither
stops the server. It is forked of a process that has loaded what it needs and runs nothing, where there is one
(``study.fork_server``), else begun afresh, which every system can do: never forked of the server. Whoever gives orders
never waits for it, not even while it loads: a thread hands them over.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import Pipe, get_context
from multiprocessing.connection import Connection
from typing import Any

from fabricsim.interrupts import kept_from_children
from fabricsim.study.fork_server import context
from fabricsim.table.solving.order import Failed, Order, Outcome, Teller, Which, Wired

Settle = Callable[[Order, Wired, Teller], None]
"""Does the work of an order in the process: tells what comes of it by the wire, and asks it whether to go on."""
Came = Callable[[Which, int, int, Outcome], None]
"""Told what comes of an order: which piece, which revision, which state. Called from a thread of its own."""
PATIENT = 10
"""By how much work that may take longer gives way to what the hand waits for (chosen; POSIX has up to 20)."""
KILLED = "the process that worked on it was ended from outside; there may be too little memory"


class Wire:
    """The process's end: the newest order of each kind, and the way back."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._changed = threading.Condition()
        self._waiting: dict[Which, Order] = {}
        self._done: dict[Which, Order] = {}
        threading.Thread(target=self._listen, daemon=True).start()

    def next(self) -> Order:
        """Wait for an order and return it: that of the piece on the table before the one beside it."""
        with self._changed:
            while True:
                for which in ("first", "second"):
                    order = self._waiting.get(which)
                    if order is not None and self._done.get(which) is not order:
                        return order
                self._changed.wait()

    def done(self, order: Order) -> None:
        """Say that an order was worked off, or can't be."""
        self._done[order.which] = order

    def overtaken(self, order: Order) -> bool:
        """Return whether something newer waits, so that an order is to be left."""
        return self._waiting[order.which] is not order or (
            order.which == "second" and self._waiting.get("first") is not self._done.get("first")
        )

    def tell(self, order: Order, what: Outcome) -> None:
        """Send back what comes of an order."""
        self._connection.send((order.which, order.revision, order.state, what))

    def _listen(self) -> None:
        """Take orders as they come; end with whoever gives them, who may have been killed and say nothing."""
        with suppress(EOFError, OSError):
            while True:
                order: Order = self._connection.recv()
                with self._changed:
                    self._waiting[order.which] = order
                    self._changed.notify()
        os._exit(0)


def _work(connection: Connection, loaded: Callable[[], Settle], teller: Teller, patient: bool) -> None:
    """Work off orders, in the process."""
    if patient and hasattr(os, "nice"):
        os.nice(PATIENT)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which then ends this
    from fabricsim.errors import FabricsimError, StoppedError

    wire = Wire(connection)
    settle = loaded()
    while True:
        order = wire.next()
        try:
            settle(order, wire, teller)
        except StoppedError:
            continue
        except FabricsimError as problem:
            wire.tell(order, Failed(str(problem)))
        except Exception as problem:  # the process must outlive whatever it meets, and say so
            wire.tell(order, Failed(f"a fault of fabricsim's own: {type(problem).__name__}: {problem}"))
        wire.done(order)


class Worker:
    """The server's end. ``loaded`` loads and returns what does the work, in the process; ``patient``: it gives way to
    others."""

    def __init__(self, loaded: Callable[[], Settle], teller: Teller, came: Came, *, patient: bool = False) -> None:
        self._loaded, self._teller, self._came, self._patient = loaded, teller, came, patient
        self._changed = threading.Condition()
        self._orders: dict[Which, Order] = {}
        self._unsent: dict[Which, Order] = {}
        self._process: Any = None
        self._gone = self._dropped = self._ended = self._woken = False
        threading.Thread(target=self._keep_going, daemon=True).start()

    def ask(self, order: Order) -> None:
        """Give a new order, in place of any before of its kind."""
        with self._changed:
            self._orders[order.which] = self._unsent[order.which] = order
            self._changed.notify()

    def wake(self) -> None:
        """Have a process loaded, if there is none: something will soon be ordered."""
        with self._changed:
            self._woken = True
            self._changed.notify()

    def drop(self) -> None:
        """Have what is worked on left at once, whatever it is; no other process is begun before it is needed, as that
        would take time from whoever is at work now."""
        with self._changed:
            self._orders.clear()
            self._unsent.clear()
            self._dropped, self._woken = True, False
            self._changed.notify()

    def end(self) -> None:
        """End the process."""
        with self._changed:
            self._ended = True
            if self._process is not None:
                self._process.kill()
            self._changed.notify()

    def _keep_going(self) -> None:
        """Begin the process, hand it what is ordered, and begin another where it dies."""
        while self._needed():
            mine, listener = self._begun()
            while (order := self._to_send()) is not None:
                with suppress(OSError):  # it has just died, and is heard of in a moment
                    mine.send(order)
            self._process.kill()
            listener.join()  # or it might read from the next connection, which gets the number of this one
            mine.close()

    def _needed(self) -> bool:
        """Wait until there is something to do for a process: in place of one that died the next may die too. Return
        whether there is, or the end has come."""
        with self._changed:
            while not (self._orders or self._ended or (self._woken and not self._gone)):
                self._changed.wait()
            return not self._ended

    def _begun(self) -> tuple[Connection, threading.Thread]:
        mine, theirs = Pipe()
        how: dict[str, Any] = {"target": _work, "args": (theirs, self._loaded, self._teller, self._patient)}
        process = context().Process(**how)  # type: ignore[attr-defined]
        with kept_from_children():
            try:
                process.start()
            except (OSError, EOFError):  # the one that it was to be forked of has just died
                process = get_context("spawn").Process(**how)
                process.start()
        theirs.close()
        with self._changed:
            self._process, self._gone, self._dropped, self._woken = process, False, False, False
            self._unsent = dict(self._orders)
            if self._ended:
                process.kill()
        listener = threading.Thread(target=self._listen, args=(mine, process), daemon=True)
        listener.start()
        return mine, listener

    def _to_send(self) -> Order | None:
        """Wait for an order that is to be handed over; return None once the process is of no use any more."""
        with self._changed:
            while not (self._gone or self._dropped or self._ended):
                if self._unsent:
                    return self._unsent.pop("first" if "first" in self._unsent else "second")
                self._changed.wait()
            return None

    def _listen(self, connection: Connection, process: Any) -> None:
        """Pass on what comes back; where the process dies by itself, say so of all that was ordered."""
        with suppress(EOFError, OSError):
            while True:
                self._came(*connection.recv())
        with self._changed:
            died = process is self._process and not (self._dropped or self._ended)
            lost = list(self._orders.values()) if died else []
            if died:
                self._orders.clear()
                self._gone = True
                self._changed.notify()
        for order in lost:
            self._came(order.which, order.revision, order.state, Failed(KILLED))
