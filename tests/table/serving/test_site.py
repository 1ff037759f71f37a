"""What the server answers, asked as a server asks an application: its files, files that were made, and the talk."""

from __future__ import annotations

import asyncio
import json
import mimetypes
import re
from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.table.messages.asked import AskPaint, AskUndo
from fabricsim.table.messages.told import TOLD, TellNote, TellTrouble
from fabricsim.table.serving import site as site_module
from fabricsim.table.serving.guard import POLICY_OF_MADE, policy_of_made
from fabricsim.table.serving.site import DRAWING, KINDS, NO_SECRET, PAGE, site
from fabricsim.table.serving.tab import Tab
from tests.table.serving.stand_ins import apart

SECRET = "sécret"
HELLO = {"kind": "hello", "secret": SECRET, "tab": "mine"}


class DeskAsked:
    """A desk that keeps what it is asked, and gives the files of a folder to whoever knows the key."""

    def __init__(self, folder: Path = Path("nowhere")) -> None:
        self.folder, self.happened = folder, list[Any]()
        self.workshop = SimpleNamespace(file=self._file)
        self.history = SimpleNamespace(journal=SimpleNamespace(path=Path("somewhere/20260101-name.jsonl")))

    def _file(self, key: str, name: str) -> Path | None:
        return self.folder / name if key == "key" else None

    def join(self, tab: Tab) -> None:
        self.happened.append(("join", tab.name))
        tab.tell(TellNote(what="tabs", count=1))

    def answer(self, tab: Tab, asked: object) -> None:
        self.happened.append(asked)
        tab.tell(TellNote(what="kept", text=tab.name))

    def leave(self, tab: Tab) -> None:
        self.happened.append(("leave", tab.name))


def had(path: str, folder: Path = Path("nowhere"), query: str = "") -> tuple[int, dict[str, str], bytes]:
    """Return status, head and body of the answer to a request."""
    sent: list[Any] = []

    async def receive() -> dict[str, object]:
        await asyncio.sleep(20.0)  # the page stays
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "GET", "path": path, "raw_path": path.encode(), "root_path": "", "headers": [],
        "query_string": query.encode(), "scheme": "http", "http_version": "1.1", "server": ("127.0.0.1", 4810),
    }  # fmt: skip
    app = site(lambda: DeskAsked(folder), SECRET)  # type: ignore[arg-type, return-value]

    async def ask() -> None:
        await app(scope, receive, send)

    apart(ask)
    head = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
    return sent[0]["status"], head, b"".join(one.get("body", b"") for one in sent[1:])


def test_the_page_and_all_that_it_names_is_had() -> None:
    status, head, body = had("/")
    assert (status, head["content-type"].partition(";")[0]) == (200, "text/html")
    assert body == (PAGE / "index.html").read_bytes()
    named = re.findall(r'(?:src|href)="(?!data:)/?(page/[^"]+)"', body.decode())
    assert named
    for path in named:
        assert had(f"/{path}")[0] == 200
    script = next(DRAWING.glob("*.js"))
    status, head, body = had(f"/page/gl/{script.name}")
    assert (status, body) == (200, script.read_bytes())
    assert head["content-type"].startswith("text/javascript")
    assert had("/page/gl/none.js")[0] == had("/page/none.js")[0] == had("/docs")[0] == 404


def test_files_are_what_the_page_takes_them_for_on_every_system() -> None:
    for ending in KINDS:  # as a Windows machine may have it
        mimetypes.add_type("text/plain", ending)
    site(lambda: DeskAsked(), SECRET)  # type: ignore[arg-type, return-value]
    assert {ending: mimetypes.guess_type(f"a{ending}")[0] for ending in KINDS} == {
        ".js": "text/javascript",
        ".mjs": "text/javascript",
        ".css": "text/css",
        ".html": "text/html",
        ".svg": "image/svg+xml",
        ".json": "application/json",
        ".woff2": "font/woff2",
    }


def test_other_servers_are_told_which_piece_lies_here() -> None:
    status, _, body = had("/alive")
    assert (status, body) == (200, b"20260101-name")


