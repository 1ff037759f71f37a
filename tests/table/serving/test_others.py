"""Other tables of this machine: asked over a real connection, and looked for in journals."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import pytest

from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.left import Left
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.serving import others
from fabricsim.table.serving.others import answers, is_open, same_file
from tests.table.test_drafts import SMALL

HERE = "127.0.0.1"


@contextmanager
def a_table(said: bytes) -> Iterator[int]:
    """Have something answer at a port as a table does that says which piece lies there."""

    class Says(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200 if self.path == "/alive" else 404)
            self.end_headers()
            self.wfile.write(said if self.path == "/alive" else b"piece")

        def log_message(self, *what: object) -> None:
            pass

    with HTTPServer((HERE, 0), Says) as server:
        Thread(target=server.serve_forever, kwargs={"poll_interval": 0.005}, daemon=True).start()
        yield server.server_port
        server.shutdown()


def test_a_table_is_known_by_the_piece_that_lies_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(others, "PATIENCE", 20.0)  # on a busy machine too
    with a_table(b"piece") as port:
        left = Left(Path("piece.jsonl"), "Small", 2, 0.0, None, (HERE, port))
        assert answers(HERE, port, "piece")
        assert not answers(HERE, port, "another")
        assert is_open(left)
        assert not is_open(Left(Path("piece.jsonl"), "Small", 2, 0.0, None, None))
    assert not answers(HERE, port, "piece")  # nobody listens there any more
    with a_table(b"\xff" + b"x" * 300) as port:
        assert answers(HERE, port, "\ufffd" + "x" * 199)  # which no piece is called


def test_who_says_nothing_is_no_table_and_waited_for_briefly() -> None:
    with socket.create_server((HERE, 0)) as mute:
        assert not answers(HERE, mute.getsockname()[1], "piece")
    assert not answers(HERE, 10**6, "piece")
    assert not answers("", 0, "piece")


def test_tables_with_the_same_file_are_those_that_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[str, int, str]] = []

    def alive(host: str, port: int, name: str) -> bool:
        asked.append((host, port, name))
        return port != 3

    monkeypatch.setattr(others, "answers", alive)
    draft = SceneText(SMALL, tmp_path / "small.toml")

    def lies(name: str, file: str | None, *ports: int) -> History:
        history = History.begun(tmp_path, name, draft, file)
        for port in ports:
            history.note({"served": (HERE, port)})
        return history

    mine = lies("mine", "small.toml", 1)
    all_of_them = [
        mine,
        lies("same", "small.toml", 8, 2),  # it was killed and lies somewhere else now
        lies("dead", "small.toml", 3),
        lies("other", "large.toml", 4),
        lies("never served", "small.toml"),
        lies("none", None, 5),
    ]
    (tmp_path / "empty.jsonl").write_bytes(b"")
    assert list(same_file(tmp_path, mine)) == [f"http://{HERE}:2"]
    assert sorted(asked) == [(HERE, 2, "same"), (HERE, 3, "dead")]
    assert list(same_file(tmp_path, all_of_them[-1])) == []
    monkeypatch.setattr(others, "LOOKED_AT", 1)
    assert list(same_file(tmp_path, mine)) == []
    for one in all_of_them:
        one.journal.close()
