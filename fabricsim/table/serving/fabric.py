"""How the piece on the table lies, and one beside it: who works on that, and what is known of it."""

from __future__ import annotations

import asyncio
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.table.drafts.history import History, RestOutcome
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.base import Told
from fabricsim.table.messages.fabrics import TellAdvice, TellSaid, TellTries, TellWorking, Tried
from fabricsim.table.messages.told import TellNote
from fabricsim.table.solving.counting import counted
from fabricsim.table.solving.kept import kept_rest, kept_said
from fabricsim.table.solving.order import Candidates, Failed, Order, Outcome, Teller, Which
from fabricsim.table.solving.shape import Shape
from fabricsim.table.solving.trades import pondering, settling
from fabricsim.table.solving.worker import Worker

STILL = 1.5
"""Seconds after which a hand is taken to be still, so that what takes long is begun (chosen)."""
MOST_TRIES = 40
"""States at rest that are told (chosen: more than fit a screen; the history holds all)."""
MOST_SQUARES = 2000
"""Squares of a chart that is told with a try (chosen: a picture of more is no smaller than the try itself)."""
USUAL_STEPS = 12
"""Steps of a loop until a page asks for others (chosen: two millimetres of worsted)."""


@dataclass(frozen=True)
class _Beside:
    state: int
    draft: SceneText


