"""The server's process: where it listens, what it is made of, what it is told and when it ends; nothing is served."""

from __future__ import annotations

import asyncio
import errno
import gc
import os
import signal
import socket
import webbrowser
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import uvicorn

from fabricsim.design.scene.limits import LARGEST_FILE
from fabricsim.errors import InputError
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.secret import secret_at
from fabricsim.table.messages.asked import LONGEST_MESSAGE
from fabricsim.table.serving import running
from fabricsim.table.serving.guard import Guard, hosts_of
from fabricsim.table.serving.running import Served, listening, serve
from tests.table.serving.stand_ins import SEARCHERS, apart, in_a_thread, teller

HERE = "127.0.0.1"
FREE = "allowed: one that is free here; leave it out"


@pytest.fixture
def taken() -> Iterator[int]:
    """A port of this machine where somebody listens."""
    with socket.create_server((HERE, 0)) as other:
        yield other.getsockname()[1]


def test_a_port_is_listened_at_once_it_is_free(taken: int) -> None:
    listener, moved = listening(HERE, 0)
    with listener:
        port = listener.getsockname()[1]
        assert (moved, listener.family, port > 0) == (False, socket.AF_INET, True)
        with socket.create_connection((HERE, port), timeout=20.0):
            pass
    listener, moved = listening(HERE, port)
    with listener:
        assert (listener.getsockname()[1], moved) == (port, False)
        assert listener.getsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR) != 0
    with pytest.raises(InputError) as refused:
        listening(HERE, taken)
    assert str(refused.value) == f"--port: given {taken} ({os.strerror(errno.EADDRINUSE)}); {FREE}"
    with pytest.raises(InputError, match=r"^--port: given 99999 \(.*0-65535.*\); "):
        listening(HERE, 99_999)


def test_on_windows_no_two_servers_share_a_port(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[int, ...]] = []
    monkeypatch.setattr(socket, "SO_EXCLUSIVEADDRUSE", -5, raising=False)  # ~SO_REUSEADDR there
    monkeypatch.setattr(socket.socket, "setsockopt", lambda sock, *what: asked.append(what))
    listening(HERE, 0)[0].close()
    assert asked == [(socket.SOL_SOCKET, -5, 1)]


def test_the_usual_port_is_left_to_who_has_it(taken: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "USUAL_PORT", taken)
    listener, moved = listening(HERE, None)
    with listener:
        free = listener.getsockname()[1]
        assert (moved, free != taken) == (True, True)
    monkeypatch.setattr(running, "USUAL_PORT", free)
    listener, moved = listening(HERE, None)
    with listener:
        assert (listener.getsockname()[1], moved) == (free, False)


@pytest.mark.parametrize(
    ("host", "line"),
    [
        ("no.name.invalid", "given 'no.name.invalid'; allowed: a name or address of this machine; check the name"),
        ("192.0.2.7", f"given '192.0.2.7' (Cannot assign requested address); {FREE}"),
    ],
)
def test_a_host_that_is_not_this_machine_is_said(host: str, line: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket.socket, "bind", refusing)
    with pytest.raises(InputError) as refused:
        listening(host, None)
    assert str(refused.value) == f"--host: {line}"


def refusing(sock: socket.socket, address: tuple[str, int]) -> None:
    """Answer as a system does: no name is asked for in a network."""
    if address[0].endswith(".invalid"):
        raise socket.gaierror(socket.EAI_NONAME, "Name or service not known")
    raise OSError(99, "Cannot assign requested address")


class ListensNowhere:
    """A socket that only says where it listens."""

    def __init__(self, host: str) -> None:
        self.host, self.closed = host, False

    def getsockname(self) -> tuple[object, ...]:
        return (self.host, 4811, 0, 0) if ":" in self.host else (self.host, 4811)

    def __enter__(self) -> ListensNowhere:
        return self

    def __exit__(self, *what: object) -> None:
        self.closed = True


