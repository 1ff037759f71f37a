"""What the processes do, by functions that are found without loading what it takes: the server needs none of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from fabricsim.table.solving.order import Order, SearchTellers, Teller, Wired
from fabricsim.table.solving.worker import Settle

LOADED = tuple(f"fabricsim.table.solving.{trade}" for trade in ("settling", "pondering", "seeking"))
"""What they load, for whoever has it loaded before."""


def settling() -> Settle:
    """Return what brings orders to rest."""
    from fabricsim.table.solving.settling import Settling

    return Settling()


def pondering() -> Settle:
    """Return what finds what takes longer than a look."""
    from fabricsim.table.solving.pondering import ponder

    return ponder


def seeking(tellers: SearchTellers) -> Settle:
    """Return what looks for what is asked for."""
    from fabricsim.table.solving.seeking import seek

    return partial(_sought, seek, tellers)


def _sought(
    seek: Callable[[Order, Wired, SearchTellers], None],
    tellers: SearchTellers,
    order: Order,
    wire: Wired,
    teller: Teller,
) -> None:
    seek(order, wire, tellers)
