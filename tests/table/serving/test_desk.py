"""What a desk does with each message and tells whom, word by word; who works on it are stand-ins."""

from __future__ import annotations

import asyncio
import base64
import errno
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fabricsim.table.drafts.history import History, RestOutcome
from fabricsim.table.drafts.journal import lines_of
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs.menu import MENU
from fabricsim.table.messages.asked import ASKED
from fabricsim.table.messages.fabrics import Suggestion, TellAdvice, TellCounts, TellTries, TellWorking
from fabricsim.table.messages.sought import CameOf, TellSeeking, TellWays
from fabricsim.table.messages.told import (
    Offer,
    TellNote,
    TellOffers,
    TellScene,
    TellText,
    TellTrouble,
    TellWelcome,
    ToldCommand,
)
from fabricsim.table.serving import desk as desk_module
from fabricsim.table.serving.desk import Desk
from fabricsim.table.serving.telling import scene_told
from fabricsim.table.solving.counting import counted
from fabricsim.table.solving.order import Candidates, FoundWays, Quest
from tests.table.serving.stand_ins import SAID, SEARCHERS, DeafTab, IdleWorker, apart, idle_workers, teller
from tests.table.test_drafts import SMALL

SERVED = ("127.0.0.1", 4810)
PAINTED = SMALL.replace('"xx."', '"xxx"')
PAINT = {"kind": "paint", "squares": [(0, 2, 1)]}


class AtDesk:
    """A desk with one page at it, ``tab``; ``workers``: who settles, ponders and looks for something."""

    def __init__(self, folder: Path, workers: list[IdleWorker], file: Path | None) -> None:
        self.folder, self.workers = folder, workers
        first = SceneText(SMALL, file or Path("small.toml"))
        self.desk = Desk(
            History.begun(folder, "piece", first, None if file is None else str(file)),
            teller, SEARCHERS, "9.9", SERVED,
        )  # fmt: skip
        self.tab = DeafTab()

    @property
    def history(self) -> History:
        return self.desk.history

    async def ask(self, **asked: Any) -> list[Any]:
        """Return what the page hears when it asks for something."""
        self.tab.new()
        self.desk.answer(self.tab, ASKED.validate_python(asked))  # type: ignore[arg-type]
        await asyncio.sleep(0)
        return self.tab.new()

    async def said(self, **asked: Any) -> str:
        """Return the one line of what can't be done."""
        (trouble,) = await self.ask(**asked)
        assert isinstance(trouble, TellTrouble)
        assert trouble.asked == asked["kind"]
        line = f"{trouble.where}: given {trouble.given}; allowed: {trouble.allowed}; {trouble.todo}"
        assert trouble.words == line
        return line

    def laid(self, revision: int) -> list[Any]:
        """Return what a page hears when the piece was laid there anew, before anything was tried of it."""
        case = self.desk.fabric.case
        return [
            scene_told(self.history, revision, case),
            counted(self.history.draft.scene, revision, case),
            TellTries(now=self.history.now, second=self.history.beside, each=()),
        ]


def at_desk(patch: pytest.MonkeyPatch, folder: Path, then: Callable[[AtDesk], Any], file: Path | None = None) -> None:
    """Do something at a desk, in a loop."""

    async def do() -> None:
        one = AtDesk(folder, idle_workers(patch), file)
        await asyncio.sleep(0)
        one.desk.join(one.tab)  # type: ignore[arg-type]
        try:
            await then(one)
        finally:
            await one.desk.workshop.emptied()
            one.history.journal.close()

    apart(do)


