"""The built-in hat as the table first shows it, and as it comes to rest."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from fabricsim.cli.commands.table.telling import told
from fabricsim.cores import usable_cores
from fabricsim.design.scene.read import DEMO
from fabricsim.table.messages.fabrics import TellSaid
from fabricsim.table.serving.fabric import USUAL_STEPS
from fabricsim.table.solving.order import Order
from fabricsim.table.solving.pondering import whole
from fabricsim.table.solving.shape import Shape

TEXT = (resources.files("fabricsim.design.scene") / "demo" / DEMO).read_text(encoding="utf-8")
ORDER = Order("first", 0, 0, TEXT, Path(DEMO), "round", USUAL_STEPS)


def at_rest(order: Order = ORDER) -> tuple[Shape, TellSaid]:
    """Return the shape of an order and what is said of its whole forecast, made here and now."""
    said, shape = whole(order, told, usable_cores())
    return shape, said
