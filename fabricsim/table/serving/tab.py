"""A page that is open: what it has been sent, and what waits to be."""

from __future__ import annotations

import asyncio
from collections import OrderedDict, deque
from contextlib import suppress

from starlette.websockets import WebSocket, WebSocketDisconnect

from fabricsim.table.messages.base import Told
from fabricsim.table.solving.shape import Shape

REMEMBERED = 8
"""Topologies that a page keeps, those that were sent last (chosen; the page's own rule is the same)."""


class Tab:
    """One websocket: messages in order; of shapes that wait only the newest, as older ones are of no use to anybody."""

    def __init__(self, socket: WebSocket, name: str) -> None:
        self.name, self._socket = name, socket
        self._waiting: deque[Told | Shape] = deque()
        self._woken = asyncio.Event()
        self._topologies: OrderedDict[int, None] = OrderedDict()
        self._open = True

    def tell(self, what: Told | Shape) -> None:
        """Have something sent."""
        if isinstance(what, Shape):
            which = what.head["which"]
            stale = [one for one in self._waiting if isinstance(one, Shape) and one.head["which"] == which]
            for one in stale:
                self._waiting.remove(one)
        self._waiting.append(what)
        self._woken.set()

    def close(self) -> None:
        """End once all that waits is sent."""
        self._open = False
        self._woken.set()

    async def run(self) -> None:
        """Send what waits, until the page is gone."""
        with suppress(WebSocketDisconnect, RuntimeError):
            while self._open or self._waiting:
                await self._woken.wait()
                self._woken.clear()
                while self._waiting:
                    await self._send(self._waiting.popleft())
            await self._socket.close(1001)

    async def _send(self, what: Told | Shape) -> None:
        if isinstance(what, Shape):
            whole = what.topology not in self._topologies
            self._topologies[what.topology] = None
            self._topologies.move_to_end(what.topology)
            if len(self._topologies) > REMEMBERED:
                self._topologies.popitem(last=False)
            await self._socket.send_bytes(what.framed(whole=whole))
        else:
            await self._socket.send_text(what.model_dump_json())
