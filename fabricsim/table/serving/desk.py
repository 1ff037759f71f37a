"""The piece on the table, and all pages that look at it. All of it happens in the loop's thread."""

from __future__ import annotations

import asyncio
from typing import get_args

from fabricsim.errors import InputError
from fabricsim.table.drafts.changes import AskChange, changed
from fabricsim.table.drafts.history import History
from fabricsim.table.jobs.menu import MENU
from fabricsim.table.messages.asked import (
    AnyAsked,
    AskAdvice,
    AskJob,
    AskLook,
    AskRedo,
    AskSecond,
    AskStop,
    AskTake,
    AskUndo,
)
from fabricsim.table.messages.told import TellNote, TellTrouble, TellWelcome, Told, ToldCommand
from fabricsim.table.serving.fabric import FabricView
from fabricsim.table.serving.tab import Tab
from fabricsim.table.serving.telling import scene_told
from fabricsim.table.serving.workshop import Workshop
from fabricsim.table.solving.order import Teller
from fabricsim.table.solving.shapes import Shape

CHANGES = get_args(AskChange)


class Desk:
    """One piece, its ``history`` and its ``fabric``, in whatever number of tabs."""

    def __init__(self, history: History, teller: Teller, version: str) -> None:
        self.history, self._version = history, version
        self._revision = 0
        self._tabs: list[Tab] = []
        self.fabric = FabricView(self.tell, teller, asyncio.get_running_loop())
        self.workshop = Workshop(self.tell)
        self._lay()

    # ---- pages ----

    def join(self, tab: Tab) -> None:
        """Welcome a page and show it all there is."""
        self._tabs.append(tab)
        menu = tuple(ToldCommand(name=name, options=tuple(dish.options)) for name, dish in MENU.items())
        tab.tell(TellWelcome(version=self._version, tabs=len(self._tabs), commands=menu))
        tab.tell(scene_told(self.history, self._revision, self.fabric.case))
        for what in self.fabric.known:
            tab.tell(what)
        self.tell(TellNote(what="tabs", count=len(self._tabs)))

    def leave(self, tab: Tab) -> None:
        """Forget a page."""
        self._tabs.remove(tab)
        self.tell(TellNote(what="tabs", count=len(self._tabs)))

    def end(self) -> None:
        """Say goodbye to all pages, and stop."""
        self.fabric.end()
        self.workshop.end()
        self.tell(TellNote(what="ending"))
        for tab in self._tabs:
            tab.close()
        self.history.journal.close()

    def tell(self, what: Told | Shape) -> None:
        """Tell all pages."""
        for tab in self._tabs:
            tab.tell(what)

    # ---- what they ask ----

    def answer(self, tab: Tab, asked: AnyAsked) -> None:
        """Do what a page asks; say it to that page where it can't be done."""
        try:
            self._do(asked)
        except InputError as problem:
            tab.tell(trouble(asked.kind, problem))

    def _do(self, asked: AnyAsked) -> None:
        history = self.history
        if isinstance(asked, CHANGES):
            self._add(changed(history.draft, asked).text, asked.kind, getattr(asked, "stroke", 0))
        elif isinstance(asked, AskUndo):
            self._lay() if history.undo() else None
        elif isinstance(asked, AskRedo):
            self._lay() if history.redo() else None
        elif isinstance(asked, AskAdvice):
            self._add(self.fabric.candidate(asked.id), f"advice: {asked.id}")
        elif isinstance(asked, AskTake):
            self._check_state(asked.id)
            self._add(history.state(asked.id).text, f"take: {asked.id}")
        elif isinstance(asked, AskSecond):
            if asked.id is not None:
                self._check_state(asked.id)
            self.fabric.lay_beside(asked.id, None if asked.id is None else history.state(asked.id))
        elif isinstance(asked, AskLook):
            if self.fabric.look(asked.case, asked.steps):
                self._lay()
        elif isinstance(asked, AskJob):
            self.workshop.ask(asked.command, asked.options, history.draft)
        elif isinstance(asked, AskStop):
            self.workshop.stop(asked.job)
        else:
            raise InputError(asked.kind, "a message that is not answered yet", "the others", "wait for it")

    def _check_state(self, number: int) -> None:
        """Raise ``InputError`` for a state that there never was."""
        if number >= len(self.history):
            raise InputError("state", f"no. {number}", f"0 to {len(self.history) - 1}", "choose one that was tried")

    def _add(self, text: str, change: str, stroke: int = 0) -> None:
        """Lay another text on the table, if it is one."""
        if text != self.history.draft.text:
            self.history.add(self.history.draft.saying(text), change, stroke)
            self._lay()

    def _lay(self) -> None:
        """Tell what lies on the table at once, and have it brought to rest."""
        self._revision += 1
        self.tell(scene_told(self.history, self._revision, self.fabric.case))
        self.fabric.lay(self.history, self._revision)


def trouble(asked: str, problem: InputError) -> TellTrouble:
    """Return what a page is told whose wish can't be granted."""
    return TellTrouble(
        asked=asked,
        where=problem.where,
        given=problem.given,
        allowed=problem.allowed,
        todo=problem.todo,
        words=str(problem),
    )
