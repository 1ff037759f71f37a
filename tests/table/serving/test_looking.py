"""Who looks for something: what is ordered, what is told and kept, what is let go; nothing is looked for here."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from fabricsim.table.messages.sought import CameOf, Sought, TellCosts, TellSeeking, TellWays
from fabricsim.table.serving.looking import Looking
from fabricsim.table.solving.order import Failed, FoundWays, Order, Quest
from fabricsim.table.solving.trades import seeking
from tests.table.serving.stand_ins import SAID, SEARCHERS, ClosedLoop, Hearing, IdleWorker, idle_workers, teller

ORDER = Order("first", 40, 3, "", Path("small.toml"), "round", 12)
COSTS = TellCosts(state=3, loss_percent=4.0, words=("a line",), floats=(), rows=(), squares=())


def ways(what: Sought, *notes: str) -> TellWays:
    now = CameOf(loss_percent=4.0, pucker_mm=1.0, over=2)
    return TellWays(what=what, state=3, wanted="less", now=now, ways=(), notes=notes)


class Looked(Hearing):
    """Something looked for: ``told`` is what pages hear of it."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        super().__init__()
        workers = idle_workers(patch)
        self.looking = Looking(self.told.append, teller, SEARCHERS, self.loop)  # type: ignore[arg-type]
        self.worker: IdleWorker
        (self.worker,) = workers

    def ask(self, what: Sought) -> Order:
        """Have something looked for; return what is ordered."""
        self.looking.ask(ORDER, Quest(what, 2.5, True))
        return self.worker.asked[-1]


@pytest.fixture
def looked(monkeypatch: pytest.MonkeyPatch) -> Looked:
    return Looked(monkeypatch)


def test_what_is_looked_for_is_ordered_by_a_number_of_its_own(looked: Looked) -> None:
    loaded = looked.worker.loaded
    assert isinstance(loaded, partial)
    assert (loaded.func, loaded.args, looked.worker.teller, looked.worker.patient) == (
        seeking, (SEARCHERS,), teller, True,
    )  # fmt: skip
    first, second = looked.ask("costs"), looked.ask("changes")
    assert first.revision < second.revision
    for order, what in ((first, "costs"), (second, "changes")):
        search = Quest(what, 2.5, True)  # type: ignore[arg-type]
        assert order == Order("first", order.revision, 3, "", ORDER.path, "round", 12, search=search)
    assert looked.heard() == [
        TellSeeking(what="costs"), TellSeeking(what="costs", ended="stopped"), TellSeeking(what="changes"),
    ]  # fmt: skip
    assert looked.worker.told == ["ask", "drop", "ask"]


def test_what_is_found_is_told_and_kept_for_who_comes_later(looked: Looked) -> None:
    order = looked.ask("changes")
    looked.heard()
    found = [TellSeeking(what="changes", words="looser"), ways("changes", "one"), ways("changes", "two"), COSTS]
    told = [
        FoundWays(one, {one.notes[0]: f"text {one.notes[0]}"}) if isinstance(one, TellWays) else one for one in found
    ]
    for what in told:
        looked.worker.answers(order, what)
    assert looked.told == []  # in the loop's thread
    assert looked.heard() == found
    assert [looked.looking.way(name) for name in ("one", "two", "three")] == ["text one", "text two", None]
    over = TellSeeking(what="changes", ended="found")
    looked.worker.answers(order, over)
    assert looked.heard() == [over]
    assert list(looked.looking.known) == [over, ways("changes", "two"), COSTS]
    for what in told:  # it has said that there is no more
        looked.worker.answers(order, what)
    assert looked.heard() == []
    looked.looking.leave()
    assert (looked.heard(), looked.worker.told) == ([], ["ask"])
    looked.ask("changes")
    assert list(looked.looking.known) == [TellSeeking(what="changes"), COSTS]


def test_what_is_no_news_of_a_search_is_told_to_nobody(looked: Looked) -> None:
    order = looked.ask("places")
    looked.heard()
    looked.worker.answers(order, SAID)
    assert looked.heard() == []
    looked.worker.answers(order, Failed("it fell over"))
    assert looked.heard() == [TellSeeking(what="places", words="it fell over", ended="failed")]
    looked.worker.answers(order, COSTS)
    assert looked.heard() == []
    looked.looking._loop = ClosedLoop()  # type: ignore[assignment]
    looked.worker.answers(order, COSTS)  # which is no error
    looked.looking.end()
    assert looked.worker.told == ["ask", "end"]


def test_who_leaves_it_keeps_what_was_found_and_who_forgets_it_does_not(looked: Looked) -> None:
    order = looked.ask("changes")
    looked.worker.answers(order, FoundWays(ways("changes"), {"one": "text"}))
    looked.heard()
    looked.looking.leave()
    stopped = TellSeeking(what="changes", ended="stopped")
    assert looked.heard() == [stopped]
    assert looked.worker.told == ["ask", "drop"]
    again = looked.ask("changes")
    assert again.revision > order.revision + 1
    looked.worker.answers(order, COSTS)  # of the one before, on its way when it was stopped
    assert looked.heard() == [TellSeeking(what="changes")]
    assert looked.looking.way("one") == "text"
    looked.looking.forget()
    assert looked.heard() == [stopped]
    assert (list(looked.looking.known), looked.looking.way("one")) == ([], None)
