"""The bench: what every piece starts from, and a piece brought to rest from it, in whatever process."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import Patience, Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.mechanics.assemble import State
from fabricsim.study.hands.hand import Hand
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands


@dataclass(frozen=True)
class Bench:
    """What every piece starts from: the ``fabric`` as the scene says, what is known of the ``hands``, and a ``state``
    in which it rests as the ``first`` hand knits it; ``key``: of no other."""

    fabric: Fabric
    hands: Hands
    first: Hand
    state: State
    key: str

    @classmethod
    def of(cls, fabric: Fabric, hands: Hands, first: Hand, rest: Equilibrium) -> Bench:
        mesh = rest.mesh
        told = [rest.x_nc.tobytes(), mesh.floats.length_f.tobytes(), mesh.floats.node_f2.tobytes()]
        told += [repr(fabric.stiffness).encode(), mesh.case.encode(), mesh.rest_nc.tobytes()]
        return cls(fabric, hands, first, rest.state, hashlib.sha256(b"|".join(told)).hexdigest())


_first: dict[str, Equilibrium] = {}
"""The first piece at rest, in each process that works: only of the last bench."""


def rest_of_first(bench: Bench) -> Equilibrium:
    """Return the first piece at rest, which was found before in another process."""
    if bench.key not in _first:
        _first.clear()
        _first[bench.key] = come_to_rest(in_hand(bench.fabric, bench.first, bench.hands), bench.state)
    return _first[bench.key]


OF_A_PIECE = Patience(steps=160, ramps=(1,))
"""A piece is one of many: its slack is let in all at once and in few steps, for what finds no rest so crumples and
would take minutes more (chosen: most take 10 to 40 steps, one that folds deeply 80 to 130)."""


def at_rest(fabric: Fabric, from_rest: Equilibrium, progress: Progress | None = None) -> Equilibrium:
    """Return a piece at rest, let go from another of the same chart, drawn out to its own gauge; raises
    NoEquilibriumError."""
    by = fabric.mesh.stitch_width / from_rest.mesh.stitch_width
    period_a = None if from_rest.period_a is None else by * from_rest.period_a
    return come_to_rest(fabric, replace(from_rest, x_nc=by * from_rest.x_nc, period_a=period_a), progress, OF_A_PIECE)
