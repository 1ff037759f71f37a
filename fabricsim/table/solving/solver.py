"""The one thread that brings fabrics to rest: the newest change wins."""

from __future__ import annotations

import threading
from collections.abc import Callable

from fabricsim.errors import FabricsimError
from fabricsim.table.solving.order import Failed, Order, Outcome, Teller

Tell = Callable[[Order, Outcome], None]
"""Told what comes of an order; called from the solver's thread."""


class Overtaken(BaseException):
    """A newer change has come: what is being solved is of no use to anybody. No Exception, so that nobody on the way
    takes it for a solve that failed."""


class Solver:
    """Works on the newest order alone; an older one ends at its next step."""

    def __init__(self, tell: Tell, teller: Teller) -> None:
        self._tell, self._teller = tell, teller
        self._changed = threading.Condition()
        self._order: Order | None = None
        self._ended = False
        self._thread = threading.Thread(target=self._run, name="solver", daemon=True)

    def start(self) -> None:
        """Begin to wait for orders."""
        self._thread.start()

    def ask(self, order: Order) -> None:
        """Give a new order, in place of any before."""
        with self._changed:
            self._order = order
            self._changed.notify()

    def end(self) -> None:
        """End at the next step."""
        with self._changed:
            self._ended = True
            self._changed.notify()

    def check(self, order: Order) -> None:
        """Raise ``Overtaken`` if there is a newer order than this."""
        if self._ended or self._order is not order:
            raise Overtaken

    def _next(self, done: Order | None) -> Order | None:
        with self._changed:
            while not self._ended and (self._order is None or self._order is done):
                self._changed.wait()
            return None if self._ended else self._order

    def _run(self) -> None:
        from fabricsim.table.solving.settling import Settling  # heavy: the page is served while it loads

        settling, done = Settling(self._tell, self._teller), None
        while (order := self._next(done)) is not None:
            done = order
            try:
                settling.settle(order, lambda order=order: self.check(order))  # type: ignore[misc]
            except Overtaken:
                continue
            except FabricsimError as problem:
                self._tell(order, Failed(order.revision, str(problem)))
            except Exception as problem:  # the thread must outlive whatever it meets, and say so
                self._tell(
                    order, Failed(order.revision, f"a fault of fabricsim's own: {type(problem).__name__}: {problem}")
                )