def test_a_page_is_shown_all_there_is(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(desk_module, "same_file", lambda folder, history: iter([f"{folder.name} {history.path}"]))

    async def do(at: AtDesk) -> None:
        menu = tuple(ToldCommand(name=name, options=tuple(dish.options)) for name, dish in MENU.items())
        others = (f"{tmp_path.name} small.toml",)
        welcome = TellWelcome(version="9.9", tabs=1, others=others, commands=menu)
        scene, counts, tries = at.laid(1)
        assert at.tab.new() == [
            welcome, TellOffers(each=()), scene, tries, counts, TellNote(what="tabs", count=1),
        ]  # fmt: skip
        second = DeafTab()
        at.desk.join(second)  # type: ignore[arg-type]
        assert at.tab.new() == [TellNote(what="tabs", count=2)]
        assert second.new()[0] == welcome.model_copy(update={"tabs": 2})
        at.desk.tell(SAID)
        assert at.tab.new() == second.new() == [SAID]
        await at.ask(kind="seek", what="costs")
        third = DeafTab()
        at.desk.join(third)  # type: ignore[arg-type]
        assert TellSeeking(what="costs") in third.new()
        at.tab.new()
        at.desk.leave(second)  # type: ignore[arg-type]
        at.desk.leave(third)  # type: ignore[arg-type]
        assert at.tab.new() == [TellNote(what="tabs", count=2), TellNote(what="tabs", count=1)]
        settler, ponderer, looker = at.workers
        assert (settler.teller, ponderer.teller, looker.teller) == (teller, teller, teller)
        assert looker.loaded.args == (SEARCHERS,)  # type: ignore[attr-defined]
        assert [order.revision for order in settler.asked] == [1]

    at_desk(monkeypatch, tmp_path, do)
    (_, _, *notes) = [line.record for line in lines_of(tmp_path / "piece.jsonl")]
    assert notes == [{"served": list(SERVED)}]


def test_a_change_is_told_and_ordered_and_undo_takes_it_back(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        assert await at.ask(**PAINT) == at.laid(2)
        assert (at.history.draft.text, at.history.change(1), len(at.history)) == (PAINTED, "paint", 2)
        assert await at.ask(**PAINT) == []  # it is painted so
        assert await at.ask(kind="set", values={"title": "Other"}) == at.laid(3)  # of no stroke: another step
        assert [order.text for order in at.workers[0].asked[1:]] == [PAINTED, PAINTED.replace("Small", "Other")]
        assert (at.history.undo_steps, at.history.change(2)) == (2, "set")
        assert await at.ask(kind="undo") == at.laid(4)
        assert await at.ask(kind="undo") == at.laid(5)
        assert (at.history.now, await at.ask(kind="undo")) == (0, [])
        assert await at.ask(kind="redo") == at.laid(6)
        assert await at.ask(kind="redo") == at.laid(7)
        assert (at.history.now, await at.ask(kind="redo")) == (2, [])

    at_desk(monkeypatch, tmp_path, do)


def given(name: str, text: str) -> dict[str, str]:
    return {"name": name, "data": base64.b64encode(text.encode()).decode()}


WHOLE = {"row": 0, "column": 0, "rows": 2, "columns": 3}


@pytest.mark.parametrize(
    "change",
    [
        lambda number: {"kind": "paint", "squares": [(0, 2, 1 - number % 2)]},
        lambda number: {"kind": "chart", "rows": [[0, 1, 0], [number % 2, 0, 1]]},
        lambda number: {"kind": "motif", "do": "shift", "by": (0, 1), "box": WHOLE},
        lambda number: {"kind": "size", "rows": 3 + number, "stitches": 4},
        lambda number: {"kind": "set", "values": {"title": f"No. {number}"}},
        lambda number: {"kind": "drop", "file": given("a.txt", ".x\n" * (3 + number))},
    ],
    ids=["paint", "chart", "motif", "size", "set", "drop"],
)
def test_changes_of_one_stroke_are_one_step(
    change: Callable[[int], dict[str, Any]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    async def do(at: AtDesk) -> None:
        for number, (stroke, steps) in enumerate(
            [({}, 1), ({}, 2), ({"stroke": 0}, 3), ({"stroke": 0}, 4), ({"stroke": 7}, 5), ({"stroke": 7}, 5)]
        ):
            (scene, *_) = await at.ask(**change(number), **stroke)
            assert isinstance(scene, TellScene)
            assert (scene.undo, scene.state) == (steps, number + 1)

    at_desk(monkeypatch, tmp_path, do)


def test_yarns_come_and_go_by_steps(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        (more, *_) = await at.ask(kind="add yarn", name="rust", colour="#a04020")
        (less, *_) = await at.ask(kind="take yarn away", yarn=2, instead=0)
        assert (len(more.yarns), len(less.yarns), less.undo) == (3, 2, 2)
        assert [at.history.change(number) for number in (0, 1, 2)] == ["begun", "add yarn", "take yarn away"]

    at_desk(monkeypatch, tmp_path, do)


def test_states_are_gone_to_and_laid_beside_by_number(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        there = "state: given no. 1; allowed: 0 to 0; choose one that was tried"
        assert await at.said(kind="take", id=1) == there
        assert await at.said(kind="second", id=1) == there
        await at.ask(**PAINT)
        assert await at.ask(kind="take", id=0) == at.laid(3)
        assert (at.history.now, at.history.draft.text, at.history.change(2)) == (2, SMALL, "take: 0")
        assert await at.ask(kind="second", id=1) == [TellTries(now=2, second=1, each=())]
        beside = at.workers[0].asked[-1]
        assert (beside.which, beside.state, beside.text, at.history.beside) == ("second", 1, PAINTED, 1)
        assert await at.ask(kind="second", id=None) == [TellTries(now=2, second=None, each=())]
        assert (len(at.workers[0].asked), at.history.beside) == (4, None)

    at_desk(monkeypatch, tmp_path, do)


def test_advice_and_ways_that_were_found_become_the_scene(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        settler, ponderer, looker = at.workers
        none = "advice: given 'one'; allowed: none; choose one that is offered now"
        assert await at.said(kind="advice", id="one") == none
        one = Suggestion(id="one", what="catch", over_before=1, over_after=0)
        ponderer.answers(settler.asked[-1], Candidates(((one, PAINTED),)))
        await asyncio.sleep(0)
        assert at.tab.new() == [TellAdvice(revision=1, each=(one,))]
        assert await at.ask(kind="advice", id="one") == at.laid(2)
        assert (at.history.draft.text, at.history.change(1)) == (PAINTED, "advice: one")
        now = CameOf(loss_percent=1.0, pucker_mm=1.0, over=0)
        told = TellWays(what="changes", state=1, wanted="less", now=now, ways=(), notes=())
        assert await at.ask(kind="seek", what="changes") == [TellSeeking(what="changes")]
        assert looker.asked[0] == replace(settler.asked[-1], revision=1, search=Quest("changes", 3.0, False))
        looker.answers(looker.asked[0], FoundWays(told, {"one": SMALL}))
        assert await at.ask(kind="advice", id="two") != []
        assert await at.ask(kind="advice", id="one") == at.laid(3)
        assert at.history.draft.text == SMALL
        await at.ask(kind="seek", what="places", may_lose=1.5, flat=True)
        assert looker.asked[1].search == Quest("places", 1.5, True)
        assert await at.ask(kind="leave") == [TellSeeking(what="places", ended="stopped")]
        settler.answers(settler.asked[-1], TellWorking(revision=3, on="idle"))
        await asyncio.sleep(0)
        at.desk.fabric._ponder(settler.asked[-1])
        assert await at.ask(kind="leave") == [TellWorking(revision=3, on="idle")]
        assert ponderer.told[-1] == "drop"

    at_desk(monkeypatch, tmp_path, do)


def test_a_piece_is_looked_at_otherwise(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        assert await at.ask(kind="look", case="repeat", steps=6) == at.laid(2)
        scene, counts, _ = at.laid(2)
        assert (scene.case, counts.count) == ("repeat", counted(at.history.draft.scene, 1, "repeat").count)
        assert (at.workers[0].asked[-1].case, at.workers[0].asked[-1].steps) == ("repeat", 6)
        assert await at.ask(kind="look", case="repeat") == []
        assert (at.workers[0].asked[-1].shows, at.workers[0].asked[-1].steps) == ("rest", 12)
        assert len(at.history) == 1  # it is no change of the scene
        (seen, *_) = await at.ask(kind="look")
        assert seen.case == "round"

    at_desk(monkeypatch, tmp_path, do)


def test_another_piece_is_laid_there_and_the_one_that_was_is_offered(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(desk_module, "is_open", lambda left: left.title == "Open elsewhere")

    async def do(at: AtDesk) -> None:
        await at.ask(**PAINT)
        settler, _, looker = at.workers
        await at.ask(kind="seek", what="costs")
        offers, scene, *_ = (await at.ask(kind="open", files=[given("other.toml", SMALL.replace("Small", "Other"))]))[
            1:
        ]
        assert (scene.title, scene.revision, scene.file, scene.state) == ("Other", 3, None, 0)
        (offer,) = offers.each
        when = (tmp_path / "piece.jsonl").stat().st_mtime
        assert offer == Offer(id="piece", title="Small", changes=1, when=when, file=None)
        assert looker.told == ["ask", "drop"]
        assert list(at.desk.looking.known) == []
        journal = at.history.journal.path
        assert [line.record for line in lines_of(journal)][-1] == {"served": list(SERVED)}
        assert settler.asked[-1].text == at.history.draft.text

        assert (
            await at.said(kind="resume", id="another")
            == "resume: given 'another'; allowed: a piece that is offered; choose one of them"
        )
        offers, scene, *_ = await at.ask(kind="resume", id="piece")
        assert (scene.title, scene.undo, scene.revision, offers) == ("Small", 1, 4, TellOffers(each=()))
        assert not journal.exists()  # nobody changed what was opened
        assert at.history.draft.text == PAINTED

        plain = await at.ask(kind="open")
        assert (plain[1].title, len(plain[0].each)) == ("Untitled", 1)
        assert await at.ask(kind="resume", id=None) == [TellOffers(each=())]
        assert '{"let go":true}' in (tmp_path / "piece.jsonl").read_text()
        await at.said(kind="resume", id="piece")
        late = DeafTab()
        at.desk.join(late)  # type: ignore[arg-type]
        assert late.new()[1] == TellOffers(each=())

    at_desk(monkeypatch, tmp_path, do)


def test_a_scene_is_kept_in_its_file_or_given(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(SMALL, encoding="utf-8")
    kept, changed = TellNote(what="kept", text="mine.toml"), TellNote(what="changed on disk", text="mine.toml")

    async def do(at: AtDesk) -> None:
        await at.ask(**PAINT)
        assert await at.ask(kind="keep") == [kept, scene_told(at.history, 2, None)]
        assert (file.read_text(encoding="utf-8"), at.history.is_kept) == (PAINTED, True)
        file.write_text("of somebody else", encoding="utf-8")
        assert await at.ask(kind="keep") == [changed]
        assert file.read_text(encoding="utf-8") == "of somebody else"
        assert (await at.ask(kind="keep", over=True))[0] == kept
        assert file.read_text(encoding="utf-8") == PAINTED
        text = TellText(name="small.toml", text=PAINTED, files={})
        assert await at.ask(kind="text") == [text]
        await at.ask(kind="open", files=[given("other.toml", SMALL)])
        other = DeafTab()
        at.desk.join(other)  # type: ignore[arg-type]
        other.new()
        assert await at.ask(kind="keep") == [text.model_copy(update={"text": SMALL})]
        assert other.new() == []

    at_desk(monkeypatch, tmp_path / "state", do, file)


def test_jobs_are_asked_for_by_the_menu(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        asked: list[object] = []
        monkeypatch.setattr(at.desk.workshop, "ask", lambda *what: asked.append(what))
        monkeypatch.setattr(at.desk.workshop, "stop", asked.append)
        assert await at.ask(kind="job", command="draw", options={"bare": True}) == []
        assert await at.ask(kind="stop", job=3) == []
        assert await at.ask(kind="job", command="sheet") == []
        draft = at.history.draft
        assert asked == [("draw", {"bare": True}, draft), 3, ("sheet", {}, draft)]

    at_desk(monkeypatch, tmp_path, do)


def test_what_cannot_be_done_is_one_line_to_who_asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        other = DeafTab()
        at.desk.join(other)  # type: ignore[arg-type]
        other.new()
        wrong = "small.toml: chart: given yarn no. 6; allowed: yarns 1 to 2; add the yarn first"
        assert await at.said(kind="paint", squares=[(0, 0, 5)]) == wrong
        greeting = "hello: given a greeting; allowed: one, at the beginning; open another page"
        assert await at.said(kind="hello", secret="") == greeting
        room = "; allowed: room to keep a change; make room, and try again"
        for problem, line in (
            (OSError(errno.ENOSPC, "No space left", "here"), f"here: given No space left{room}"),
            (OSError(errno.ENOSPC, "No space left"), f"{tmp_path}: given No space left{room}"),
            (OSError("gone"), f"{tmp_path}: given gone{room}"),
            (
                ZeroDivisionError("by nought"),
                "undo: given ZeroDivisionError: by nought; allowed: this, so it is a fault of fabricsim's own; "
                "report this line",
            ),
        ):
            monkeypatch.setattr(at.history, "undo", raising(problem))
            assert await at.said(kind="undo") == line
        assert other.new() == []

    at_desk(monkeypatch, tmp_path, do)


def raising(problem: Exception) -> Callable[[], bool]:
    def fails() -> bool:
        raise problem

    return fails


def test_at_the_end_pages_hear_it_and_all_work_stops(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    async def do(at: AtDesk) -> None:
        ended: list[str] = []
        monkeypatch.setattr(at.desk.workshop, "end", lambda: ended.append("workshop"))
        at.tab.new()
        at.desk.end()
        assert at.tab.new() == [TellNote(what="ending")]
        assert at.tab.closed
        assert [worker.told[-1] for worker in at.workers] == ["end", "end", "end"]
        assert ended == ["workshop"]
        assert list(tmp_path.iterdir()) == []  # nobody changed anything

    at_desk(monkeypatch, tmp_path, do)


def test_a_desk_is_set_up_with_what_was_tried_before(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    idle_workers(monkeypatch)

    async def do() -> None:
        history = History.begun(tmp_path, "piece", SceneText(SMALL, Path("small.toml")))
        history.came_of(0, RestOutcome(1.5, 2.5, 3))
        desk = Desk(history, teller, SEARCHERS, "9.9", SERVED)
        await asyncio.sleep(0)
        tab = DeafTab()
        desk.join(tab)  # type: ignore[arg-type]
        (tries,) = [one for one in tab.new() if isinstance(one, TellTries)]
        assert [(one.id, one.loss_percent) for one in tries.each] == [(0, 1.5)]
        await desk.workshop.emptied()
        history.journal.close()

    apart(do)


def test_the_oldest_journals_are_swept_as_a_desk_is_set_up(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    swept: list[Path] = []
    monkeypatch.setattr(desk_module, "sweep", swept.append)

    async def do(at: AtDesk) -> None:
        assert swept == [tmp_path]
        assert isinstance(at.tab.heard[-2], TellCounts | TellTries)

    at_desk(monkeypatch, tmp_path, do)
