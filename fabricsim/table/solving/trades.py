"""What the two processes do, by functions that are found without loading what it takes: the server needs none of it."""

from __future__ import annotations

from fabricsim.table.solving.worker import Settle


def settling() -> Settle:
    """Return what brings orders to rest."""
    from fabricsim.table.solving.settling import Settling

    return Settling()


def pondering() -> Settle:
    """Return what finds what takes longer than a look."""
    from fabricsim.table.solving.pondering import ponder

    return ponder
