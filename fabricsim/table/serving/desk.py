"""The piece on the table, and all pages that look at it."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from typing import get_args

from fabricsim.design.scene.choices import Case
from fabricsim.errors import InputError
from fabricsim.table.drafts.changes import AskChange, changed
from fabricsim.table.drafts.history import History
from fabricsim.table.messages.asked import AnyAsked, AskHello, AskLook, AskRedo, AskUndo
from fabricsim.table.messages.told import TellNote, TellScene, TellTrouble, TellWelcome, Told
from fabricsim.table.serving.tab import Tab
from fabricsim.table.serving.telling import scene_told
from fabricsim.table.solving.counting import counted
from fabricsim.table.solving.order import Failed, Order, Outcome, Teller
from fabricsim.table.solving.shapes import Shape
from fabricsim.table.solving.solver import Solver

CHANGES = get_args(AskChange)


@dataclass
class Looks:
    """How the fabric is shown: in which ``case`` (None: the scene's), loops in so many ``steps``."""

    case: Case | None = None
    steps: int = 12


class Desk:
    """One piece, in whatever number of tabs. All of it happens in the loop's thread."""

    def __init__(self, history: History, teller: Teller, version: str) -> None:
        self.history, self._version = history, version
        self._revision = 0
        self._looks = Looks()
        self._tabs: list[Tab] = []
        self._last: dict[str, Told | Shape] = {}
        self._loop = asyncio.get_running_loop()
        self._solver = Solver(self._from_solver, teller)
        self._solver.start()
        self._look_again()

    # ---- pages ----

    def join(self, tab: Tab) -> None:
        """Welcome a page and show it all there is."""
        self._tabs.append(tab)
        tab.tell(TellWelcome(version=self._version, tabs=len(self._tabs)))
        tab.tell(self._scene())
        for what in self._last.values():
            tab.tell(what)
        self._tell_tabs()

    def leave(self, tab: Tab) -> None:
        """Forget a page."""
        self._tabs.remove(tab)
        self._tell_tabs()

    def end(self) -> None:
        """Say goodbye to all pages, and stop."""
        self._solver.end()
        for tab in self._tabs:
            tab.tell(TellNote(what="ending"))
            tab.close()
        self.history.journal.close()

    def tell(self, what: Told | Shape) -> None:
        """Tell all pages."""
        for tab in self._tabs:
            tab.tell(what)

    def _tell_tabs(self) -> None:
        self.tell(TellNote(what="tabs", count=len(self._tabs)))

    # ---- what they ask ----

    def answer(self, tab: Tab, asked: AnyAsked) -> None:
        """Do what a page asks; say it to that page where it can't be done."""
        try:
            self._do(asked)
        except InputError as problem:
            tab.tell(
                TellTrouble(
                    asked=asked.kind,
                    where=problem.where,
                    given=problem.given,
                    allowed=problem.allowed,
                    todo=problem.todo,
                    words=str(problem),
                )
            )

    def _do(self, asked: AnyAsked) -> None:
        if isinstance(asked, CHANGES):
            draft = changed(self.history.draft, asked)
            if draft.text != self.history.draft.text:
                self.history.add(draft, asked.kind, getattr(asked, "stroke", 0))
                self._changed()
        elif isinstance(asked, AskUndo):
            if self.history.undo():
                self._changed()
        elif isinstance(asked, AskRedo):
            if self.history.redo():
                self._changed()
        elif isinstance(asked, AskLook):
            looks = Looks(asked.case, asked.steps)
            if looks != self._looks:
                self._looks = looks
                self._changed()
        elif isinstance(asked, AskHello):
            raise InputError("hello", "a second greeting", "one", "open another page")
        else:
            raise InputError(asked.kind, "a message that is not answered yet", "the others", "wait for it")

    def _scene(self) -> TellScene:
        return scene_told(self.history, self._revision, self._looks.case)

    def _changed(self) -> None:
        """Tell what is new at once, and have it brought to rest."""
        self._revision += 1
        self.tell(self._scene())
        self._look_again()

    def _look_again(self) -> None:
        scene = self.history.draft.scene
        case = self._looks.case or scene.case
        self._note("counts", counted(scene, self._revision, case))
        self._solver.ask(Order(self._revision, self.history.now, scene, case, self._looks.steps))

    # ---- what comes of it ----

    def _from_solver(self, order: Order, what: Outcome) -> None:
        self._loop.call_soon_threadsafe(self._came, order, what)

    def _came(self, order: Order, what: Outcome) -> None:
        if order.revision != self._revision:
            return
        if isinstance(what, Failed):
            self._note("said", TellNote(what="no rest", text=what.words))
        elif isinstance(what, Shape):
            self._note("shape", what)
        else:
            self._note(type(what).__name__, what)

    def _note(self, name: str, what: Told | Shape) -> None:
        """Tell all pages, and keep it for whoever opens another."""
        self._last[name] = what
        self.tell(what)
