"""What somebody has asked to be looked for: who works on that, how far it is, and what was found.

It goes on while the piece is changed: what it finds is of the piece as it lay, and says so.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from functools import partial

from fabricsim.table.messages.base import Told
from fabricsim.table.messages.sought import TellCosts, TellSeeking, TellWays
from fabricsim.table.solving.order import Failed, FoundWays, Order, Outcome, Quest, SearchTellers, Teller, Which
from fabricsim.table.solving.trades import seeking
from fabricsim.table.solving.worker import Worker


class Looking:
    """Has something looked for, one thing at a time, and tells the pages what comes of it."""

    def __init__(
        self,
        tell: Callable[[Told], None],
        teller: Teller,
        searchers: SearchTellers,
        loop: asyncio.AbstractEventLoop,
    ) -> None:
        self._tell, self._loop = tell, loop
        self._number = 0
        self._now: Quest | None = None
        self._known: dict[str, Told] = {}
        self._texts: dict[str, str] = {}
        self._worker = Worker(partial(seeking, searchers), teller, self._from_worker, patient=True)

    @property
    def known(self) -> Iterator[Told]:
        """All that was found, for a page that has just been opened."""
        return iter(self._known.values())

    def way(self, name: str) -> str | None:
        """Return the text of the scene with a way that was found; None if there is none so called."""
        return self._texts.get(name)

    def ask(self, order: Order, search: Quest) -> None:
        """Have something looked for in place of anything before."""
        self.leave()
        self._number += 1
        self._now = search
        self._known.pop(search.what, None)
        self._note(TellSeeking(what=search.what))
        self._worker.ask(replace(order, revision=self._number, search=search))

    def leave(self) -> None:
        """Leave it; what was found stays."""
        if self._now is not None:
            self._worker.drop()
            self._number += 1  # what is still on its way is of no use
            self._over(TellSeeking(what=self._now.what, ended="stopped"))

    def forget(self) -> None:
        """Leave it, and forget what was found: another piece lies there."""
        self.leave()
        self._known.clear()
        self._texts.clear()

    def end(self) -> None:
        """Stop all work."""
        self._worker.end()

    def _from_worker(self, which: Which, number: int, state: int, what: Outcome) -> None:
        with suppress(RuntimeError):  # the loop has just ended
            self._loop.call_soon_threadsafe(self._came, number, what)

    def _came(self, number: int, what: Outcome) -> None:
        if number != self._number or self._now is None:
            return
        if isinstance(what, Failed):
            self._over(TellSeeking(what=self._now.what, words=what.words, ended="failed"))
        elif isinstance(what, FoundWays):
            self._texts.update(what.texts)
            self._note(what.told)
        elif isinstance(what, TellSeeking) and what.ended is not None:
            self._over(what)
        elif isinstance(what, TellSeeking | TellCosts):
            self._note(what)

    def _over(self, what: TellSeeking) -> None:
        self._now = None
        self._note(what)

    def _note(self, what: TellSeeking | TellCosts | TellWays) -> None:
        key = "seeking" if isinstance(what, TellSeeking) else "costs" if isinstance(what, TellCosts) else what.what
        self._known[key] = what
        self._tell(what)
