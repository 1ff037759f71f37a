"""A process that works on the newest order alone, and ends with whoever began it.

Solving holds Python's lock most of the time and may take more memory than there is: in a process of its own neither
stops the server. It is begun afresh, not forked, which every system can do.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any

from fabricsim.interrupts import kept_from_children
from fabricsim.table.solving.order import Failed, Order, Outcome, Teller, Which, Wired

Settle = Callable[[Order, Wired, Teller], None]
"""Does the work of an order in the process: tells what comes of it by the wire, and asks it whether to go on."""
_CONTEXT = multiprocessing.get_context("spawn")


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


def _work(connection: Connection, loaded: Callable[[], Settle], teller: Teller) -> None:
    """Work off orders, in the process."""
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


Came = Callable[[Which, int, int, Outcome], None]
"""Told what comes of an order: which piece, which revision, which state. Called from a thread of its own."""


class Worker:
    """The server's end. ``loaded`` loads and returns what does the work, in the process."""

    def __init__(self, loaded: Callable[[], Settle], teller: Teller, came: Came) -> None:
        self._loaded, self._teller, self._came = loaded, teller, came
        self._orders: dict[Which, Order] = {}
        self._ended = False
        self._begin()

    def ask(self, order: Order) -> None:
        """Give a new order, in place of any before of its kind."""
        self._orders[order.which] = order
        with suppress(OSError):  # it has just died: the next one is given the order as it begins
            self._mine.send(order)

    def drop(self) -> None:
        """Have what is worked on left, whatever it is."""
        self._orders.clear()
        self._kill()

    def end(self) -> None:
        """End the process."""
        self._ended = True
        self._kill()

    def _kill(self) -> None:
        self._process.kill()
        self._mine.close()

    def _begin(self) -> None:
        self._mine, theirs = _CONTEXT.Pipe()
        self._process = _CONTEXT.Process(target=_work, args=(theirs, self._loaded, self._teller))
        with kept_from_children():
            self._process.start()
        theirs.close()
        threading.Thread(target=self._listen, args=(self._mine,), daemon=True).start()
        for order in self._orders.values():
            self._mine.send(order)

    def _listen(self, connection: Any) -> None:
        try:
            while True:
                self._came(*connection.recv())
        except (EOFError, OSError):
            pass
        if not self._ended:
            for order in self._orders.values():
                self._came(order.which, order.revision, order.state, Failed("the process at work was killed"))
            self._orders.clear()
            self._begin()