@pytest.mark.parametrize("name", ["lesson.html", "sheet.pdf"])
def test_what_a_job_made_is_had_by_its_key_under_a_policy_of_its_own(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(b"made")
    status, head, body = had(f"/made/key/{name}", tmp_path)
    assert (status, body, "content-disposition" in head) == (200, b"made", False)
    assert head["content-security-policy"] == policy_of_made(Path(name))
    assert (head["content-security-policy"] == POLICY_OF_MADE) == (name == "lesson.html")
    head = had(f"/made/key/{name}", tmp_path, "download")[1]
    assert head["content-disposition"] == f'attachment; filename="{name}"'
    status, head, body = had(f"/made/another/{name}", tmp_path)
    assert (status, body) == (404, b"fabricsim: there is no such file, or no longer\n")


def talked(*texts: object, desk: DeskAsked | None = None) -> list[dict[str, Any]]:
    """Return what the websocket sends to a page that sends these texts (or bytes, or nothing any more) and leaves."""
    sent: list[dict[str, Any]] = []
    waiting: list[dict[str, Any]] = [{"type": "websocket.connect"}]
    for text in texts:
        how = "bytes" if isinstance(text, bytes) else "text"
        waiting.append(
            {"type": "websocket.receive", how: json.dumps(text) if isinstance(text, dict) else text}
            if text is not None
            else {"type": "websocket.disconnect", "code": 1006}
        )

    async def receive() -> dict[str, Any]:
        for _ in range(3):  # so that what it has to say is said first
            await asyncio.sleep(0)
        if not waiting:
            await asyncio.sleep(20.0)
        return waiting.pop(0)

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "websocket", "path": "/ws", "raw_path": b"/ws", "root_path": "", "headers": [], "query_string": b"",
        "scheme": "ws", "subprotocols": [], "server": ("127.0.0.1", 4810),
    }  # fmt: skip
    app = site(lambda: desk or DeskAsked(), SECRET)  # type: ignore[arg-type, return-value]

    async def talk() -> None:
        await asyncio.wait_for(app(scope, receive, send), 10.0)
        assert asyncio.all_tasks() == {asyncio.current_task()}  # nothing goes on for a page that is gone

    apart(talk)
    assert sent[0]["type"] == "websocket.accept"
    return sent[1:]


def told(sent: Sequence[dict[str, Any]]) -> list[Any]:
    return [TOLD.validate_json(one["text"]) for one in sent]


JOINED = TellNote(what="tabs", count=1)
KEPT = TellNote(what="kept", text="mine")


def test_who_greets_with_the_secret_is_joined_heard_and_left() -> None:
    desk = DeskAsked()
    paint = {"kind": "paint", "squares": [[0, 2, 1]]}
    assert told(talked(HELLO, {"kind": "undo"}, paint, None, desk=desk)) == [JOINED, KEPT, KEPT]
    assert desk.happened == [
        ("join", "mine"), AskUndo(kind="undo"), AskPaint(kind="paint", squares=((0, 2, 1),)), ("leave", "mine"),
    ]  # fmt: skip


def test_bytes_end_the_talk() -> None:
    desk = DeskAsked()
    assert told(talked(HELLO, b"\x00", desk=desk)) == [JOINED]
    assert desk.happened[-1] == ("leave", "mine")


@pytest.mark.parametrize(
    "first",
    [HELLO | {"secret": "secret"}, HELLO | {"secret": ""}, {"kind": "undo"}, "nonsense", b"\x00"],
)
def test_who_does_not_know_the_secret_is_told_where_to_go(first: object) -> None:
    desk = DeskAsked()
    assert talked(first, desk=desk) == [
        {"type": "websocket.close", "code": NO_SECRET, "reason": "open the address that the terminal shows"}
    ]
    assert desk.happened == []


def test_who_says_nothing_is_let_go_after_a_while(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(site_module, "PATIENCE", 0.001)
    (closed,) = talked()
    assert closed["code"] == NO_SECRET


@pytest.mark.parametrize(
    ("text", "where", "why"),
    [
        ({"kind": "paint", "squares": [[0, 0, -1]]}, "paint.squares.0.2", "Input should be greater than or equal to 0"),
        ({"kind": "undo", "more": 1}, "undo.more", "Extra inputs are not permitted"),
    ],
)
def test_what_is_no_message_is_said_in_one_line_and_the_talk_goes_on(text: object, where: str, why: str) -> None:
    trouble = TellTrouble(
        asked="message",
        where=where,
        given="what is no message of this server's",
        allowed=why,
        todo="load the page again",
        words=f"{where}: {why}; load the page again",
    )
    assert told(talked(HELLO, text, {"kind": "undo"}, None)) == [JOINED, trouble, KEPT]
