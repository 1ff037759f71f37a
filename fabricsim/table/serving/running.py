"""The server's process, from its start to Ctrl-C."""

from __future__ import annotations

import asyncio
import gc
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Generator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import uvicorn

from fabricsim.errors import InputError
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.secret import forget_secret, secret_at
from fabricsim.table.messages.asked import LONGEST_MESSAGE
from fabricsim.table.serving.desk import Desk
from fabricsim.table.serving.guard import Guard, hosts_of
from fabricsim.table.serving.site import site
from fabricsim.table.solving.order import SearchTellers, Teller

HERE = "127.0.0.1"
EVERYWHERE = ("0.0.0.0", "::")
"""What a server listens on for whoever can reach any address of the machine."""
USUAL_PORT = 4810
"""Where the table is served if nobody says otherwise (chosen; not registered with IANA for anything else)."""
BACKLOG = 16
SELDOM = 100_000
"""New things after which garbage is looked for (chosen: counting the floats of a large piece makes tens of thousands,
none of them garbage, and to look through them all takes as long again)."""
SLOWEST_PAGE = 300.0
"""Seconds after which a page that does not answer is given up (chosen: one that draws without a graphics processor on a
busy machine takes nothing in for half a minute; one that was closed is heard of at once)."""
TO_END = 1
"""Seconds that pages are given to hear the goodbye (chosen)."""


@dataclass(frozen=True)
class Served:
    """Where the table is served: the ``address`` that opens it, its secret behind the #; ``moved``: another port than
    the usual one, which is taken; ``warning`` if others can reach it."""

    address: str
    moved: bool
    exposed: bool


def listening(host: str, port: int | None) -> tuple[socket.socket, bool]:
    """Return a socket that listens on ``host``, and whether it had to move from the usual port (``port`` None).

    Raises ``InputError`` for a port that is taken and a host that isn't this machine's.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for tried in [port] if port is not None else [USUAL_PORT, 0]:
        listener = socket.socket(family, socket.SOCK_STREAM)
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows would else let two servers share a port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((host, tried))
            listener.listen(BACKLOG)
        except socket.gaierror:
            listener.close()
            raise InputError("--host", f"'{host}'", "a name or address of this machine", "check the name") from None
        except (OSError, OverflowError) as problem:
            listener.close()
            if port is None and tried:
                continue
            reason = getattr(problem, "strerror", None) or str(problem)
            where, given = ("--port", str(port)) if port is not None else ("--host", f"'{host}'")
            raise InputError(where, f"{given} ({reason})", "one that is free here", "leave it out") from None
        return listener, tried != (port if port is not None else USUAL_PORT)
    raise AssertionError("the last port is always tried")


class _Quiet(uvicorn.Server):
    """A server that leaves Ctrl-C to whoever runs it."""

    @contextmanager
    def capture_signals(self) -> Generator[None, None, None]:
        yield


def serve(
    history: Callable[[], History],
    teller: Teller,
    searchers: SearchTellers,
    version: str,
    folder: Path,
    *,
    host: str = HERE,
    port: int | None = None,
    browser: bool = True,
    begun: Callable[[Served], None] = lambda served: None,
) -> None:
    """Serve the table until Ctrl-C, what it keeps in a ``folder``. ``begun`` is told where, once it answers;
    ``browser``: whether to open it there."""
    listener, moved = listening(host, port)
    with listener:
        port = int(listener.getsockname()[1])
        secret = secret_at(folder, port)
        named = f"[{host}]" if ":" in host else host
        exposed = host not in (HERE, "localhost", "::1")
        address = f"http://{HERE if host in EVERYWHERE else named}:{port}/#{secret}"
        where = Served(address, moved, exposed)
        asyncio.run(_served(listener, history, teller, searchers, version, secret, where, browser, begun))
        forget_secret(folder, port)


async def _served(
    listener: socket.socket,
    history: Callable[[], History],
    teller: Teller,
    searchers: SearchTellers,
    version: str,
    secret: str,
    served: Served,
    browser: bool,
    begun: Callable[[Served], None],
) -> None:
    host, port = listener.getsockname()[:2]
    loop = asyncio.get_running_loop()
    gc.set_threshold(SELDOM)
    desk = Desk(history(), teller, searchers, version, (HERE if host in EVERYWHERE else str(host), int(port)))
    guard = Guard(
        site(lambda: desk, secret), hosts_of(str(host), int(port)), port=int(port), any_address=served.exposed
    )
    config = uvicorn.Config(
        guard,
        log_level="error",
        access_log=False,
        server_header=False,
        date_header=False,
        lifespan="off",
        ws="websockets-sansio",
        ws_max_size=LONGEST_MESSAGE,
        ws_per_message_deflate=False,
        ws_ping_timeout=SLOWEST_PAGE,
        timeout_graceful_shutdown=TO_END,
    )
    server = _Quiet(config)

    def end() -> None:
        server.should_exit = True  # first: whatever becomes of the rest, it ends
        desk.end()

    with _ctrl_c(lambda: loop.call_soon_threadsafe(end)):
        loop.call_soon(begun, served)
        if browser:
            # a thread that nobody waits for: there are browsers that come back only when they are closed
            threading.Thread(target=_opened, args=(served.address,), daemon=True).start()
        await server.serve(sockets=[listener])
        await desk.workshop.emptied()


def _opened(address: str) -> None:
    """Open the address in the browser, if there is one; the terminal shows it too."""
    with suppress(webbrowser.Error):
        webbrowser.open(address)


@contextmanager
def _ctrl_c(end: Callable[[], object]) -> Generator[None, None, None]:
    """Have Ctrl-C, and what asks a process to end, call ``end``."""

    def asked(number: int, frame: FrameType | None) -> None:
        end()

    before = {}
    for name in ("SIGINT", "SIGTERM", "SIGBREAK"):  # not all of them are everywhere
        number = getattr(signal, name, None)
        if number is not None:
            with suppress(ValueError):  # not the main thread: then it is for somebody else to end
                before[number] = signal.signal(number, asked)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
