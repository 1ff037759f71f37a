"""Who may ask: each refusal by itself, and that nothing else is refused."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from fabricsim.table.serving.guard import Guard, hosts_of, policy_of_made

PORT = 4810
HERE = f"127.0.0.1:{PORT}"


def test_a_server_is_asked_for_by_its_own_names_each_once() -> None:
    assert hosts_of("127.0.0.1", 8000) == ("127.0.0.1:8000", "localhost:8000", "[::1]:8000")
    assert hosts_of("192.0.2.7", 80) == ("127.0.0.1:80", "localhost:80", "[::1]:80", "192.0.2.7:80")
    assert hosts_of("2001:db8::7", 80)[-1] == "[2001:db8::7]:80"


def guard(**how: Any) -> Guard:
    async def never(scope: Any, receive: Any, send: Any) -> None:
        raise AssertionError("reached")

    return Guard(never, hosts_of("127.0.0.1", PORT), port=PORT, **how)


def asked(kind: str = "http", method: str = "GET", path: str = "/", **headers: str | list[str]) -> dict[str, Any]:
    """Return what a server makes of a request with these headers, several of a name if it is a list."""
    pairs = [
        (name.replace("_", "-").encode(), value.encode())
        for name, values in headers.items()
        for value in ([values] if isinstance(values, str) else values)
    ]
    scope: dict[str, Any] = {"type": kind, "path": path, "headers": pairs}
    return scope | ({"method": method} if kind == "http" else {})


@pytest.mark.parametrize("host", [HERE, f"localhost:{PORT}", f"[::1]:{PORT}"])
@pytest.mark.parametrize("site", ["same-origin", "none"])
def test_the_page_itself_may_ask(host: str, site: str) -> None:
    assert guard().refusal(asked(host=host, sec_fetch_site=site)) is None
    assert guard().refusal(asked(host=host)) is None
    assert guard().refusal(asked(host=host, origin=f"http://{host}", method="HEAD")) is None
    assert guard().refusal(asked("websocket", host=host, origin=f"http://{host}", sec_fetch_site=site)) is None


@pytest.mark.parametrize(
    "host",
    [
        "pages.example",
        f"pages.example:{PORT}",
        "127.0.0.1",
        "127.0.0.1:80",
        f"127.0.0.1.pages.example:{PORT}",
        f"192.168.1.7:{PORT}",
        f"{HERE}@pages.example",
        f"LOCALHOST.:{PORT}",
        "",
    ],
)
@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_a_foreign_name_that_leads_here_is_refused(host: str, kind: str) -> None:
    assert guard().refusal(asked(kind, host=host, origin=f"http://{host}")) is not None


def test_no_name_and_two_names_are_refused() -> None:
    assert guard().refusal(asked()) is not None
    assert guard().refusal(asked(host=[HERE, HERE])) is not None


@pytest.mark.parametrize(
    "origin", ["http://pages.example", f"http://localhost:{PORT + 1}", f"http://localhost:{PORT}", "null", ""]
)
@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_a_page_from_elsewhere_is_refused(origin: str, kind: str) -> None:
    assert guard().refusal(asked(kind, host=HERE, origin=origin)) is not None


@pytest.mark.parametrize("site", ["cross-site", "same-site", "something new"])
def test_what_the_browser_calls_foreign_is_refused(site: str) -> None:
    assert guard().refusal(asked(host=HERE, sec_fetch_site=site)) is not None
    assert guard().refusal(asked("websocket", host=HERE, origin=f"http://{HERE}", sec_fetch_site=site)) is not None


def test_a_websocket_of_no_page_is_refused() -> None:
    assert guard().refusal(asked("websocket", host=HERE)) is not None


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"])
@pytest.mark.parametrize("path", ["/", "/made/key/page.html"])
def test_nothing_is_sent_but_by_messages(method: str, path: str) -> None:
    assert guard().refusal(asked(host=HERE, method=method, path=path)) is not None


def test_what_commands_made_may_link_to_itself() -> None:
    made = {"path": "/made/key/lesson.html", "host": HERE, "sec_fetch_site": "cross-site", "origin": "null"}
    assert guard().refusal(asked(**made)) is None
    assert guard().refusal(asked(**made | {"host": "pages.example"})) is not None
    assert guard().refusal(asked("websocket", **made)) is not None


def test_for_others_an_address_will_do_but_no_foreign_name() -> None:
    assert guard(any_address=True).refusal(asked(host=f"192.168.1.7:{PORT}")) is None
    assert guard(any_address=True).refusal(asked(host=f"[fe80::1]:{PORT}")) is None
    assert guard(any_address=True).refusal(asked(host=f"pages.example:{PORT}")) is not None
    assert guard(any_address=True).refusal(asked(host="192.168.1.7:80")) is not None


def sent_for(scope: dict[str, Any], app: Any) -> list[dict[str, Any]]:
    sent: list[dict[str, Any]] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> dict[str, str]:
        return {"type": "websocket.connect"}

    # in a thread of its own, as a browser of other tests may leave a loop running in this one
    with ThreadPoolExecutor(1) as apart:
        apart.submit(asyncio.run, Guard(app, hosts_of("127.0.0.1", PORT), port=PORT)(scope, receive, send)).result()
    return sent


async def plain(scope: Any, receive: Any, send: Any) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"page"})


def policy(text: str) -> dict[str, set[str]]:
    """Return what a policy says, by its directives."""
    parts = [one.split() for one in text.split("; ")]
    return {name: set(values) for name, *values in parts}


def test_every_answer_says_what_its_page_may_do() -> None:
    for scope in (asked(host=HERE), asked(host="pages.example")):
        start, body = sent_for(scope, plain)
        head = {name.decode(): value.decode() for name, value in start["headers"]}
        assert policy(head.pop("content-security-policy")) == {
            "default-src": {"'none'"},
            "script-src": {"'self'"},
            "style-src": {"'self'"},
            "img-src": {"'self'", "blob:", "data:"},
            "font-src": {"'self'"},
            "connect-src": {"'self'"},
            "media-src": {"'self'", "blob:"},
            "frame-src": {"'self'"},
            "frame-ancestors": {"'self'"},
            "base-uri": {"'none'"},
            "form-action": {"'none'"},
        }
        told = {"content-type": "text/plain; charset=utf-8", "content-length": str(len(body["body"]))}
        assert head == ({} if scope["headers"] == [(b"host", HERE.encode())] else told) | {
            "x-content-type-options": "nosniff",
            "referrer-policy": "no-referrer",
            "cross-origin-opener-policy": "same-origin",
            "cross-origin-resource-policy": "same-origin",
            "cache-control": "no-store",
        }


def test_what_has_a_policy_of_its_own_keeps_it() -> None:
    async def strict(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-security-policy", b"mine")]})

    assert dict(sent_for(asked(host=HERE), strict)[0]["headers"])[b"content-security-policy"] == b"mine"


def test_what_is_refused_never_gets_further_and_hears_why() -> None:
    async def never(scope: Any, receive: Any, send: Any) -> None:
        raise AssertionError("reached")

    name = "asked under a name that is not this server's"
    start, body = sent_for(asked(host="pages.example"), never)
    assert (start["type"], start["status"]) == ("http.response.start", 403)
    assert body == {"type": "http.response.body", "body": f"fabricsim: {name}\n".encode()}
    assert sent_for(asked("websocket", host=HERE, origin="http://pages.example"), never) == [
        {"type": "websocket.close", "code": 1008, "reason": "asked by a page from elsewhere"}
    ]
    refusal = guard().refusal
    assert refusal(asked(host="pages.example")) == name
    assert refusal(asked(host=HERE, sec_fetch_site="cross-site")) == "asked by a page from elsewhere"
    assert refusal(asked("websocket", host=HERE)) == "asked by no page"
    for path in ("/", "/made/key/page.html"):
        assert refusal(asked(host=HERE, method="POST", path=path)) == "only to be read"
        assert refusal(asked(host=HERE, method="HEAD", path=path)) is None
    assert refusal(asked(host=HERE, origin=f"https://{HERE}")) is None  # behind a proxy of somebody's own


def test_what_is_passed_on_reaches_the_page_and_what_a_server_says_to_itself_too() -> None:
    for scope in (asked("websocket", host=HERE, origin=f"http://{HERE}"), {"type": "lifespan"}):
        passed: list[Any] = []

        async def heard(scope: Any, receive: Any, send: Any, passed: list[Any] = passed) -> None:
            passed.append((scope, await receive()))
            await send({"type": "said"})

        assert sent_for(scope, heard) == [{"type": "said"}]
        assert passed == [(scope, {"type": "websocket.connect"})]


def test_pages_that_commands_made_have_an_origin_of_their_own_and_no_network() -> None:
    assert policy(policy_of_made(Path("lesson.html"))) == {
        "sandbox": {"allow-scripts", "allow-downloads", "allow-modals"},  # and not allow-same-origin
        "default-src": {"'none'"},  # which counts for connect-src
        "script-src": {"'unsafe-inline'", "blob:"},
        "style-src": {"'unsafe-inline'"},
        "img-src": {"data:", "blob:"},
        "font-src": {"data:"},
        "media-src": {"data:"},
        "frame-src": {"data:", "blob:"},
        "frame-ancestors": {"'self'"},
    }
    assert policy(policy_of_made(Path("sheet.pdf"))) == {"default-src": {"'none'"}, "frame-ancestors": {"'self'"}}