class FabricView:
    """Has the piece brought to rest, and tells the pages what comes of it."""

    def __init__(self, tell: Callable[[Told | Shape], None], teller: Teller, loop: asyncio.AbstractEventLoop) -> None:
        self._tell, self._loop = tell, loop
        self.case: Case | None = None
        self._steps = USUAL_STEPS
        self._revision = 0
        self._history: History | None = None
        self._beside: _Beside | None = None
        self._known: dict[tuple[Which, type], Told | Shape] = {}
        self._candidates: dict[str, str] = {}
        self._tries: OrderedDict[int, Tried] = OrderedDict()
        self._settler = Worker(settling, teller, partial(self._from_worker, False))
        self._ponderer = Worker(pondering, teller, partial(self._from_worker, True), patient=True)
        self._planning = threading.Lock()
        self._pondering = False
        self._pondered = 0
        self._waiting: asyncio.TimerHandle | None = None

    @property
    def known(self) -> Iterator[Told | Shape]:
        """All that is known of the piece as it lies, for a page that has just been opened: first what was tried, which
        says whether another lies beside it."""
        return iter(sorted(self._known.values(), key=lambda what: not isinstance(what, TellTries)))

    def candidate(self, name: str) -> str:
        """Return the text of the scene with a suggestion followed; raises ``InputError`` if there is none so called."""
        if name not in self._candidates:
            there = ", ".join(self._candidates) or "none"
            raise InputError("advice", f"'{name}'", there, "choose one that is offered now")
        return self._candidates[name]

    def look(self, case: Case | None, steps: int) -> bool:
        """Show it in another case, or drawn otherwise; return whether it has to be laid out anew for that."""
        new, finer = case != self.case, steps != self._steps
        self.case, self._steps = case, steps
        if finer and not new and self._history is not None:
            self._settler.ask(replace(self.as_it_lies(), shows="rest"))
        return new

    def lay(self, history: History, revision: int) -> None:
        """Have what is on the table brought to rest."""
        self._history, self._revision = history, revision
        self._candidates.clear()
        self._leave_pondering()
        beside = {key: what for key, what in self._known.items() if key[0] == "second"}
        self._known = beside
        order = self._order("first", history.now, history.draft)
        known = kept_rest(order) if history.now == 0 else None
        if known is not None:
            for what in known:
                self._note("first", what)
            self._tried(history.now, known[1])
        elif history.now == 0 and (said := kept_said(order)) is not None:  # to be drawn otherwise than it is kept
            self._note("first", said)
        self._settler.ask(order if known is None else replace(order, shows="nothing"))
        self._loop.call_soon(self._laid, revision)  # once the order and the scene are on their way
        if self._beside is not None:
            self._settler.ask(self._order("second", self._beside.state, self._beside.draft))

    def _laid(self, revision: int) -> None:
        """Tell what needs no solve, unless a newer change has come."""
        if revision == self._revision and self._history is not None:
            self._count(self._history.draft.scene)
            self._tell_tries()

    def _count(self, scene: Scene) -> None:
        """Tell what counting tells: at once, or where catches have to be planned for it, as soon as they are."""
        revision, case = self._revision, self.case
        if not scene.floats.plan_catches:
            self._note("first", counted(scene, revision, case))
            return

        def planned() -> None:
            with self._planning:
                if revision == self._revision:  # else a newer change waits
                    told = counted(scene, revision, case)
                    with suppress(RuntimeError):  # the loop has just ended
                        self._loop.call_soon_threadsafe(self._came, False, "first", revision, 0, told)

        threading.Thread(target=planned, daemon=True).start()

    def begin(self, history: History) -> None:
        """Forget all that is known of a piece: another is to be laid on the table, with what was tried of it before."""
        self._history = history
        self._known.clear()
        self._tries.clear()
        for state in list(history.outcomes)[-MOST_TRIES:]:
            self._tries[state] = self._try(state)
        beside = history.beside
        self._beside = None if beside is None else _Beside(beside, history.state(beside))

    def lay_beside(self, state: int | None, draft: SceneText | None) -> None:
        """Have another state brought to rest beside what is on the table; none if there is none."""
        self._known = {key: what for key, what in self._known.items() if key[0] == "first"}
        self._beside = None if state is None or draft is None else _Beside(state, draft)
        self._tell_tries()
        if self._beside is not None:
            self._settler.ask(self._order("second", self._beside.state, self._beside.draft))

    def leave(self) -> None:
        """Leave what takes longer than a look, if that is being worked on; what is known stays."""
        if self._pondering:
            self._leave_pondering()
            self._note("first", TellWorking(revision=self._revision, on="idle"))

    def as_it_lies(self) -> Order:
        """Return the order of the piece on the table."""
        assert self._history is not None
        return self._order("first", self._history.now, self._history.draft)

    def end(self) -> None:
        """Stop all work."""
        if self._waiting is not None:
            self._waiting.cancel()
        self._settler.end()
        self._ponderer.end()

    def _order(self, which: Which, state: int, draft: SceneText) -> Order:
        case = self.case or draft.scene.case
        return Order(which, self._revision, state, draft.text, draft.path, case, self._steps)

    def _ponder(self, order: Order) -> None:
        self._pondering = True
        self._ponderer.ask(order)

    def _leave_pondering(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
        if self._pondering:
            self._pondering = False
            self._ponderer.drop()

    # ---- what comes of it ----

    def _from_worker(self, pondered: bool, which: Which, revision: int, state: int, what: Outcome) -> None:
        with suppress(RuntimeError):  # the loop has just ended
            self._loop.call_soon_threadsafe(self._came, pondered, which, revision, state, what)

    def _came(self, pondered: bool, which: Which, revision: int, state: int, what: Outcome) -> None:
        if revision != self._revision or (which == "second" and (self._beside is None or self._beside.state != state)):
            return
        if isinstance(what, Failed):
            self._note(which, TellNote(what="no rest", text=what.words))
        elif isinstance(what, Candidates):
            self._candidates = {suggestion.id: text for suggestion, text in what.each}
            self._note(which, TellAdvice(revision=revision, each=tuple(suggestion for suggestion, _ in what.each)))
        elif isinstance(what, Told | Shape) and not self._known_better(which, what):
            if isinstance(what, TellWorking) and what.on == "idle":
                self._idle(pondered, which)
            self._note(which, what)
            if isinstance(what, TellSaid) and which == "first":
                self._tried(state, what)

    def _known_better(self, which: Which, what: Told | Shape) -> bool:
        """Return whether ``what`` is a first look's numbers of a piece whose whole forecast is known: where it is only
        drawn otherwise."""
        known = self._known.get((which, TellSaid))
        return (
            isinstance(what, TellSaid)
            and isinstance(known, TellSaid)
            and (what.sure, known.sure, known.revision) == ("rest", "likely", what.revision)
        )

    def _idle(self, pondered: bool, which: Which) -> None:
        """Begin what takes long once the piece lies there and the hand is still."""
        if pondered:
            self._pondering = False
        elif which == "first" and self._history is not None and self._pondered != self._revision:
            self._pondered = self._revision
            self._ponderer.wake()
            self._waiting = self._loop.call_later(STILL, self._ponder, self.as_it_lies())

    def _note(self, which: Which, what: Told | Shape) -> None:
        """Tell all pages, and keep it for whoever opens another."""
        self._known[which, type(what)] = what
        self._tell(what)

    def _tried(self, state: int, said: TellSaid) -> None:
        """Note that a state came to rest."""
        assert self._history is not None
        with suppress(OSError):  # a full disk: what was tried is told, but not kept
            self._history.came_of(state, RestOutcome(said.loss_percent, said.pucker_mm, said.over))
        self._tries[state] = self._try(state)
        while len(self._tries) > MOST_TRIES:
            self._tries.popitem(last=False)
        self._tell_tries()

    def _try(self, state: int) -> Tried:
        """Return what is told of a state that came to rest."""
        assert self._history is not None
        scene, outcome = self._history.state(state).scene, self._history.outcomes[state]
        rows = scene.chart_rows()
        small = len(rows) * len(rows[0]) <= MOST_SQUARES
        return Tried(
            id=state,
            before=self._history.before(state),
            change=self._history.change(state),
            loss_percent=outcome.loss_percent,
            pucker_mm=outcome.pucker_mm,
            over=outcome.over,
            slack=scene.floats.slack,
            chart=tuple(map(tuple, rows)) if small else None,
            colours=tuple(yarn.colour for yarn in scene.yarns),
        )

    def _tell_tries(self) -> None:
        assert self._history is not None
        second = None if self._beside is None else self._beside.state
        told = TellTries(now=self._history.now, second=second, each=tuple(self._tries.values()))
        self._note("first", told)
