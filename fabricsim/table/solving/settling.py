"""One order from the first look to the rest, and what is said of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.mechanics.assemble import State
from fabricsim.study.forecast.forecast import SEED, Labour, forecast_of
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import carrying
from fabricsim.table.messages.told import TellWorking
from fabricsim.table.solving.order import Order, Outcome, Teller
from fabricsim.table.solving.shapes import shape_of

Check = Callable[[], None]


@dataclass
class Settling:
    """Settles one order after the other, each from where the last one lay if it has the same stitches."""

    tell: Callable[[Order, Outcome], None]
    teller: Teller
    last: Equilibrium | None = None

    def settle(self, order: Order, check: Check) -> None:
        """Bring an order to rest and tell of it: its shape, its numbers, its yarns kept apart. ``check`` ends it."""
        fabric = set_up(order.scene, order.case)
        hands = carrying(order.scene, fabric.mesh.case, other_slack=False, even=False)
        knitted = in_hand(fabric, typical(fabric, SEED), hands)

        def progress(step: int, force: float) -> None:
            check()
            self.tell(order, TellWorking(revision=order.revision, on="rest", step=step))

        rest = come_to_rest(knitted, self._start(knitted), progress)
        self.last = rest
        check()
        found = forecast_of(fabric, hands, Labour(band=False, branch=False), rest=rest)
        revision, steps = order.revision, order.steps
        self.tell(order, shape_of(rest, steps, apart=False, rest=True, revision=revision, measures=found.measures))
        check()
        self.tell(order, self.teller(found, revision, likely=False))
        check()
        self.tell(order, shape_of(rest, steps, apart=True, rest=True, revision=revision, measures=found.measures))
        self.tell(order, TellWorking(revision=revision, on="idle"))

    def _start(self, fabric: Fabric) -> State | None:
        """Return where the last fabric lay, if this has the same stitches in the same case."""
        last = self.last
        if last is None or last.mesh.case != fabric.mesh.case or len(last.x_nc) != len(fabric.mesh.rest_nc):
            return None
        if last.mesh.rows != fabric.mesh.rows or last.mesh.stitch_width != fabric.mesh.stitch_width:
            return None
        return last.state
