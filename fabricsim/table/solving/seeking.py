"""What is looked for when somebody asks: what costs the width, the fewest changes, other places of the motif.

It does not ask whether to go on: whoever wants no more ends its process, and keeps what was told by then.
"""

from __future__ import annotations

from fabricsim.fabric.relax import Progress
from fabricsim.study.change.changing import change
from fabricsim.study.change.costs import costs_of
from fabricsim.study.change.found_ways import KINDS, Changing
from fabricsim.study.change.placing import beginnings, placings
from fabricsim.table.messages.sought import TellSeeking
from fabricsim.table.solving.order import Order, Quest, SearchTellers, Wired


def seek(order: Order, wire: Wired, tellers: SearchTellers) -> None:
    """Look for what an order asks for, and tell of it: ways as each is found."""
    search = order.search or Quest("costs")

    def tell(words: str, share: float | None = None) -> None:
        wire.tell(order, TellSeeking(what=search.what, words=words, share=share))

    def stage(name: str, number: int, of: int) -> Progress | None:
        tell(name, number / of if of > 1 else None)
        return None

    tell("")
    scene = order.scene
    if search.what == "costs":
        wire.tell(order, tellers.costs(costs_of(scene, order.case, stage=stage), order))
    elif search.what == "changes":

        def found_one(so_far: Changing) -> None:
            wire.tell(order, tellers.changes(so_far, order))
            tell("", len(so_far.ways) / len(KINDS))

        found = change(scene, tellers.aims(search), order.case, found_one=found_one)
        wire.tell(order, tellers.changes(found, order))
    else:
        begun = beginnings(scene)
        wire.tell(order, tellers.places(begun, (), order))
        wire.tell(order, tellers.places(begun, placings(scene, stage), order))
    wire.tell(order, TellSeeking(what=search.what, ended="found"))
