"""One order from the first look to the rest, and what is said of it."""

from __future__ import annotations

from dataclasses import dataclass
from time import perf_counter

from fabricsim.breaks import broken_off_when
from fabricsim.errors import StoppedError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.look import Look
from fabricsim.fabric.measures import Measures
from fabricsim.fabric.settling import settle
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.render.browser.carried import CarriedYarn
from fabricsim.render.browser.yarn import DrawnYarn, drawn_apart, drawn_yarn
from fabricsim.study.forecast.forecast import SEED, Forecast, Labour, forecast_of
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands, carrying
from fabricsim.table.messages.fabrics import TellWorking
from fabricsim.table.solving.drawing import shape_of
from fabricsim.table.solving.order import Order, Teller, Which, Wired

DRAWING = 2.0
"""Times as long as a look took to draw that the solver goes on before the next (chosen: a third of the time goes there,
and none is drawn that nobody sees)."""


@dataclass(frozen=True)
class UsualPiece:
    """A scene in a usual pair of hands: the ``fabric`` as the scene says, what is known of the ``hands``, and the
    fabric as they have ``knitted`` it: the one that ``preview --draft`` shows."""

    fabric: Fabric
    hands: Hands
    knitted: Fabric

    @classmethod
    def of(cls, order: Order) -> UsualPiece:
        fabric = set_up(order.scene, order.case)
        hands = carrying(order.scene, fabric.mesh.case, other_slack=False, even=False)
        return cls(fabric, hands, in_hand(fabric, typical(fabric, SEED), hands))

    def told(self, rest: Equilibrium) -> Forecast:
        """Return what is said of it at ``rest``, without the pieces of other hands."""
        return forecast_of(self.fabric, self.hands, Labour(band=False, branch=False), rest=rest)


class Showing:
    """Sends an order's fabric as it settles, not more often than it can be drawn, and at rest.

    ``carried``: the yarn as it lay at rest just before. The first look takes it along with its stitches, which is
    quicker than to lay it anew; all looks after it are laid.
    """

    def __init__(self, order: Order, wire: Wired, carried: CarriedYarn | None) -> None:
        self._order, self._wire, self._carried = order, wire, carried
        self._drawn, self._cost = perf_counter(), 0.0
        self.last: Equilibrium | None = None

    def look(self, at: Look) -> None:
        """Take a look at the fabric on its way."""
        self._wire.tell(self._order, TellWorking(revision=self._order.revision, on="rest", step=at.step))
        begun = perf_counter()
        if at.settled or at.step == 0 or begun - self._drawn < DRAWING * self._cost:
            return
        self.last = at.fabric
        drawn, self._carried = None if self._carried is None else self._carried.along(at.fabric), None
        self.show(at.fabric, at.step, drawn=drawn)
        self._drawn = perf_counter()
        self._cost = self._drawn - begun

    def show(
        self,
        fabric: Equilibrium,
        step: int,
        *,
        drawn: DrawnYarn | None = None,
        measures: Measures | None = None,
        rest: bool = False,
        apart: bool = False,
    ) -> DrawnYarn:
        """Send a fabric, its yarn as ``drawn`` or laid for it; return that."""
        order = self._order
        if drawn is None:
            drawn = drawn_yarn(fabric, order.steps, apart=apart)
        shape = shape_of(
            fabric,
            drawn,
            apart=apart,
            rest=rest,
            revision=order.revision,
            step=step,
            measures=measures,
            which=order.which,
        )
        self._wire.tell(order, shape)
        return drawn


class Settling:
    """Settles one order after the other, each from where the last one of its kind lay."""

    def __init__(self) -> None:
        self._last: dict[Which, Equilibrium] = {}
        self._carried: dict[Which, CarriedYarn] = {}

    def __call__(self, order: Order, wire: Wired, teller: Teller) -> None:
        """Bring an order to rest and tell of it: its looks, its numbers, its yarns kept apart."""

        def stop() -> bool:
            return wire.overtaken(order)

        showing = Showing(order, wire, self._carried.pop(order.which, None))
        with broken_off_when(stop):
            piece = UsualPiece.of(order)
            try:
                look = showing.look if order.shows == "looks" else None
                rest = settle(piece.knitted, self._last.get(order.which), look=look, stop=stop)
            finally:
                if showing.last is not None:
                    self._last[order.which] = showing.last
            if rest is None:
                raise StoppedError("a newer change has come")
            self._last[order.which] = rest
            if order.shows != "nothing":
                found, step = piece.told(rest), rest.effort.steps
                drawn = showing.show(rest, step, measures=found.measures, rest=True)
                wire.tell(order, teller(found, order.revision, order.which, likely=False))
                self._carried[order.which] = CarriedYarn.of(drawn)
                apart = drawn_apart(rest, drawn)
                drawn = showing.show(rest, step, drawn=apart, measures=found.measures, rest=True, apart=True)
                self._carried[order.which] = CarriedYarn.of(drawn)
        wire.tell(order, TellWorking(revision=order.revision, on="idle"))
