"""What is looked for when somebody asks: what is asked of whom and told when; nothing is looked for here."""

from __future__ import annotations

from typing import Any

import pytest

from fabricsim.table.messages.sought import Sought, TellSeeking
from fabricsim.table.solving import seeking, trades
from fabricsim.table.solving.order import Quest, SearchTellers
from fabricsim.table.solving.pondering import ponder
from fabricsim.table.solving.seeking import seek
from fabricsim.table.solving.settling import Settling
from tests.table.solving.made_up import ORDER, WireHeard, order_of
from tests.table.test_drafts import SMALL


def tellers() -> SearchTellers:
    """Say what they are handed."""

    def of(name: str) -> Any:
        return lambda *what: (name, *what)

    return SearchTellers(of("aims"), of("costs"), of("changes"), of("places"))


def sought(patch: pytest.MonkeyPatch, search: Quest | None) -> list[Any]:
    """Return what is told of a search; what is found is what was asked for."""

    def costs_of(scene: Any, case: str, *, stage: Any) -> Any:
        assert stage("rows", 1, 4) is stage("squares", 1, 1) is None
        return ("costs of", scene.title, case)

    def change(scene: Any, aims: object, case: str, *, found_one: Any) -> Any:
        for ways in (1, 2):
            found_one(Ways(ways))
        return ("changes of", scene.title, aims, case)

    def placings(scene: Any, stage: Any) -> Any:
        stage("places", 2, 4)
        return ("placings of", scene.title)

    patch.setattr(seeking, "costs_of", costs_of)
    patch.setattr(seeking, "change", change)
    patch.setattr(seeking, "beginnings", lambda scene: ("beginnings of", scene.title))
    patch.setattr(seeking, "placings", placings)
    patch.setattr(seeking, "KINDS", ("one", "two", "three", "four"))
    wire = WireHeard()
    order = order_of(SMALL, search=search)
    trades.seeking(tellers())(order, wire, tellers)  # type: ignore[arg-type]
    assert set(map(id, wire.orders)) == {id(order)}
    return wire.told


class Ways(tuple[int]):
    """So many ways, found so far."""

    def __new__(cls, count: int) -> Ways:
        return super().__new__(cls, (count,))

    @property
    def ways(self) -> range:
        return range(self[0])


def told(what: Sought, words: str = "", share: float | None = None, **more: Any) -> TellSeeking:
    return TellSeeking(what=what, words=words, share=share, **more)


@pytest.mark.parametrize("search", [None, Quest("costs")])
def test_costs_are_told_once_with_how_far_they_are(search: Quest | None, monkeypatch: pytest.MonkeyPatch) -> None:
    assert sought(monkeypatch, search) == [
        told("costs"),
        told("costs", "rows", 0.25),
        told("costs", "squares"),
        ("costs", ("costs of", "Small", "round"), order_of(SMALL, search=search)),
        told("costs", ended="found"),
    ]


def test_changes_are_told_as_each_way_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    search = Quest("changes", 1.5, True)
    order = order_of(SMALL, search=search)
    assert sought(monkeypatch, search) == [
        told("changes"),
        ("changes", Ways(1), order),
        told("changes", "", 0.25),
        ("changes", Ways(2), order),
        told("changes", "", 0.5),
        ("changes", ("changes of", "Small", ("aims", search), "round"), order),
        told("changes", ended="found"),
    ]


def test_where_a_round_may_begin_is_told_before_places_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    order = order_of(SMALL, search=Quest("places"))
    begun = ("beginnings of", "Small")
    assert sought(monkeypatch, order.search) == [
        told("places"),
        ("places", begun, (), order),
        told("places", "places", 0.5),
        ("places", begun, ("placings of", "Small"), order),
        told("places", ended="found"),
    ]


def test_each_trade_is_what_its_module_does() -> None:
    assert isinstance(trades.settling(), Settling)
    assert trades.pondering() is ponder
    assert trades.seeking(tellers()).args[0] is seek  # type: ignore[attr-defined]
    assert ORDER.draft.scene.title == ORDER.scene.title == "Small"
