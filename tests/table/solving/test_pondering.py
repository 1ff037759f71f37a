"""What takes longer than a look: in which order it is found and told, every solve a stand-in."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from fabricsim.errors import NoEquilibriumError
from fabricsim.table.messages.fabrics import Suggestion, TellWorking
from fabricsim.table.solving import pondering
from fabricsim.table.solving.order import Candidates, Order
from fabricsim.table.solving.pondering import ponder, whole
from fabricsim.table.solving.suggesting import Suggested
from tests.table.solving.made_up import ORDER, WireHeard, measured, order_of
from tests.table.test_drafts import SMALL

LOOSE, CAUGHT, WIDE, WRONG = (f"{SMALL}# {word}\n" for word in ("looser", "caught", "wider", "wrong"))
LOST = {SMALL: (0.25, 0.004), CAUGHT: (0.125, 0.002), WIDE: (0.5, 0.001), LOOSE: (0.0, 0.0)}
"""Width lost and pucker, m, of each text at rest."""


def suggested(what: Any, text: str) -> Suggested:
    return Suggested(Suggestion(id=what, what=what, over_before=3, over_after=1), order_of(text).draft)


def tried(what: Any, text: str) -> tuple[Suggestion, str]:
    """Return a suggestion as it is told once its rest is known."""
    (lost, pucker), (was, puckered) = LOST[text], LOST[SMALL]
    told = {
        "loss_percent_before": 100 * was, "loss_percent_after": 100 * lost,
        "pucker_mm_before": 1000 * puckered, "pucker_mm_after": 1000 * pucker,
    }  # fmt: skip
    return suggested(what, text).suggestion.model_copy(update=told), text


class Pondered:
    """What is found where every solve is a stand-in; ``asked`` of whom, with what."""

    def __init__(self, patch: pytest.MonkeyPatch, *, kept: bool = False, looser: bool = True) -> None:
        self.asked: list[Any] = []
        self.wire = WireHeard()
        stand_ins = {
            "usable_cores": lambda: 4,
            "UsualPiece": SimpleNamespace(of=self._piece),
            "settle": self._settled,
            "by_counting": lambda order: FOUND[:2],
            "by_width": self._by_width,
            "by_slack": self._by_slack,
            "kept_said": lambda order: "said" if kept else None,
            "whole": self._whole,
        }
        for name, one in stand_ins.items():
            patch.setattr(pondering, name, one)
        self.looser = looser

    def _piece(self, order: Order) -> Any:
        def told(rest: object) -> Any:
            assert rest == f"rest of {order.text}"
            return SimpleNamespace(measures=measured(*LOST[order.text]))

        return SimpleNamespace(knitted=order.text, told=told)

    def _settled(self, knitted: str, start: object) -> str:
        self.asked.append(("settle", knitted, start))
        if knitted == WRONG:
            raise NoEquilibriumError("it does not come to rest")
        return f"rest of {knitted}"

    def _by_width(self, order: Order, measures: Any) -> list[Suggested]:
        assert (order, measures.widths.overall) == (ORDER, 0.25)
        return [FOUND[2]]

    def _by_slack(self, order: Order, processes: int, counted: Any) -> list[Suggested]:
        assert (order, processes) == (ORDER, 3)
        counted("hands", 8)(2)
        return [suggested("loosen", LOOSE)] if self.looser else []

    def _whole(self, order: Order, teller: object, processes: int, counted: Any) -> tuple[str, str]:
        assert (order, teller, processes) == (ORDER, "teller", 3)
        counted("hands", 4)(1)
        counted("hands", 4)(4)
        return "said", "shown"


def working(on: Any, step: int = 0, share: float | None = None) -> TellWorking:
    return TellWorking(revision=3, on=on, step=step, share=share)


FOUND = suggested("catch", CAUGHT), suggested("stitch", WRONG), suggested("repeat", WIDE)
TRIED = tried("catch", CAUGHT), (FOUND[1].suggestion, WRONG), tried("repeat", WIDE)
ADVICE = [working("advice"), Candidates(tuple((one.suggestion, one.draft.text) for one in FOUND)), Candidates(TRIED)]
LIKELY = [working("likely", share=0.0), working("likely", 1, 0.25), working("likely", 4, 1.0), "said", "shown"]
LOOSEN = [working("loosen"), working("loosen", 2, 0.25)]


def test_advice_comes_first_then_what_is_likely_then_how_loose(monkeypatch: pytest.MonkeyPatch) -> None:
    pondered = Pondered(monkeypatch)
    ponder(ORDER, pondered.wire, "teller")  # type: ignore[arg-type]
    assert pondered.wire.told == [
        *ADVICE, *LIKELY, *LOOSEN, Candidates((*TRIED, tried("loosen", LOOSE))), working("idle"),
    ]  # fmt: skip
    assert set(map(id, pondered.wire.orders)) == {id(ORDER)}
    now = f"rest of {SMALL}"  # each is tried from how the piece lies
    assert pondered.asked == [
        ("settle", SMALL, None), *(("settle", text, now) for text in (CAUGHT, WRONG, WIDE, LOOSE)),
    ]  # fmt: skip


def test_what_is_kept_is_not_reckoned_again_and_no_advice_is_told_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    pondered = Pondered(monkeypatch, kept=True, looser=False)
    ponder(ORDER, pondered.wire, "teller")  # type: ignore[arg-type]
    assert pondered.wire.told == [*ADVICE, *LOOSEN, working("idle")]


def test_one_processor_is_used_where_there_is_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    pondered = Pondered(monkeypatch, kept=True)
    processes: list[int] = []
    monkeypatch.setattr(pondering, "usable_cores", lambda: 1)
    monkeypatch.setattr(pondering, "by_slack", lambda order, count, counted: processes.append(count) or [])
    ponder(ORDER, pondered.wire, "teller")  # type: ignore[arg-type]
    assert processes == [1]


def test_the_whole_forecast_is_said_and_shown_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def forecast(scene: Any, case: str, *, processes: int, counted: object) -> Any:
        asked.append((scene.title, case, processes, counted))
        return SimpleNamespace(equilibrium="rest")

    def teller(*what: Any, **how: Any) -> Any:
        asked.append((what[0].equilibrium, *what[1:], how))
        return "said"

    monkeypatch.setattr(pondering, "forecast", forecast)
    monkeypatch.setattr(pondering, "drawn_yarn", lambda *what, **how: (*what, how))
    monkeypatch.setattr(pondering, "shape_of", lambda *what, **how: (*what, how))
    beside = replace(ORDER, which="second")
    assert whole(beside, teller, 3) == (
        "said",
        ("rest", ("rest", 12, {"apart": True}), {"apart": True, "rest": True, "revision": 3, "which": "second"}),
    )
    assert asked == [("Small", "round", 3, None), ("rest", 3, "second", {"likely": True})]
