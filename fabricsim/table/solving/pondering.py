"""What takes longer than a look: what might be done about a piece, and how far its forecast may be off.

Begun once the hand is still. It does not ask whether to go on: the next change ends its process.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from fabricsim.cores import usable_cores
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures
from fabricsim.fabric.settling import settle
from fabricsim.render.browser.yarn import drawn_yarn
from fabricsim.study.forecast.forecast import Counted, forecast
from fabricsim.table.messages.fabrics import TellSaid, TellWorking
from fabricsim.table.solving.drawing import shape_of
from fabricsim.table.solving.kept import kept_said
from fabricsim.table.solving.order import Candidates, Order, Teller, Wired
from fabricsim.table.solving.settling import UsualPiece
from fabricsim.table.solving.shape import Shape
from fabricsim.table.solving.suggesting import Suggested, by_counting, by_slack, by_width
from fabricsim.units import MM

LEFT_FREE = 1
"""Processors that are left for the hand (chosen)."""


def ponder(order: Order, wire: Wired, teller: Teller) -> None:
    """Tell what might be tried and what would come of it, the likely range, and how loose floats would have to be."""
    processes = max(1, usable_cores() - LEFT_FREE)
    wire.tell(order, TellWorking(revision=order.revision, on="advice"))
    rest = _rest(order)
    measures = rest[1]
    candidates = [*by_counting(order), *by_width(order, measures)]
    _tell(order, wire, candidates)
    candidates = [_tried(order, one, rest) for one in candidates]
    _tell(order, wire, candidates)

    if kept_said(order) is None:  # else it was told at once
        wire.tell(order, TellWorking(revision=order.revision, on="likely", share=0.0))
        for told in whole(order, teller, processes, _counted(order, wire, "likely")):
            wire.tell(order, told)

    wire.tell(order, TellWorking(revision=order.revision, on="loosen"))
    looser = [_tried(order, one, rest) for one in by_slack(order, processes, _counted(order, wire, "loosen"))]
    if looser:
        _tell(order, wire, [*candidates, *looser])
    wire.tell(order, TellWorking(revision=order.revision, on="idle"))


def whole(order: Order, teller: Teller, processes: int, counted: Counted | None = None) -> tuple[TellSaid, Shape]:
    """Return what is said of the whole forecast of an order, the one of ``preview``, and the fabric that it shows."""
    found = forecast(order.scene, order.case, processes=processes, counted=counted)
    drawn = drawn_yarn(found.equilibrium, order.steps, apart=True)
    shown = shape_of(found.equilibrium, drawn, apart=True, rest=True, revision=order.revision, which=order.which)
    return teller(found, order.revision, order.which, likely=True), shown


def _counted(order: Order, wire: Wired, on: Literal["likely", "loosen"]) -> Counted:
    """Return what tells how many of the pieces of other hands are at rest."""

    def begun(what: str, most: int) -> Callable[[int], None]:
        return lambda done: wire.tell(order, TellWorking(revision=order.revision, on=on, step=done, share=done / most))

    return begun


def _tell(order: Order, wire: Wired, candidates: list[Suggested]) -> None:
    wire.tell(order, Candidates(tuple((one.suggestion, one.draft.text) for one in candidates)))


def _rest(order: Order, start: Equilibrium | None = None) -> tuple[Equilibrium, Measures]:
    """Return a scene at rest, as it is shown at once, and what it measures."""
    piece = UsualPiece.of(order)
    rest = settle(piece.knitted, start)
    assert rest is not None  # nobody stops it
    return rest, piece.told(rest).measures


def _tried(order: Order, one: Suggested, now: tuple[Equilibrium, Measures]) -> Suggested:
    """Return a suggestion with what is and what would come of it."""
    try:
        after = _rest(replace(order, text=one.draft.text), now[0])[1]
    except NoEquilibriumError:
        return one
    told = {
        f"{name}_{when}": value
        for when, measures in (("before", now[1]), ("after", after))
        for name, value in (
            ("loss_percent", 100.0 * measures.widths.overall),
            ("pucker_mm", measures.pucker.peak_to_valley / MM),
        )
    }
    return Suggested(one.suggestion.model_copy(update=told), one.draft)
