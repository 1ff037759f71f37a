"""What stands in for a process that works, for a loop and for a page: each notes what it is asked, and does nothing."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from fabricsim.table.messages.base import Told
from fabricsim.table.messages.fabrics import TellSaid
from fabricsim.table.messages.told import TOLD
from fabricsim.table.solving.order import Order, Outcome, SearchTellers, Which
from fabricsim.table.solving.shape import Shape


def in_a_thread(call: Callable[[], None]) -> None:
    """Call what runs a loop in a thread of its own: in this one the browser of other tests may have its loop."""
    with ThreadPoolExecutor(1) as one:
        one.submit(call).result()


def apart(asked: Callable[[], Coroutine[Any, Any, None]]) -> None:
    """Run something in a loop of its own."""
    in_a_thread(lambda: asyncio.run(asked()))


class IdleWorker:
    """In place of a ``Worker``: what it was ``asked``, and in which order it was ``told`` to do what."""

    made: list[IdleWorker]

    def __init__(
        self, loaded: Callable[[], Any], teller: object, came: Callable[..., None], *, patient: bool = False
    ) -> None:
        self.loaded, self.teller, self.came, self.patient = loaded, teller, came, patient
        self.told: list[str] = []
        self.asked: list[Order] = []
        self.made.append(self)

    def ask(self, order: Order) -> None:
        self.told.append("ask")
        self.asked.append(order)

    def wake(self) -> None:
        self.told.append("wake")

    def drop(self) -> None:
        self.told.append("drop")

    def end(self) -> None:
        self.told.append("end")

    def answers(self, order: Order, what: Outcome, which: Which | None = None) -> None:
        """Have something come of an order."""
        self.came(which or order.which, order.revision, order.state, what)


def idle_workers(patch: pytest.MonkeyPatch) -> list[IdleWorker]:
    """Have no process begun; return the stand-ins as they are made: of what settles, ponders, looks for something."""
    made: list[IdleWorker] = []
    one = type("OneIdleWorker", (IdleWorker,), {"made": made})
    for module in ("fabric", "looking"):
        patch.setattr(f"fabricsim.table.serving.{module}.Worker", one)
    return made


class StoodTimer:
    """What is to be done later."""

    def __init__(self, delay: float, then: Callable[[], object]) -> None:
        self.delay, self.then, self.cancelled = delay, then, False

    def cancel(self) -> None:
        self.cancelled = True


class StoodLoop:
    """A loop that does what it has to do when it is told to ``go_on``, and what is for ``later`` never by itself."""

    def __init__(self) -> None:
        self.soon: list[Callable[[], object]] = []
        self.later: list[StoodTimer] = []

    def call_soon(self, then: Callable[..., object], *given: object) -> None:
        self.soon.append(lambda: then(*given))

    call_soon_threadsafe = call_soon

    def call_later(self, delay: float, then: Callable[..., object], *given: object) -> StoodTimer:
        self.later.append(StoodTimer(delay, lambda: then(*given)))
        return self.later[-1]

    def go_on(self) -> None:
        while self.soon:
            self.soon.pop(0)()


class Hearing:
    """Whoever hears what is ``told``, once the ``loop`` has gone round."""

    def __init__(self) -> None:
        self.loop, self.told = StoodLoop(), list[Any]()

    def heard(self) -> list[Any]:
        """Return what was told since this was last asked."""
        self.loop.go_on()
        told = self.told[:]
        self.told.clear()
        return told


class ClosedLoop(StoodLoop):
    """One that has just ended."""

    def call_soon(self, then: Callable[..., object], *given: object) -> None:
        raise RuntimeError("Event loop is closed")

    call_soon_threadsafe = call_soon


class DeafTab:
    """A page that is told things and sends nothing."""

    name = "deaf"

    def __init__(self) -> None:
        self.heard: list[Told | Shape] = []
        self.closed = False

    def tell(self, what: Told | Shape) -> None:
        assert not self.closed
        assert isinstance(what, Shape) or TOLD.validate_json(what.model_dump_json()) == what  # as a page reads it
        self.heard.append(what)

    def close(self) -> None:
        self.closed = True

    def new(self) -> list[Any]:
        """Return what was heard since this was last asked."""
        heard, self.heard = self.heard, []
        return heard


def teller(*what: Any, **how: Any) -> Any:
    """Says nothing: only who is handed it is looked at."""
    raise AssertionError("nothing is solved here")


SEARCHERS = SearchTellers(teller, teller, teller, teller)
SAID = TellSaid(
    revision=1,
    sure="rest",
    width_cm=18.5,
    plain_cm=20.0,
    loss_percent=7.5,
    likely_loss_percent=None,
    likely_width_cm=None,
    height_percent=1.5,
    pucker_mm=2.25,
    likely_pucker_mm=None,
    pucker_word="flat",
    floats=12,
    over=3,
    taut=2,
    greatest_cN=4.5,
    rows=(),
    hardest=(),
    words=("a line",),
    advice=("a sentence",),
)
"""What might be said of a piece at rest."""


def a_shape(revision: int = 1, which: Which = "first", topology: int = 7) -> Shape:
    """Return a shape of which nothing is known but its head."""
    return Shape({"revision": revision, "which": which, "topology": topology}, {})
