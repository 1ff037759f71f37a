"""What is sent to a page: in order, of shapes that wait only the newest, and of each topology the whole once."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from starlette.websockets import WebSocketDisconnect

from fabricsim.table.messages.base import Told
from fabricsim.table.messages.frames import unframed
from fabricsim.table.messages.told import TOLD, TellNote
from fabricsim.table.serving.tab import REMEMBERED, Tab
from fabricsim.table.solving.order import Which
from fabricsim.table.solving.shape import Shape
from tests.table.serving.stand_ins import SAID, apart

HEAD = {
    "case": "repeat", "rest": True, "apart": False, "step": 0, "thickness_mm": 2.0, "stitch_mm": (5.0, 4.0),
    "window_mm": None, "revision": 1,
}  # fmt: skip


class SocketHeard:
    """A websocket that keeps what is sent, until it is ``broken`` by an error."""

    def __init__(self, broken: Exception | None = None) -> None:
        self.sent: list[Any] = []
        self.broken = broken

    async def send_text(self, text: str) -> None:
        if self.broken is not None:
            raise self.broken
        self.sent.append(TOLD.validate_json(text))

    async def send_bytes(self, data: bytes) -> None:
        head, arrays = unframed(data)
        self.sent.append((head.which, head.topology, list(arrays)))

    async def close(self, code: int) -> None:
        self.sent.append(code)


def shape(topology: int, which: Which = "first") -> Shape:
    arrays = {"point": np.zeros((1, 3), np.float32), "yarn": np.zeros(1, np.uint8)}
    return Shape({**HEAD, "which": which, "topology": topology}, arrays)


def sent(*rounds: Sequence[Told | Shape], socket: SocketHeard | None = None) -> list[Any]:
    """Return what a page gets that is told something in several rounds, with time to send it between them."""
    wire = socket or SocketHeard()

    async def talk() -> None:
        tab = Tab(wire, "a page")  # type: ignore[arg-type]
        assert tab.name == "a page"
        running = asyncio.create_task(tab.run())
        await asyncio.sleep(0)
        for told in rounds:
            for one in told:
                tab.tell(one)
            for _ in range(3):
                await asyncio.sleep(0)
        tab.close()
        await asyncio.wait_for(running, 5.0)

    apart(talk)
    return wire.sent


WHOLE, MOVED = ["point", "yarn"], ["point"]


def test_messages_come_in_order_and_then_the_end() -> None:
    note = TellNote(what="tabs", count=2)
    assert sent([note, SAID], [note]) == [note, SAID, note, 1001]
    assert sent() == [1001]


def test_of_shapes_that_wait_only_the_newest_of_each_piece_is_sent() -> None:
    note = TellNote(what="tabs", count=2)
    assert sent([shape(1), shape(2, "second"), note, shape(3), shape(4, "second"), shape(5)]) == [
        note, ("second", 4, WHOLE), ("first", 5, WHOLE), 1001,
    ]  # fmt: skip


def test_what_stays_the_same_is_sent_once_as_long_as_a_page_keeps_it() -> None:
    assert sent([shape(1)], [shape(1)], [shape(2)], [shape(1)]) == [
        ("first", 1, WHOLE), ("first", 1, MOVED), ("first", 2, WHOLE), ("first", 1, MOVED), 1001,
    ]  # fmt: skip
    numbers = list(range(REMEMBERED))
    got = sent(*([shape(number)] for number in [*numbers, 0, REMEMBERED, 0, 1, 3]))
    assert [(number, arrays == WHOLE) for _, number, arrays in got[:-1]] == [
        *((number, True) for number in numbers), (0, False), (REMEMBERED, True), (0, False), (1, True), (3, False),
    ]  # fmt: skip


@pytest.mark.parametrize("broken", [WebSocketDisconnect(1006), RuntimeError("after the end")])
def test_a_page_that_is_gone_is_no_error(broken: Exception) -> None:
    assert sent([SAID], socket=SocketHeard(broken)) == []


def test_all_that_waits_is_sent_before_the_end() -> None:
    wire = SocketHeard()

    async def talk() -> None:
        tab = Tab(wire, "a page")  # type: ignore[arg-type]
        tab.tell(SAID)
        tab.close()
        await asyncio.wait_for(tab.run(), 5.0)

    apart(talk)
    assert wire.sent == [SAID, 1001]
