"""The table as it is served: a real server, spoken to as a page does."""

from __future__ import annotations

import base64
import io
import json
import os
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import redirect_stdout, suppress
from http.client import HTTPConnection
from pathlib import Path

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from fabricsim.cli import main
from fabricsim.cli.commands.table.serving import TOLD_BY
from fabricsim.table.drafts.journal import lines_of
from fabricsim.table.messages.told import TellTrouble
from fabricsim.table.solving.trades import LOADED
from tests.support.laying import NEVER
from tests.support.processes import children, started_by
from tests.table.hat import TEXT
from tests.table.test_drafts import SMALL
from tests.table.visiting import PATIENCE, Served, Visitor, served

# nothing that tells on a swatch of 24 stitches takes longer to say than on a hat
TINY = SMALL.replace("across = 8", "across = 2\nplain_below = 1\nplain_above = 1").replace('"round"', '"flat"')


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A table with a small swatch on it, for tests that leave it as they found it."""
    folder = tmp_path_factory.mktemp("table")
    scene = folder / "tiny.toml"
    scene.write_text(TINY, encoding="utf-8")
    with served(folder / "state", str(scene), still=NEVER) as one:
        yield one


def test_the_built_in_hat_lies_there_at_once_and_ctrl_c_clears_it(tmp_path: Path) -> None:
    with served(tmp_path) as one:
        with one.visit() as page:
            assert page.hear().kind == "welcome"
            scene = page.until("scene")
            assert (scene.title, scene.kept, scene.file, scene.undo) == ("Seed-head hat band", False, None, 0)
            head, arrays = page.until("shape")  # the kept one: before anything was solved
            assert (head.rest, head.apart, head.revision) == (True, True, scene.revision)
            assert page.until("said").revision == scene.revision
            assert head.case == "round"
            assert len(arrays["cell"]) == scene.rows * scene.stitches
        status, err = one.end()
    assert status == 0
    assert err.splitlines() == ["The table is cleared; what lay on it is kept."]
    assert list(tmp_path.iterdir()) == []  # no secret either: nothing was changed, so there is nothing to keep


@pytest.mark.parametrize("secret", ["", "wrong", "ä"])
def test_without_the_secret_nothing_is_told(table: Served, secret: str) -> None:
    with table.visit(secret) as page, pytest.raises(ConnectionClosed) as caught:
        page.hear()
    assert caught.value.rcvd is not None
    assert caught.value.rcvd.code == 4401


@pytest.mark.parametrize("first", ['{"kind":"undo"}', "nonsense"])
def test_who_does_not_greet_is_told_nothing(table: Served, first: str) -> None:
    address = table.base.replace("http", "ws") + "/ws"
    with connect(address, origin=table.base) as socket:  # type: ignore[arg-type]
        socket.send(first)
        with pytest.raises(ConnectionClosed):
            socket.recv(PATIENCE)


@pytest.mark.parametrize("origin", [None, "http://pages.example"])
def test_a_foreign_websocket_is_refused_before_it_is_one(table: Served, origin: str | None) -> None:
    with pytest.raises(InvalidStatus) as caught:
        connect(table.base.replace("http", "ws") + "/ws", origin=origin)  # type: ignore[arg-type]
    assert caught.value.response.status_code == 403


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/", 200),
        ("/page/index.html", 200),
        ("/page/../serving/site.py", 404),
        ("/page/..%2fserving%2fsite.py", 404),
        ("/page//etc/passwd", 404),
        ("/made/key/page.html", 404),
        ("/made//..%2f..%2fetc%2fpasswd", 404),
        ("/docs", 404),
    ],
)
def test_only_files_of_the_page_are_had(table: Served, path: str, status: int) -> None:
    connection = HTTPConnection(table.base.removeprefix("http://"), timeout=PATIENCE)
    connection.request("GET", path)
    assert connection.getresponse().status == status
    connection.close()


def test_a_foreign_name_is_refused(table: Served) -> None:
    request = urllib.request.Request(f"{table.base}/", headers={"Host": "pages.example"})
    with pytest.raises(urllib.error.HTTPError) as caught:
        urllib.request.urlopen(request)
    with caught.value as answer:
        assert answer.code == 403


def test_paint_counts_at_once_and_rests_and_undo_takes_it_back(table: Served) -> None:
    with table.visit() as page:
        before = page.until("scene")
        page.ask(kind="paint", squares=[(0, 2, 1)])
        after = page.until("scene")
        assert (after.revision, after.undo, after.kept) == (before.revision + 1, before.undo + 1, False)
        assert after.chart[0] == (1, 1, 1)
        assert page.hear().kind == "counts"  # before any solve
        assert page.until("said", revision=after.revision).sure == "rest"
        assert page.until("shape", revision=after.revision, apart=True)[0].rest
        page.ask(kind="undo")
        back = page.until("scene")
        assert (back.chart, back.undo, back.redo, back.kept) == (before.chart, before.undo, 1, True)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere they begin afresh")
def test_its_processes_are_forked_of_one_that_has_loaded_what_they_need(table: Served) -> None:
    with table.visit() as page:
        page.until("said", revision=page.until("scene").revision)  # somebody has brought it to rest
    assert "/scipy/" not in Path(f"/proc/{table.process.pid}/maps").read_text("utf-8")  # it needs none of what solves
    words = [Path(f"/proc/{one}/cmdline").read_text("utf-8") for one in started_by(table.process.pid)]
    assert sum("forkserver import main" in one for one in words) > 1
    assert not any("spawn_main" in one for one in words)
    assert all(f"'{name}'" in one for one in words if "forkserver" in one for name in (*LOADED, *TOLD_BY))


def test_two_tabs_see_the_same(table: Served) -> None:
    with table.visit() as one, table.visit() as two:
        assert one.until("note", what="tabs", count=2)
        two.until("scene")
        one.ask(kind="set", values={"floats.slack": 0.01})
        assert two.until("scene").slack == 0.01
        two.ask(kind="undo")
        one.until("scene", slack=0.01)
        assert one.until("scene").slack == -0.04
    with table.visit() as page:
        assert page.until("note", what="tabs").count == 1


@pytest.mark.parametrize(
    "asked",
    [
        {"kind": "paint", "squares": [(99, 0, 0)]},
        {"kind": "set", "values": {"knitter": "/etc/passwd"}},
        {"kind": "set", "values": {"floats.slack": 7}},
        {"kind": "advice", "id": "none"},
        {"kind": "take", "id": 10**6},
        {"kind": "second", "id": 10**6},
        {"kind": "resume", "id": "../../x"},
        {"kind": "job", "command": "table"},
        {"kind": "job", "command": "draw", "options": {"out": "/tmp/x.png"}},
        {"kind": "drop", "file": {"name": "motif.txt", "data": base64.b64encode(b"q").decode()}},
        {"kind": "open", "files": [{"name": "x.toml", "data": base64.b64encode(b"no toml").decode()}]},
        {"kind": "hello", "secret": "again"},
        {"kind": "nothing of the kind"},
    ],
)
def test_what_cannot_be_done_is_said_and_changes_nothing(table: Served, asked: dict[str, object]) -> None:
    with table.visit() as page:
        before = page.until("scene")
        page.ask(**asked)
        trouble = page.until("trouble")
        assert isinstance(trouble, TellTrouble)
        assert "\n" not in trouble.words
        page.ask(kind="text")
        page.until("text")
    with table.visit() as page:
        assert page.until("scene").revision == before.revision


def test_the_newest_change_wins(table: Served) -> None:
    with table.visit() as page:
        begun = page.until("scene").revision
        for number in range(12):
            page.ask(kind="set", values={"floats.slack": -0.01 * number - 0.005}, stroke=7)
        newest = page.until("scene", revision=begun + 12)
        said = page.until("said")
        assert said.revision == newest.revision
        page.ask(kind="undo")  # one stroke, one step
        assert page.until("scene").slack == -0.04


def test_a_try_lies_beside_another(table: Served) -> None:
    with table.visit() as page:
        first = page.until("scene")
        page.until("said", revision=first.revision)
        page.ask(kind="set", values={"floats.slack": -0.08})
        tight = page.until("scene")
        now = page.until("said", revision=tight.revision)
        page.ask(kind="second", id=first.state)
        beside = page.until("said", which="second")
        assert beside.loss_percent < now.loss_percent
        assert page.until("shape", which="second", apart=True)
        page.ask(kind="take", id=first.state)
        assert page.until("scene").slack == -0.04
        page.ask(kind="undo")
        assert page.until("scene").slack == -0.08
        page.ask(kind="undo")
        assert page.until("scene").slack == -0.04
        page.ask(kind="second", id=None)
        assert page.until("tries", second=None)


def test_what_was_tried_and_what_lies_beside_outlive_the_server(tmp_path: Path) -> None:
    scene = tmp_path / "tiny.toml"
    scene.write_text(TINY, encoding="utf-8")
    with served(tmp_path / "state", str(scene), still=NEVER) as one:
        with one.visit() as page:
            page.until("said", revision=page.until("scene").revision)
            page.ask(kind="set", values={"floats.slack": -0.1})
            page.until("said", revision=page.until("scene").revision)
            page.ask(kind="second", id=0)
            page.until("said", which="second")
            page.ask(kind="look", case="repeat")
            page.until("said", which="second")  # what lies on the table has come to rest before, and so has a new loss
        with one.visit() as page:
            before = page.until("tries", second=0).each
        one.kill()
    words = ("--port", one.base.rpartition(":")[2])
    with served(tmp_path / "state", *words, still=NEVER) as again, again.visit(one.secret) as page:
        page.ask(kind="resume", id=page.until("offers").each[0].id)
        tries = page.until("tries", second=0)
        assert {one.id: (one.loss_percent, one.slack, one.chart) for one in tries.each} == {
            one.id: (one.loss_percent, one.slack, one.chart) for one in before
        }
        assert page.until("shape", which="second")


def test_a_command_makes_its_files_in_place(table: Served) -> None:
    with table.visit() as page:
        page.ask(kind="job", command="chart", options={"grey": True})
        done = page.until("done")
        assert done.status == 0
        (file,) = done.files
        with urllib.request.urlopen(table.base + file.url) as answer:
            assert answer.read(5) == b"%PDF-"
            assert answer.headers["content-type"] == file.media == "application/pdf"
        with urllib.request.urlopen(f"{table.base}{file.url}?download") as answer:
            assert answer.headers["content-disposition"].startswith("attachment")
        page.ask(kind="job", command="difficulty")
        assert page.until("done").words.startswith("Small\n")
        page.ask(kind="job", command="draw", options={"view": "face", "at": "9,1"})
        failed = page.until("done")
        assert failed.status == 2
        assert "--at" in failed.words


def test_a_job_is_stopped(table: Served) -> None:
    with table.visit() as page:
        page.ask(kind="job", command="vary", options={"runs": 1000})
        number = page.until("progress").job
        page.ask(kind="stop", job=number)
        assert page.until("done", job=number).status == 130


def test_every_change_is_in_the_file_before_it_is_told_and_outlives_a_server_that_is_killed(
    tmp_path: Path,
) -> None:
    with served(tmp_path) as one:
        with one.visit() as page:
            chart = page.until("scene").chart
            for row in range(3):
                page.ask(kind="paint", squares=[(row, 0, 1 - chart[row][0])])
                page.until("scene", undo=row + 1)
                (journal,) = tmp_path.glob("*.jsonl")
                changes = [line.record["change"] for line in lines_of(journal) if "state" in line.record]
                assert changes == ["begun", *["paint"] * (row + 1)]
            page.ask(kind="text")
            text = page.until("text").text
        one.kill()
    with served(tmp_path, "--port", one.base.rpartition(":")[2]) as again, again.visit(one.secret) as page:
        (offer,) = page.until("offers").each
        assert (offer.title, offer.changes, offer.file) == ("Seed-head hat band", 3, None)
        page.ask(kind="resume", id=offer.id)
        assert page.until("offers").each == ()
        assert page.until("scene").undo == 3
        page.ask(kind="text")
        assert page.until("text").text == text
        for _ in range(3):
            page.ask(kind="undo")
        page.until("scene", undo=0)
        page.ask(kind="text")
        assert page.until("text").text == TEXT


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="nothing tells here which processes it started")
def test_ctrl_c_ends_it_while_its_workers_die(tmp_path: Path) -> None:
    scene = tmp_path / "tiny.toml"
    scene.write_text(TINY, encoding="utf-8")
    with served(tmp_path / "state", str(scene)) as one:
        with one.visit() as page:
            page.until("said")
            for number in range(2):  # first those at work, then also the one that they are forked of
                killed(one.process.pid, also_loading=number > 0)
                came_to_rest(page, -0.01 * number)
            page.ask(kind="seek", what="changes")
            page.until("seeking", ended=None)
        killed(one.process.pid, also_loading=True)
        status, err = one.end()
    assert (status, err.splitlines()) == (0, ["The table is cleared; what lay on it is kept."])


def came_to_rest(page: Visitor, slack: float) -> None:
    """Change the slack and wait until the piece is at rest; once more if whoever worked on it was just being killed."""
    page.ask(kind="set", values={"floats.slack": slack})
    revision = page.until("scene").revision
    while True:
        told = page.hear()
        if getattr(told, "kind", None) == "said" and told.revision == revision:
            return
        if getattr(told, "what", None) == "no rest":
            page.ask(kind="set", values={"floats.slack": (slack := slack - 0.001)})
            revision = page.until("scene").revision


def killed(pid: int, *, also_loading: bool) -> None:
    """Kill the processes that work for a server; ``also_loading``: and the one that they are forked of."""
    loading = children(pid)
    for one in started_by(pid):
        with suppress(OSError):  # it has just ended by itself
            words = Path(f"/proc/{one}/cmdline").read_bytes()
            if (b"forkserver" in words or b"spawn_main" in words) and (also_loading or one not in loading):
                os.kill(one, signal.SIGKILL)


def test_the_scene_is_kept_and_opened_again_and_one_from_the_page_names_no_file_of_this_machine(
    tmp_path: Path,
) -> None:
    scene = tmp_path / "tiny.toml"
    scene.write_text(TINY, encoding="utf-8")
    drawn = 'rows = [            # as printed\n    "..x",          # the top\n    "xx.",  # the bottom\n]'
    assert drawn in SMALL

    def given(name: str, data: str) -> dict[str, str]:
        return {"name": name, "data": base64.b64encode(data.encode()).decode()}

    with served(tmp_path / "state", str(scene), still=NEVER) as one, one.visit() as page:
        assert page.until("scene").kept
        page.ask(kind="set", values={"title": "Other"})
        assert not page.until("scene", title="Other").kept
        page.ask(kind="keep")
        assert page.until("note", what="kept").text == "tiny.toml"
        assert scene.read_text(encoding="utf-8") == TINY.replace('"Small"', '"Other"')
        scene.write_text(TINY, encoding="utf-8")
        page.ask(kind="keep")
        page.until("note", what="changed on disk")
        assert scene.read_text(encoding="utf-8") == TINY
        page.ask(kind="keep", over=True)
        page.until("note", what="kept")
        assert scene.read_text(encoding="utf-8") == TINY.replace('"Small"', '"Other"')
        page.ask(kind="open")
        assert page.until("scene", title="Untitled").file is None
        page.ask(kind="open", files=[given("other.toml", TINY)])
        assert page.until("scene", title="Small").file is None
        for name in ("/etc/passwd", "../chart.txt", "chart.txt", "..", "a\\\\b"):
            page.ask(kind="open", files=[given("s.toml", SMALL.replace(drawn, f'file = "{name}"'))])
            assert "s.toml" in page.until("trouble").where
        text = SMALL.replace(drawn, 'file = "chart.txt"')
        page.ask(kind="open", files=[given("s.toml", text), given("chart.txt", "x..\n.xx\n")])
        assert page.until("scene", title="Small").chart == ((0, 1, 1), (1, 0, 0))
        page.ask(kind="paint", squares=[(0, 0, 1)])
        assert page.until("scene", undo=1).chart == ((1, 1, 1), (1, 0, 0))


def test_two_servers_know_of_each_other(table: Served) -> None:
    with served(table.folder, str(table.folder.parent / "tiny.toml"), still=NEVER) as two:
        assert table.base != two.base
        with two.visit() as page:
            assert page.until("welcome").others == (table.base,)
            assert page.until("offers").each == ()


def test_a_port_that_is_taken_is_said(tmp_path: Path, table: Served) -> None:
    port = table.base.rpartition(":")[2]
    command = [sys.executable, "-m", "fabricsim", "table", "--no-browser", "--port", port]
    done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE)
    assert done.returncode == 2
    assert done.stderr.startswith(f"fabricsim: --port: given {port} (")
    assert done.stdout == ""


def test_a_wrong_scene_is_said_before_anything_is_served(tmp_path: Path) -> None:
    scene = tmp_path / "wrong.toml"
    scene.write_text("title = 1", encoding="utf-8")
    command = [sys.executable, "-m", "fabricsim", "table", "--no-browser", str(scene)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE)
    assert (done.returncode, done.stdout) == (2, "")
    assert "wrong.toml" in done.stderr


def test_the_table_says_what_preview_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fabricsim.cli.commands.preview.pictures.pictures", lambda *_: ({}, {}))  # none is asked about
    scene = tmp_path / "tiny.toml"
    scene.write_text(TINY.replace("-0.04", "-0.06"), encoding="utf-8")

    def previewed(*words: str) -> dict[str, dict[str, object]]:
        with redirect_stdout(io.StringIO()) as said:
            assert main(["preview", str(scene), "--json", "--out", str(tmp_path / "out"), *words]) == 0
        told: dict[str, dict[str, object]] = json.loads(said.getvalue())
        return told

    with served(tmp_path / "state", str(scene)) as one, one.visit() as page:
        page.ask(kind="paint", squares=[(0, 2, 1)])
        page.until("scene", undo=1)
        page.ask(kind="keep")
        rest, likely = page.until("said", sure="rest"), page.until("said", sure="likely")
    for said, told in ((rest, previewed("--draft")), (likely, previewed())):
        assert said.loss_percent == pytest.approx(told["draw_in"]["nominal_percent"], rel=1e-6)
        assert said.width_cm == pytest.approx(told["draw_in"]["width_cm"], rel=1e-6)
        assert said.pucker_mm == pytest.approx(told["pucker"]["nominal_mm"], rel=1e-6)
        assert said.greatest_cN == pytest.approx(told["floats"]["greatest_tension_cN"], rel=1e-6)
        assert (said.floats, said.over, said.taut) == tuple(
            told["floats"][key] for key in ("count", "over_limit", "taut")
        )
        assert list(said.advice) == told["advice"]
    ends = (told["draw_in"]["low_percent"], told["draw_in"]["high_percent"])
    assert likely.likely_loss_percent == pytest.approx(ends, rel=1e-6)
    assert rest.likely_loss_percent is None
