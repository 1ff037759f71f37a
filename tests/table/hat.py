"""The built-in hat as the table first shows it, and as it comes to rest."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from fabricsim.cli.commands.table.telling import told
from fabricsim.design.scene.read import DEMO
from fabricsim.table.messages.fabrics import TellSaid
from fabricsim.table.serving.fabric import USUAL_STEPS
from fabricsim.table.solving.order import Order, Outcome
from fabricsim.table.solving.settling import Settling
from fabricsim.table.solving.shape import Shape

TEXT = (resources.files("fabricsim.design.scene") / "demo" / DEMO).read_text(encoding="utf-8")
ORDER = Order("first", 0, 0, TEXT, Path(DEMO), "round", USUAL_STEPS)


class MemoryWire:
    """Keeps what is told; nothing newer ever comes."""

    def __init__(self) -> None:
        self.told: list[Outcome] = []

    def overtaken(self, order: Order) -> bool:
        return False

    def tell(self, order: Order, what: Outcome) -> None:
        self.told.append(what)


def at_rest(order: Order = ORDER) -> tuple[Shape, TellSaid]:
    """Return the last shape of an order and what is said of it, brought to rest here and now."""
    wire = MemoryWire()
    Settling()(order, wire, told)
    return (
        [one for one in wire.told if isinstance(one, Shape)][-1],
        next(one for one in wire.told if isinstance(one, TellSaid)),
    )
