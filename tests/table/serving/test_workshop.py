"""What jobs are called, what they are given, and which of their files are had."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.errors import InputError
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs.work import Errand, Tell, _surroundings
from fabricsim.table.messages.told import TellDone, TellProgress
from fabricsim.table.serving import workshop
from fabricsim.table.serving.workshop import MOST_WAITING, Workshop, file_name
from tests.table.serving.stand_ins import apart
from tests.table.test_drafts import draft


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Seed-head hat band", "seed-head-hat-band"),
        ("Mütze  für Åse!", "mutze-fur-ase"),
        ("帽子", "piece"),
        ("", "piece"),
        ("../x" * 40, "-".join("x" * 40)[:60]),
    ],
)
def test_files_are_called_after_the_piece_on_every_system(title: str, name: str) -> None:
    assert file_name(title) == name


def test_a_command_prints_plain_text_on_every_system() -> None:
    given = _surroundings({"PATH": "here", "COLUMNS": "40"})
    assert given.pop("COLUMNS") != "40"
    assert given == {"PATH": "here", "PYTHONUTF8": "1", "NO_COLOR": "1", "PYTHONSAFEPATH": "1"}


def test_a_file_is_had_by_the_key_of_its_job_and_none_from_elsewhere(tmp_path: Path) -> None:
    async def ask() -> None:
        shop = Workshop(lambda told: None)
        job = Errand(1, "draw", ["draw"], tmp_path / "1", "key")
        job.folder.mkdir()
        (job.folder / "picture.png").write_bytes(b"made")
        (tmp_path / "other.txt").write_bytes(b"not made")
        shop._jobs[1] = job
        assert shop.file("key", "picture.png") == (job.folder / "picture.png").resolve()
        for key, name in (("another", "picture.png"), ("key", "../other.txt"), ("key", "."), ("key", "none.png")):
            assert shop.file(key, name) is None
        await shop.emptied()

    apart(ask)


def test_only_so_many_jobs_wait_and_what_is_stopped_before_it_began_says_so() -> None:
    told: list[object] = []

    async def ask() -> None:
        shop = Workshop(told.append)
        for _ in range(MOST_WAITING):
            shop.ask("floats", {}, draft())
        with pytest.raises(InputError, match=rf"^job: given one more; allowed: at most {MOST_WAITING} at a time; stop"):
            shop.ask("floats", {}, draft())
        with pytest.raises(InputError, match=r"^command: given 'table'"):
            shop.ask("table", {}, draft())
        shop.stop(99)
        shop.end()
        await asyncio.sleep(0)
        await asyncio.sleep(0)
        assert shop._tasks == {}  # others may be asked for in their place
        await shop.emptied()
        assert not shop._folder.exists()

    apart(ask)
    numbers = range(1, MOST_WAITING + 1)
    begun = [TellProgress(job=number, command="floats", share=None, words="") for number in numbers]
    stopped = [TellDone(job=number, command="floats", status=130, words="", files=()) for number in numbers]
    assert told == begun + stopped


class WorkingAt:
    """In place of the work at jobs: which of them are at work, until they are ``let`` go on."""

    def __init__(self) -> None:
        self.begun: list[Errand] = []
        self.let: dict[int, asyncio.Event] = {}
        self.given: list[object] = []
        self.fault: Exception | None = None

    async def __call__(self, job: Errand, scene: SceneText, name: str, tell: Tell) -> None:
        self.begun.append(job)
        self.given.append((scene, name, tell))
        (job.folder / "made.txt").write_bytes(b"made")
        self.let[job.number] = asyncio.Event()
        await self.let[job.number].wait()
        if self.fault:
            raise self.fault


def in_workshop(patch: pytest.MonkeyPatch, then: Callable[[Workshop, WorkingAt, list[object]], Any]) -> None:
    work, told = WorkingAt(), list[object]()
    patch.setattr(workshop, "worked", work)

    async def do() -> None:
        shop = Workshop(told.append)
        try:
            await then(shop, work, told)
        finally:
            for event in work.let.values():
                event.set()
            await shop.emptied()

    apart(do)


async def a_while() -> None:
    for _ in range(5):
        await asyncio.sleep(0)


def test_two_are_at_work_together_and_the_next_when_one_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    async def do(shop: Workshop, work: WorkingAt, told: list[object]) -> None:
        piece = draft()
        for command in ("floats", "sizes", "yarn", "draw"):
            shop.ask(command, {"json": True} if command == "sizes" else {}, piece)
        await a_while()
        assert [(job.number, job.words) for job in work.begun] == [(1, ["floats"]), (2, ["sizes", "--json"])]
        assert work.given == [(piece, "small", told.append)] * 2
        first = work.begun[0]
        assert (first.folder.parent, first.folder.name, len(first.key)) == (shop._folder, "1", 22)
        assert first.key != work.begun[1].key
        assert shop.file(first.key, "made.txt") is None  # it is not done
        work.let[1].set()
        await a_while()
        assert [job.command for job in work.begun] == ["floats", "sizes", "yarn"]
        assert shop.file(first.key, "made.txt") == (first.folder / "made.txt").resolve()
        shop.stop(1)
        assert not first.stopped  # it is done
        shop.stop(4)  # it waits
        shop.stop(2)
        await a_while()
        assert told[4:] == [
            TellDone(job=number, command=name, status=130, words="", files=())
            for number, name in ((4, "draw"), (2, "sizes"))
        ]
        assert work.begun[1].stopped

    in_workshop(monkeypatch, do)


def test_what_has_a_process_is_stopped_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    async def do(shop: Workshop, work: WorkingAt, told: list[object]) -> None:
        killed: list[bool] = []
        shop.ask("floats", {}, draft())
        await a_while()
        process: Any = SimpleNamespace(kill=lambda: killed.append(True))
        work.begun[0].process = process
        shop.end()
        await a_while()
        assert (killed, len(told)) == ([True], 1)  # what it comes to is told by its end

    in_workshop(monkeypatch, do)


def test_a_fault_at_work_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    async def do(shop: Workshop, work: WorkingAt, told: list[object]) -> None:
        work.fault = ZeroDivisionError("by nought")
        shop.ask("floats", {}, draft())
        await a_while()
        work.let[1].set()
        await a_while()
        words = "a fault of fabricsim's own: ZeroDivisionError: by nought"
        assert told[1:] == [TellDone(job=1, command="floats", status=1, words=words, files=())]

    in_workshop(monkeypatch, do)


def test_of_what_was_made_the_last_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workshop, "KEPT", 2)

    async def do(shop: Workshop, work: WorkingAt, told: list[object]) -> None:
        for number in range(1, 5):
            shop.ask("floats", {}, draft())
            await a_while()
            work.let[number].set()
            await a_while()
        there = [shop.file(job.key, "made.txt") is not None for job in work.begun]
        assert there == [False, False, True, True]
        assert sorted(path.name for path in shop._folder.iterdir()) == ["3", "4"]
        shop.ask("floats", {}, draft())  # at work: not to be forgotten
        await a_while()
        assert sorted(path.name for path in shop._folder.iterdir()) == ["4", "5"]

    in_workshop(monkeypatch, do)
