"""The piece on the table, and all pages that look at it. All of it happens in the loop's thread."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import get_args

from fabricsim.errors import InputError
from fabricsim.table.drafts.changes import AskChange, changed
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.keeping import changed_meanwhile, keep
from fabricsim.table.drafts.left import Left, left_behind, let_go, sweep
from fabricsim.table.drafts.opening import opened_files
from fabricsim.table.jobs.menu import MENU
from fabricsim.table.messages.asked import (
    AnyAsked,
    AskAdvice,
    AskJob,
    AskKeep,
    AskLeave,
    AskLook,
    AskOpen,
    AskRedo,
    AskResume,
    AskSecond,
    AskSeek,
    AskStop,
    AskTake,
    AskText,
    AskUndo,
)
from fabricsim.table.messages.base import Told
from fabricsim.table.messages.told import Offer, TellNote, TellOffers, TellTrouble, TellWelcome, ToldCommand
from fabricsim.table.serving.fabric import FabricView
from fabricsim.table.serving.looking import Looking
from fabricsim.table.serving.others import is_open, same_file
from fabricsim.table.serving.tab import Tab
from fabricsim.table.serving.telling import scene_told, text_told
from fabricsim.table.serving.workshop import Workshop
from fabricsim.table.solving.order import Quest, SearchTellers, Teller
from fabricsim.table.solving.shape import Shape

CHANGES = get_args(AskChange)


class Desk:
    """One piece, its ``history`` and its ``fabric``, in whatever number of tabs."""

    def __init__(
        self, history: History, teller: Teller, searchers: SearchTellers, version: str, served: tuple[str, int]
    ) -> None:
        self.history, self._version, self._served = history, version, served
        self._folder = history.journal.path.parent
        history.note({"served": served})
        self._offers: list[Left] = []
        self._revision = 0
        self._tabs: list[Tab] = []
        loop = asyncio.get_running_loop()
        self.fabric = FabricView(self.tell, teller, loop)
        self.looking = Looking(self.tell, teller, searchers, loop)
        self.fabric.begin(history)
        self.workshop = Workshop(self.tell)
        sweep(self._folder)
        self._look_for_offers()
        self._lay()

    # ---- pages ----

    def join(self, tab: Tab) -> None:
        """Welcome a page and show it all there is."""
        self._tabs.append(tab)
        menu = tuple(ToldCommand(name=name, options=tuple(dish.options)) for name, dish in MENU.items())
        others = tuple(same_file(self._folder, self.history))
        tab.tell(TellWelcome(version=self._version, tabs=len(self._tabs), others=others, commands=menu))
        tab.tell(self._offered())
        tab.tell(scene_told(self.history, self._revision, self.fabric.case))
        for what in (*self.fabric.known, *self.looking.known):
            tab.tell(what)
        self.tell(TellNote(what="tabs", count=len(self._tabs)))

    def leave(self, tab: Tab) -> None:
        """Forget a page."""
        self._tabs.remove(tab)
        self.tell(TellNote(what="tabs", count=len(self._tabs)))

    def end(self) -> None:
        """Say goodbye to all pages, and stop."""
        self.fabric.end()
        self.looking.end()
        self.workshop.end()
        self.tell(TellNote(what="ending"))
        for tab in self._tabs:
            tab.close()
        self.history.close()

    def tell(self, what: Told | Shape) -> None:
        """Tell all pages."""
        for tab in self._tabs:
            tab.tell(what)

    # ---- what they ask ----

    def answer(self, tab: Tab, asked: AnyAsked) -> None:
        """Do what a page asks; say it to that page where it can't be done."""
        try:
            self._do(tab, asked)
        except InputError as problem:
            tab.tell(trouble(asked.kind, problem))
        except OSError as problem:  # a full disk, mostly: what can't be kept does not come about
            where, why = problem.filename or self._folder, problem.strerror or str(problem)
            tab.tell(trouble(asked.kind, InputError(where, why, "room to keep a change", "make room, and try again")))
        except Exception as problem:  # the table must outlive whatever it meets, and say so
            what = f"{type(problem).__name__}: {problem}"
            fault = InputError(asked.kind, what, "this, so it is a fault of fabricsim's own", "report this line")
            tab.tell(trouble(asked.kind, fault))

    def _do(self, tab: Tab, asked: AnyAsked) -> None:
        history = self.history
        if isinstance(asked, CHANGES):
            self._add(changed(history.draft, asked).text, asked.kind, getattr(asked, "stroke", 0))
        elif isinstance(asked, AskUndo):
            self._lay() if history.undo() else None
        elif isinstance(asked, AskRedo):
            self._lay() if history.redo() else None
        elif isinstance(asked, AskAdvice):
            self._add(self.looking.way(asked.id) or self.fabric.candidate(asked.id), f"advice: {asked.id}")
        elif isinstance(asked, AskSeek):
            self.looking.ask(self.fabric.as_it_lies(), Quest(asked.what, asked.may_lose, asked.flat))
        elif isinstance(asked, AskLeave):
            self.looking.leave()
            self.fabric.leave()
        elif isinstance(asked, AskTake):
            self._check_state(asked.id)
            self._add(history.state(asked.id).text, f"take: {asked.id}")
        elif isinstance(asked, AskSecond):
            if asked.id is not None:
                self._check_state(asked.id)
            history.lay_beside(asked.id)
            self.fabric.lay_beside(asked.id, None if asked.id is None else history.state(asked.id))
        elif isinstance(asked, AskLook):
            if self.fabric.look(asked.case, asked.steps):
                self._lay()
        elif isinstance(asked, AskOpen):
            self._lay_other(opened_files(asked.files, self._folder))
        elif isinstance(asked, AskResume):
            self._resume(asked.id)
        elif isinstance(asked, AskKeep):
            self._keep(tab, over=asked.over)
        elif isinstance(asked, AskText):
            tab.tell(text_told(history.draft))
        elif isinstance(asked, AskJob):
            self.workshop.ask(asked.command, asked.options, history.draft)
        elif isinstance(asked, AskStop):
            self.workshop.stop(asked.job)
        else:
            raise InputError(asked.kind, "a greeting", "one, at the beginning", "open another page")

    def _check_state(self, number: int) -> None:
        """Raise ``InputError`` for a state that there never was."""
        if number >= len(self.history):
            raise InputError("state", f"no. {number}", f"0 to {len(self.history) - 1}", "choose one that was tried")

    def _add(self, text: str, change: str, stroke: int = 0) -> None:
        """Lay another text on the table, if it is one."""
        if text != self.history.draft.text:
            self.history.add(self.history.draft.saying(text), change, stroke)
            self._lay()

    def _lay_other(self, history: History) -> None:
        """Lay another piece on the table; the one that lay there is offered from now on, if it is in no file."""
        self.history.close()
        self.history = history
        history.note({"served": self._served})
        self.fabric.begin(history)
        self.looking.forget()
        self._look_for_offers()
        self.tell(self._offered())
        self._lay()

    def _resume(self, name: str | None) -> None:
        if name is None:
            let_go(self._offers)
            self._offers = []
            self.tell(self._offered())
            return
        left = next((one for one in self._offers if one.name == name), None)
        if left is None:
            raise InputError("resume", f"'{name}'", "a piece that is offered", "choose one of them")
        self._lay_other(History.resumed(left.journal))

    def _look_for_offers(self) -> None:
        self._offers = list(left_behind(self._folder, is_open, self.history.journal.path.stem))

    def _offered(self) -> TellOffers:
        each = (
            Offer(id=one.name, title=one.title, changes=one.states - 1, when=one.when, file=one.file)
            for one in self._offers
        )
        return TellOffers(each=tuple(each))

    def _keep(self, tab: Tab, *, over: bool) -> None:
        """Write the scene into its file; give the text to the page where there is none."""
        history = self.history
        if history.file is None:
            tab.tell(text_told(history.draft))
            return
        if not over and changed_meanwhile(history):
            tab.tell(TellNote(what="changed on disk", text=Path(history.file).name))
            return
        keep(history)
        self.tell(TellNote(what="kept", text=Path(history.file).name))
        self.tell(scene_told(history, self._revision, self.fabric.case))

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
