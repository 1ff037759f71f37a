"""A swatch as a knitter finds it, its edges let curl, beside the one that is pinned flat to be measured."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import curled
from fabricsim.fabric.whole import is_whole


@dataclass(frozen=True, eq=False)
class Unpinned:
    """A swatch without its pins: at ``rest``; ``width`` m, what a tape laid right across finds, and ``pinned`` m, what
    it finds of it pinned flat; ``stands`` m, how high it rises off the table."""

    rest: Equilibrium
    width: float
    pinned: float
    stands: float

    @property
    def depth(self) -> float:
        """How deep its edges curl, m."""
        return self.rest.stiffness.curl_depth


def unpinned(pinned: Equilibrium) -> Unpinned | None:
    """Return a swatch that rests ``pinned`` flat as it lies once its pins are out.

    None where no edge is free to curl or the whole piece is shaped, where it curls already, and where it comes to no
    rest.
    """
    if pinned.mesh.case != "swatch" or is_whole(pinned.mesh):
        return None
    if pinned.stiffness.curl_across or pinned.stiffness.curl_up:
        return None
    fabric = pinned.contact.fabric
    try:
        rest = come_to_rest(replace(fabric, stiffness=curled(fabric.scene, fabric.stiffness)), pinned)
    except NoEquilibriumError:
        return None
    return Unpinned(rest, widths(rest).width, widths(pinned).width, float(np.ptp(rest.x_nc[:, 2])))