@pytest.mark.parametrize(
    ("host", "address", "exposed"),
    [
        ("127.0.0.1", "127.0.0.1", False),
        ("localhost", "localhost", False),
        ("::1", "[::1]", False),
        ("192.0.2.7", "192.0.2.7", True),
        ("fe80::1", "[fe80::1]", True),
        ("0.0.0.0", "127.0.0.1", True),
        ("::", "127.0.0.1", True),
    ],
)
def test_the_address_that_opens_it_has_its_secret_behind_the_hash(
    host: str, address: str, exposed: bool, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    served: list[Any] = []
    listener = ListensNowhere(host)
    moved = host == "::1"
    monkeypatch.setattr(running, "listening", lambda *where: served.append(where) or (listener, moved))

    async def for_a_while(*given: object) -> None:
        assert not listener.closed
        served.extend(given)

    monkeypatch.setattr(running, "_served", for_a_while)
    known = secret_at(tmp_path, 4811)
    given: dict[str, Any] = {} if host == HERE else {"host": host, "port": 7, "browser": False, "begun": served.append}
    in_a_thread(lambda: serve(History.resumed, teller, SEARCHERS, "9.9", tmp_path, **given))  # type: ignore[arg-type]
    where = Served(f"http://{address}:4811/#{known}", moved, exposed)
    *rest, browser, begun = served
    assert rest == [(host, given.get("port")), listener, History.resumed, teller, SEARCHERS, "9.9", known, where]
    assert browser is (host == HERE)
    if host == HERE:
        begun(where)  # by itself it says nothing
    else:
        assert begun == served.append
    assert listener.closed
    assert list(tmp_path.iterdir()) == []  # the next server has another secret


class ServesNothing:
    """In place of a server: ``then`` is called while it would serve."""

    then: Callable[[ServesNothing], None]
    made: list[ServesNothing]

    def __init__(self, config: uvicorn.Config) -> None:
        self.config, self.should_exit = config, False
        self.made.append(self)

    async def serve(self, sockets: list[object]) -> None:
        self.sockets = sockets
        self.then()
        for _ in range(3):
            await asyncio.sleep(0)


class DeskHeard:
    """In place of a desk: what it was made of, and what it was told."""

    def __init__(self, *given: object) -> None:
        self.given, self.told = given, list[str]()
        self.workshop = SimpleNamespace(emptied=self._emptied)

    async def _emptied(self) -> None:
        self.told.append("emptied")

    def end(self) -> None:
        self.told.append("end")
        raise ZeroDivisionError  # whatever becomes of it, the server ends


def serving(
    patch: pytest.MonkeyPatch, host: str, *, browser: bool, exposed: bool = False, interrupted: bool = False
) -> tuple[ServesNothing, DeskHeard, list[object]]:
    """Serve nothing for a while; return the server, the desk, and what was begun and opened."""
    desks: list[DeskHeard] = []
    happened: list[object] = []

    def desk(*given: object) -> DeskHeard:
        desks.append(DeskHeard(*given))
        return desks[-1]

    where = Served("http://here/#secret", False, exposed)

    def thread(target: Callable[..., None], args: tuple[object, ...], daemon: bool) -> Any:
        assert daemon
        return SimpleNamespace(start=lambda: target(*args))

    def then(server: ServesNothing) -> None:
        if interrupted:
            interrupt()

    interrupt: Callable[[], None]

    class Caught:
        def __init__(self, end: Callable[[], None]) -> None:
            nonlocal interrupt
            interrupt = end

        def __enter__(self) -> None: ...

        def __exit__(self, *what: object) -> None: ...

    one = type("OneServer", (ServesNothing,), {"made": [], "then": then})
    patch.setattr(running, "Desk", desk)
    patch.setattr(running, "_Quiet", one)
    patch.setattr(running, "_ctrl_c", Caught)
    patch.setattr(running, "threading", SimpleNamespace(Thread=thread))
    patch.setattr(webbrowser, "open", happened.append)
    listener: Any = ListensNowhere(host)

    async def do() -> None:
        asyncio.get_running_loop().set_exception_handler(lambda loop, what: happened.append(type(what["exception"])))
        await running._served(
            listener, lambda: "history", teller, SEARCHERS, "9.9", "secret", where, browser, happened.append  # type: ignore[arg-type, return-value]
        )  # fmt: skip

    before = gc.get_threshold()
    try:
        apart(do)
        assert gc.get_threshold()[0] == running.SELDOM
    finally:
        gc.set_threshold(*before)
    (server,), (made,) = one.made, desks  # type: ignore[attr-defined]
    assert server.sockets == [listener]
    return server, made, [where if one is where else one for one in happened]


@pytest.mark.parametrize(("host", "told"), [(HERE, HERE), ("0.0.0.0", HERE), ("192.0.2.7", "192.0.2.7"), ("::", HERE)])
def test_a_desk_is_served_behind_the_guard(host: str, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    exposed = host != HERE
    server, desk, happened = serving(monkeypatch, host, browser=exposed, exposed=exposed)
    assert desk.given == ("history", teller, SEARCHERS, "9.9", (told, 4811))
    assert desk.told == ["emptied"]
    where = Served("http://here/#secret", False, exposed)
    assert happened == ([where.address, where] if exposed else [where])
    guard = server.config.app
    assert isinstance(guard, Guard)
    assert (guard._hosts, guard._port, guard._any) == (frozenset(hosts_of(host, 4811)), 4811, exposed)
    chosen = {
        "log_level": "error", "access_log": False, "server_header": False, "date_header": False, "lifespan": "off",
        "ws": "websockets-sansio", "ws_max_size": LONGEST_MESSAGE, "ws_per_message_deflate": False,
        "ws_ping_timeout": running.SLOWEST_PAGE, "timeout_graceful_shutdown": running.TO_END,
    }  # fmt: skip
    assert {name: getattr(server.config, name) for name in chosen} == chosen
    assert running.TO_END == 1  # whoever presses Ctrl-C waits for it
    assert 4 * -(-LARGEST_FILE // 3) + 10_000 < LONGEST_MESSAGE < 2 * LARGEST_FILE


def test_ctrl_c_ends_it_whatever_becomes_of_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    server, desk, happened = serving(monkeypatch, HERE, browser=False, interrupted=True)
    assert server.should_exit
    assert desk.told == ["end", "emptied"]
    assert ZeroDivisionError in happened


def test_a_machine_without_a_browser_is_no_error(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(address: str) -> None:
        raise webbrowser.Error("could not locate runnable browser")

    monkeypatch.setattr(webbrowser, "open", none)
    running._opened("http://here")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_what_asks_a_process_to_end_is_heard_and_given_back(number: signal.Signals) -> None:
    before = signal.getsignal(number)
    heard: list[int] = []
    with running._ctrl_c(lambda: heard.append(1)):
        signal.raise_signal(number)
        signal.raise_signal(number)
    assert (heard, signal.getsignal(number)) == ([1, 1], before)

    async def elsewhere() -> None:  # in a thread where nobody can hear it
        with running._ctrl_c(lambda: heard.append(2)):
            assert signal.getsignal(number) == before

    apart(elsewhere)


def test_a_server_leaves_ctrl_c_alone() -> None:
    before = signal.getsignal(signal.SIGINT)
    quiet = running._Quiet(uvicorn.Config(teller))
    with quiet.capture_signals():
        assert signal.getsignal(signal.SIGINT) == before
