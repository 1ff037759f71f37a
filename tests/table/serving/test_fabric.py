"""How the piece on the table lies: what is ordered of whom, and what is told of what comes of it, without a solve."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, ClassVar

import pytest

from fabricsim.errors import InputError
from fabricsim.table.drafts.history import History, RestOutcome
from fabricsim.table.drafts.opening import opened_demo
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.fabrics import Suggestion, TellAdvice, TellCounts, TellSaid, TellTries, TellWorking, Tried
from fabricsim.table.messages.told import TellNote
from fabricsim.table.serving import fabric
from fabricsim.table.serving.fabric import STILL, USUAL_STEPS, FabricView
from fabricsim.table.solving.counting import counted
from fabricsim.table.solving.order import Candidates, Failed, Order
from fabricsim.table.solving.shape import Shape
from fabricsim.table.solving.trades import pondering, settling
from tests.table.serving.stand_ins import SAID, ClosedLoop, Hearing, a_shape, idle_workers, teller
from tests.table.test_drafts import SMALL

PATH = Path("small.toml")
TIGHT = SMALL.replace("-0.04", "-0.08")
PLANNED = SMALL.replace("across = 8", "across = 8\n").replace("-0.04   # a guess", '-0.04\ncatches = "planned"\n')


class Lying(Hearing):
    """A view of a piece, with stand-ins for all it works with, and what it ``told``."""

    def __init__(self, patch: pytest.MonkeyPatch, folder: Path, history: History | None = None) -> None:
        super().__init__()
        workers = idle_workers(patch)
        self.view = FabricView(self.told.append, teller, self.loop)  # type: ignore[arg-type]
        self.settler, self.ponderer = workers
        self.history = history or History.begun(folder, "piece", SceneText(SMALL, PATH))

    def add(self, text: str) -> None:
        self.history.add(SceneText(text, PATH), "set")

    def lay(self, revision: int) -> Order:
        """Lay the piece; return what is ordered of it."""
        self.view.begin(self.history) if revision == 1 else None
        self.view.lay(self.history, revision)
        return next(order for order in reversed(self.settler.asked) if order.which == "first")


@pytest.fixture
def lying(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Lying]:
    one = Lying(monkeypatch, tmp_path)
    yield one
    one.history.journal.close()


def order(revision: int, state: int = 0, text: str = SMALL, **other: Any) -> Order:
    return replace(Order("first", revision, state, text, PATH, "round", USUAL_STEPS), **other)


def tries(lying: Lying, *each: Tried, second: int | None = None) -> TellTries:
    return TellTries(now=lying.history.now, second=second, each=each)


def tried(number: int, before: int | None, change: str, **other: Any) -> Tried:
    told = {
        "id": number, "before": before, "change": change, "loss_percent": 7.5, "pucker_mm": 2.25, "over": 3,
        "slack": -0.04, "chart": ((1, 1, 0), (0, 0, 1)), "colours": ("#e9dfc8", "#2f5d50"),
    }  # fmt: skip
    return Tried(**told | other)


def test_a_piece_is_counted_at_once_and_ordered_of_who_settles(lying: Lying) -> None:
    assert (lying.settler.loaded, lying.settler.patient) == (settling, False)
    assert (lying.ponderer.loaded, lying.ponderer.patient) == (pondering, True)
    assert lying.settler.teller is lying.ponderer.teller is teller
    lying.lay(1)
    assert lying.told == []  # the order and the scene go first
    assert lying.settler.asked == [order(1)]
    assert lying.ponderer.told == []
    assert lying.heard() == [counted(lying.history.draft.scene, 1), tries(lying)]
    lying.add(TIGHT)
    assert lying.lay(2) == order(2, 1, TIGHT)
    assert lying.heard() == [counted(lying.history.draft.scene, 2), tries(lying)]


def test_what_was_laid_there_before_is_counted_no_more(lying: Lying) -> None:
    lying.lay(1)
    lying.add(TIGHT)
    lying.lay(2)
    assert [one.revision for one in lying.heard() if isinstance(one, TellCounts)] == [2]


def test_the_built_in_hat_is_told_at_once_and_not_ordered_to_be_shown(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    lying = Lying(monkeypatch, tmp_path, opened_demo(tmp_path))
    given = lying.lay(1)
    assert given.shows == "nothing"
    shape, said, tried_once = lying.told
    assert isinstance(shape, Shape)
    assert (shape.head["revision"], shape.head["rest"], shape.head["which"]) == (1, True, "first")
    assert isinstance(said, TellSaid)
    assert (said.revision, said.sure) == (1, "likely")
    assert [(one.id, one.change, one.loss_percent) for one in tried_once.each] == [(0, "begun", said.loss_percent)]
    assert lying.history.outcomes == {0: RestOutcome(said.loss_percent, said.pucker_mm, said.over)}
    lying.heard()

    assert not lying.view.look(None, 8)  # drawn otherwise than it is kept: its numbers are the same
    assert lying.settler.asked[1:] == [replace(given, shows="rest", steps=8)]
    assert lying.lay(2).shows == "looks"
    assert lying.told == [said.model_copy(update={"revision": 2})]
    lying.settler.answers(lying.view.as_it_lies(), SAID.model_copy(update={"revision": 2}))
    assert SAID.model_copy(update={"revision": 2}) not in lying.heard()  # a first look's, where the forecast is known

    lying.view.look("repeat", 8)
    assert lying.lay(3).shows == "looks"
    assert lying.told == []
    lying.view.look(None, USUAL_STEPS)
    lying.add(lying.history.draft.text.replace("-0.04", "-0.05"))
    assert lying.lay(4).shows == "looks"
    lying.history.undo()
    lying.history.redo()
    assert lying.told == []
    lying.history.journal.close()


def test_how_it_is_looked_at_is_ordered_as_it_lies(lying: Lying) -> None:
    assert not lying.view.look(None, 5)  # before there is anything to be seen
    assert lying.settler.asked == []
    lying.lay(1)
    assert not lying.view.look(None, 5)
    assert len(lying.settler.asked) == 1
    assert not lying.view.look(None, 20)
    assert lying.settler.asked[1:] == [order(1, steps=20, shows="rest")]
    assert lying.view.look("swatch", 21)
    assert not lying.view.look("swatch", 21)
    assert len(lying.settler.asked) == 2  # the case is laid out anew by who asked
    assert lying.lay(2) == order(2, case="swatch", steps=21)
    assert lying.view.case == "swatch"
    lying.heard()
    assert lying.view.look(None, 21)
    assert lying.view.as_it_lies() == order(2, steps=21)


def test_what_comes_of_an_order_is_told_and_known(lying: Lying) -> None:
    given = lying.lay(1)
    lying.heard()
    for what in (a_shape(), SAID):
        lying.settler.answers(given, what)
    assert lying.told == []  # in the loop's thread, not in that of who works
    shape, said, tried_once = lying.heard()
    assert (shape.head, said) == (a_shape().head, SAID)
    assert tried_once == tries(lying, tried(0, None, "begun"))
    assert lying.history.outcomes == {0: RestOutcome(7.5, 2.25, 3)}
    known = list(lying.view.known)
    assert [type(one) for one in known] == [TellTries, TellCounts, Shape, TellSaid]
    lying.settler.answers(given, Failed("it does not rest"))
    assert lying.heard() == [TellNote(what="no rest", text="it does not rest")]


def test_what_comes_late_is_told_to_nobody(lying: Lying) -> None:
    old = lying.lay(1)
    lying.add(TIGHT)
    lying.lay(2)
    lying.heard()
    lying.settler.answers(old, SAID)
    assert lying.heard() == []
    lying.settler.answers(lying.view.as_it_lies(), SAID, "second")  # nothing lies beside it
    assert lying.heard() == []
    assert lying.history.outcomes == {}
    lying.view._loop = ClosedLoop()  # type: ignore[assignment]
    lying.settler.answers(old, SAID)  # which is no error


def test_a_first_look_says_nothing_where_the_whole_forecast_is_known(lying: Lying) -> None:
    given = lying.lay(1)
    likely = SAID.model_copy(update={"sure": "likely"})
    lying.settler.answers(given, SAID)
    lying.ponderer.answers(given, likely)
    lying.heard()
    lying.settler.answers(given, SAID)
    assert lying.heard() == []
    lying.settler.answers(given, likely)
    assert likely in lying.heard()
    lying.settler.answers(given, a_shape())
    assert len(lying.heard()) == 1


def test_what_might_be_done_is_offered_by_name_until_something_is_done(lying: Lying) -> None:
    given = lying.lay(1)
    lying.heard()
    catch = Suggestion(id="catch", what="catch", count=2, over_before=3, over_after=0)
    loose = Suggestion(id="loosen", what="loosen", slack=0.05, over_before=3, over_after=3)
    line = r"^advice: given 'repeat'; allowed: {}; choose one that is offered now$"
    with pytest.raises(InputError, match=line.format("none")):
        lying.view.candidate("repeat")
    lying.ponderer.answers(given, Candidates(((catch, "caught"), (loose, "looser"))))
    assert lying.heard() == [TellAdvice(revision=1, each=(catch, loose))]
    assert [lying.view.candidate(name) for name in ("catch", "loosen")] == ["caught", "looser"]
    with pytest.raises(InputError, match=line.format("catch, loosen")):
        lying.view.candidate("repeat")
    lying.lay(2)
    with pytest.raises(InputError):
        lying.view.candidate("catch")


def working(on: str, revision: int = 1) -> TellWorking:
    return TellWorking(revision=revision, on=on)  # type: ignore[arg-type]


def test_once_the_hand_is_still_what_takes_long_is_begun_and_once_only(lying: Lying) -> None:
    given = lying.lay(1)
    lying.settler.answers(given, working("rest"))
    lying.settler.answers(given, working("idle"), "second")
    lying.heard()
    assert (lying.ponderer.told, lying.loop.later) == ([], [])
    lying.settler.answers(given, working("idle"))
    assert lying.heard() == [working("idle")]
    (timer,) = lying.loop.later
    assert (timer.delay, lying.ponderer.told) == (STILL, ["wake"])
    assert 1.0 <= STILL <= 2.0  # the pause of a hand that goes on, and what nobody waits longer for
    timer.then()
    assert lying.ponderer.asked == [given]
    lying.settler.answers(given, working("idle"))  # it was drawn once more
    lying.heard()
    assert len(lying.loop.later) == 1
    lying.view.leave()
    assert lying.ponderer.told == ["wake", "ask", "drop"]
    assert lying.heard() == [working("idle")]
    lying.view.leave()
    assert (len(lying.ponderer.told), lying.heard()) == (3, [])


def test_the_next_change_ends_what_takes_long(lying: Lying) -> None:
    given = lying.lay(1)
    lying.settler.answers(given, working("idle"))
    lying.heard()
    lying.add(TIGHT)
    given = lying.lay(2)
    assert lying.loop.later[0].cancelled
    assert lying.ponderer.told == ["wake"]  # it has not begun
    lying.settler.answers(given, working("idle", 2))
    lying.heard()
    lying.loop.later[1].then()
    lying.lay(3)
    assert lying.ponderer.told == ["wake", "wake", "ask", "drop"]


def test_what_takes_long_is_done_when_it_says_so(lying: Lying) -> None:
    given = lying.lay(1)
    lying.settler.answers(given, working("idle"))
    lying.heard()
    lying.loop.later[0].then()
    lying.ponderer.answers(given, working("idle"))
    assert lying.heard() == [working("idle")]
    lying.view.leave()
    assert lying.heard() == []
    assert lying.ponderer.told == ["wake", "ask"]
    assert len(lying.loop.later) == 1
    lying.view.end()
    assert lying.loop.later[0].cancelled
    assert (lying.settler.told[-1], lying.ponderer.told[-1]) == ("end", "end")


def test_it_ends_before_anything_waits(lying: Lying) -> None:
    lying.view.end()
    assert (lying.settler.told, lying.ponderer.told) == (["end"], ["end"])


def test_another_state_lies_beside_it(lying: Lying) -> None:
    lying.add(TIGHT)
    given = lying.lay(1)
    lying.settler.answers(given, SAID)
    lying.heard()
    lying.view.lay_beside(0, lying.history.state(0))
    beside = order(1, 0, SMALL, which="second")
    assert lying.settler.asked[1:] == [beside]
    assert lying.heard() == [tries(lying, tried(1, 0, "set", slack=-0.08), second=0)]
    said = SAID.model_copy(update={"which": "second"})
    lying.settler.answers(beside, said)
    assert lying.heard() == [said]  # and of no try
    assert list(lying.history.outcomes) == [1]
    lying.settler.answers(replace(beside, state=1), said)  # another lay there before
    assert lying.heard() == []
    lying.lay(2)
    assert lying.settler.asked[2:] == [order(2, 1, TIGHT), order(2, 0, SMALL, which="second")]
    assert [one.which for one in lying.view.known if isinstance(one, TellSaid)] == ["second"]
    lying.view.lay_beside(None, None)
    assert lying.heard()[0] == tries(lying, tried(1, 0, "set", slack=-0.08))
    assert len(lying.settler.asked) == 4
    assert not any(isinstance(one, TellSaid) for one in lying.view.known)


def test_a_piece_comes_with_what_was_tried_of_it_and_what_lay_beside(
    lying: Lying, monkeypatch: pytest.MonkeyPatch
) -> None:
    for slack in ("-0.05", "-0.06"):
        lying.add(SMALL.replace("-0.04", slack))
    for state in (1, 0, 2):
        lying.history.came_of(state, RestOutcome(7.5, 2.25, 3))
    lying.history.lay_beside(1)
    monkeypatch.setattr(fabric, "MOST_TRIES", 2)
    given = lying.lay(1)
    held = tried(0, None, "begun"), tried(2, 1, "set", slack=-0.06)
    assert lying.heard()[-1] == tries(lying, *held, second=1)
    assert lying.settler.asked[-1] == order(1, 1, SMALL.replace("-0.04", "-0.05"), which="second")
    lying.settler.answers(replace(given, state=1), SAID)
    assert lying.heard()[-1] == tries(lying, held[1], tried(1, 0, "set", slack=-0.05), second=1)
    other = History.begun(lying.history.journal.path.parent, "other", SceneText(TIGHT, PATH))
    lying.view.begin(other)
    assert list(lying.view.known) == []
    lying.view.lay(other, 2)
    lying.loop.go_on()
    assert lying.told[-1] == TellTries(now=0, second=None, each=())
    other.journal.close()


def test_a_large_chart_is_not_told_with_a_try(lying: Lying, monkeypatch: pytest.MonkeyPatch) -> None:
    for most, chart in ((5, None), (6, ((1, 1, 0), (0, 0, 1)))):
        monkeypatch.setattr(fabric, "MOST_SQUARES", most)
        lying.settler.answers(lying.lay(1), SAID)
        assert lying.heard()[-1].each == (tried(0, None, "begun", chart=chart),)


def test_what_was_tried_is_told_even_where_the_disk_is_full(lying: Lying, monkeypatch: pytest.MonkeyPatch) -> None:
    given = lying.lay(1)
    lying.heard()

    def full(record: object) -> None:
        raise OSError("full")

    monkeypatch.setattr(lying.history.journal, "write", full)
    lying.settler.answers(given, SAID)
    assert lying.heard() == [SAID, tries(lying, tried(0, None, "begun"))]


class HeldThread:
    """A thread that does its work when it is let."""

    begun: ClassVar[list[Callable[[], None]]] = []

    def __init__(self, target: Callable[[], None], daemon: bool) -> None:
        assert daemon  # nobody waits for it in the end
        self.start = lambda: self.begun.append(target)


def test_where_catches_are_planned_counting_is_told_as_soon_as_they_are(
    lying: Lying, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fabric, "threading", SimpleNamespace(Thread=HeldThread))
    monkeypatch.setattr(HeldThread, "begun", [])
    lying.add(PLANNED)
    lying.view.look("repeat", USUAL_STEPS)
    lying.lay(1)
    assert lying.heard() == [tries(lying)]
    HeldThread.begun[0]()
    assert lying.told == []  # in the loop's thread
    assert lying.heard() == [counted(lying.history.draft.scene, 1, "repeat")]
    lying.lay(2)
    lying.heard()
    lying.lay(3)
    HeldThread.begun[1]()  # it had to wait until nobody wanted it
    assert lying.heard() == [tries(lying)]
    assert len(HeldThread.begun) == 3
