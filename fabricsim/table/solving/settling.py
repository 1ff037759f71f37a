"""One order from the first look to the rest, and what is said of it."""

from __future__ import annotations

from dataclasses import dataclass
from time import perf_counter

from fabricsim.breaks import broken_off_when
from fabricsim.errors import StoppedError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.look import Look
from fabricsim.fabric.settling import settle
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.forecast.forecast import SEED, Forecast, Labour, forecast_of
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands, carrying
from fabricsim.table.messages.told import TellWorking
from fabricsim.table.solving.order import Order, Teller
from fabricsim.table.solving.shapes import shape_of
from fabricsim.table.solving.worker import Wire

DRAWING = 2.0
"""Times as long as a look took to draw that the solver goes on before the next (chosen: a third of the time goes there,
and none is drawn that nobody sees)."""


@dataclass(frozen=True)
class Knitted:
    """A scene in a usual pair of hands: the ``fabric`` as the scene says, what is known of the ``hands``, and the
    fabric as they have ``knitted`` it: the one that ``preview --draft`` shows."""

    fabric: Fabric
    hands: Hands
    knitted: Fabric

    @classmethod
    def of(cls, order: Order) -> Knitted:
        fabric = set_up(order.scene, order.case)
        hands = carrying(order.scene, fabric.mesh.case, other_slack=False, even=False)
        return cls(fabric, hands, in_hand(fabric, typical(fabric, SEED), hands))

    def told(self, rest: Equilibrium) -> Forecast:
        """Return what is said of it at ``rest``, without the pieces of other hands."""
        return forecast_of(self.fabric, self.hands, Labour(band=False, branch=False), rest=rest)


class Settling:
    """Settles one order after the other, each from where the last one of its kind lay."""

    def __init__(self) -> None:
        self._last: dict[str, Equilibrium] = {}

    def __call__(self, order: Order, wire: Wire, teller: Teller) -> None:
        """Bring an order to rest and tell of it: its looks, its numbers, its yarns kept apart."""

        def stop() -> bool:
            return wire.overtaken(order)

        def shown(fabric: Equilibrium, *, step: int, rest: bool, apart: bool) -> None:
            shape = shape_of(
                fabric, order.steps, apart=apart, rest=rest, step=step, revision=order.revision, which=order.which
            )
            wire.tell(order, shape)

        drawn = perf_counter()
        cost = 0.0

        def look(at: Look) -> None:
            nonlocal drawn, cost
            wire.tell(order, TellWorking(revision=order.revision, on="rest", step=at.step))
            begun = perf_counter()
            if at.settled or at.step == 0 or begun - drawn < DRAWING * cost:
                return
            self._last[order.which] = at.fabric
            shown(at.fabric, step=at.step, rest=False, apart=False)
            drawn = perf_counter()
            cost = drawn - begun

        with broken_off_when(stop):
            piece = Knitted.of(order)
            rest = settle(piece.knitted, self._last.get(order.which), look=look, stop=stop)
            if rest is None:
                raise StoppedError("a newer change has come")
            self._last[order.which] = rest
            shown(rest, step=rest.effort.steps, rest=True, apart=False)
            wire.tell(order, teller(piece.told(rest), order.revision, order.which, likely=False))
            if not stop():
                shown(rest, step=rest.effort.steps, rest=True, apart=True)
        wire.tell(order, TellWorking(revision=order.revision, on="idle"))


def load() -> Settling:
    """Return what settles orders; called in the process that does."""
    return Settling()
