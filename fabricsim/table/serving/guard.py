"""Who may ask: the page that this server gave out, and nobody else.

A server of one's own machine can be reached by every page that is open in a browser, and by every program. What keeps
them out, each by itself: requests must name this host and port, so that no foreign name that was made to lead here is
answered (DNS rebinding); what a browser says of where a request comes from must be this server (Origin, and
Sec-Fetch-Site of W3C Fetch Metadata); nothing but files of the page is had without the secret, which is never sent in
an address or a cookie; and the page may load and run nothing but what this server gave out.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable
from pathlib import Path

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "font-src 'self'",
        "connect-src 'self'",
        "media-src 'self' blob:",
        "frame-src 'self'",
        "frame-ancestors 'self'",
        "base-uri 'none'",
        "form-action 'none'",
    ]
)
"""What the page may do (CSP level 3): no script but its own files, nothing from anywhere else."""
POLICY_OF_MADE = "; ".join(
    [
        "sandbox allow-scripts allow-downloads allow-modals",
        "default-src 'none'",
        "script-src 'unsafe-inline' blob:",
        "style-src 'unsafe-inline'",
        "img-src data: blob:",
        "font-src data:",
        "media-src data:",
        "frame-src data: blob:",
        "frame-ancestors 'self'",
    ]
)
"""What pages that commands made may do, such as a lesson with its slider: run by themselves, in an origin of their own,
without a network."""
HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
SAME = {"same-origin", "none"}
"""Sec-Fetch-Site of requests that this server's page makes, and of an address that somebody typed or opened."""
NAMES_OF_HERE = ("127.0.0.1", "localhost", "[::1]")


MADE = "/made/"
"""Where files that commands made are had, by a key that nobody guesses: pages among them have an origin of their own,
so that the browser says of a link from one to the next that it comes from elsewhere."""


def policy_of_made(path: Path) -> str:
    """Return what a file that a command made may do; a PDF is shown by the browser's own reader, which is no page."""
    return "default-src 'none'; frame-ancestors 'self'" if path.suffix == ".pdf" else POLICY_OF_MADE


class Guard:
    """Passes on what may be asked, to an application that then need not doubt it; closes the door on all else.

    ``hosts``: names with the port under which this server is asked for. ``any_address``: an address in figures will do
    for a name, with this ``port``; for a server that listens on others' behalf.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str], *, port: int, any_address: bool = False) -> None:
        self._app, self._hosts, self._port, self._any = app, frozenset(hosts), port, any_address

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        refused = self.refusal(scope)
        if refused is None:
            await self._app(scope, receive, _with_headers(send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008, "reason": refused})
        else:
            body = f"fabricsim: {refused}\n".encode()
            head = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
            await _with_headers(send)({"type": "http.response.start", "status": 403, "headers": head})
            await send({"type": "http.response.body", "body": body})

    def refusal(self, scope: Scope) -> str | None:
        """Return why something is refused; None if it isn't."""
        headers = Headers(scope=scope)
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        if len(hosts) != 1 or not self._is_here(hosts[0]):
            return "asked under a name that is not this server's"
        if scope["type"] == "http" and scope["path"].startswith(MADE):
            return None if scope["method"] in ("GET", "HEAD") else "only to be read"
        if any(origin not in (f"http://{hosts[0]}", f"https://{hosts[0]}") for origin in origins):
            return "asked by a page from elsewhere"
        if any(site not in SAME for site in headers.getlist("sec-fetch-site")):
            return "asked by a page from elsewhere"
        if scope["type"] == "websocket":
            return None if origins else "asked by no page"
        return None if scope["method"] in ("GET", "HEAD") else "only to be read"

    def _is_here(self, host: str) -> bool:
        if host in self._hosts:
            return True
        name, _, port = host.rpartition(":")
        if not self._any or port != str(self._port):
            return False
        try:
            ipaddress.ip_address(name.strip("[]"))
        except ValueError:
            return False
        return True


def hosts_of(host: str, port: int) -> tuple[str, ...]:
    """Return the names under which a server is asked for that listens on ``host``."""
    names = dict.fromkeys([*NAMES_OF_HERE, f"[{host}]" if ":" in host else host])
    return tuple(f"{name}:{port}" for name in names)


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("content-security-policy", POLICY)
        await send(message)

    return sent
