"""What the server answers: the page's files, and the websocket on which all else goes."""

from __future__ import annotations

import asyncio
import mimetypes
import secrets
from collections.abc import Callable
from contextlib import suppress
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.websockets import WebSocket, WebSocketDisconnect

from fabricsim.table.messages.asked import ASKED, AskHello
from fabricsim.table.messages.told import TellTrouble
from fabricsim.table.serving.desk import Desk
from fabricsim.table.serving.guard import policy_of_made
from fabricsim.table.serving.tab import Tab

PAGE = Path(__file__).parent.parent / "page"
"""The page's files."""
DRAWING = Path(str(files("fabricsim.render.browser"))) / "gl"
"""The scripts that draw, which other pages have too."""
PATIENCE = 10.0
"""Seconds that a page may take for its first message (chosen)."""
NO_SECRET = 4401
"""Code with which a websocket is closed whose secret is wrong: 4000 to 4999 are an application's own (RFC 6455)."""
KINDS = {
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".css": "text/css",
    ".html": "text/html",
    ".svg": "image/svg+xml",
    ".json": "application/json",
    ".woff2": "font/woff2",
}
"""What files are, whatever the machine's own table says: one of a Windows machine may call scripts plain text, which
browsers then refuse."""


def site(desk: Callable[[], Desk], secret: str) -> Starlette:
    """Return the application; ``desk`` is asked for once the server runs."""
    for ending, kind in KINDS.items():
        mimetypes.add_type(kind, ending)

    async def front(request: Request) -> Response:
        return FileResponse(PAGE / "index.html")

    async def alive(request: Request) -> Response:
        """Say which piece lies here, to another server of the same machine that wants to know whether it is alive."""
        return PlainTextResponse(desk().history.journal.path.stem)

    async def made(request: Request) -> Response:
        """Give a file that a job made, to whoever knows its key."""
        path = desk().workshop.file(request.path_params["key"], request.path_params["name"])
        if path is None:
            return PlainTextResponse("fabricsim: there is no such file, or no longer\n", 404)
        response = FileResponse(path, filename=path.name if "download" in request.query_params else None)
        response.headers["content-security-policy"] = policy_of_made(path)
        return response

    async def talk(socket: WebSocket) -> None:
        await socket.accept()
        hello = await _hello(socket)
        if hello is None or not secrets.compare_digest(hello.secret.encode(), secret.encode()):
            await socket.close(NO_SECRET, "open the address that the terminal shows")
            return
        await _talk(socket, desk(), hello)

    return Starlette(
        routes=[
            Route("/", front),
            Route("/alive", alive),
            WebSocketRoute("/ws", talk),
            Route("/made/{key}/{name:path}", made),
            Mount("/page/gl", StaticFiles(directory=DRAWING)),
            Mount("/page", StaticFiles(directory=PAGE)),
        ]
    )


async def _hello(socket: WebSocket) -> AskHello | None:
    """Return the first message, if it is a greeting."""
    try:
        first = ASKED.validate_json(await asyncio.wait_for(socket.receive_text(), PATIENCE))
    except (TimeoutError, ValidationError, WebSocketDisconnect, KeyError):
        return None
    return first if isinstance(first, AskHello) else None


async def _talk(socket: WebSocket, desk: Desk, hello: AskHello) -> None:
    """Talk with a page until it leaves."""
    tab = Tab(socket, hello.tab)
    sending = asyncio.create_task(tab.run())
    desk.join(tab)
    try:
        while True:
            text = await socket.receive_text()
            try:
                asked = ASKED.validate_json(text)
            except ValidationError as problem:
                tab.tell(_misunderstood(problem))
                continue
            desk.answer(tab, asked)
    except (WebSocketDisconnect, KeyError, RuntimeError):  # KeyError: bytes, where only text is understood
        pass
    finally:
        desk.leave(tab)
        sending.cancel()
        with suppress(asyncio.CancelledError):
            await sending


def _misunderstood(problem: ValidationError) -> TellTrouble:
    """Return what is said to a page that sends what is no message."""
    first = problem.errors(include_url=False, include_input=False, include_context=False)[0]
    where = ".".join(str(part) for part in first["loc"])
    return TellTrouble(
        asked="message",
        where=where,
        given="what is no message of this server's",
        allowed=first["msg"],
        todo="load the page again",
        words=f"{where}: {first['msg']}; load the page again",
    )
