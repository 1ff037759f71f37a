"""A swatch as a knitter finds it, its edges let curl, beside the one that is pinned flat to be measured."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import widths
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import curled
from fabricsim.fabric.stiffness import CURL_DEPTH


@dataclass(frozen=True, eq=False)
class Unpinned:
    """A swatch without its pins: at ``rest``; ``width`` m, what a tape laid right across finds, and ``pinned`` m, what
    it finds of it pinned flat; ``stands`` m, how high it rises off the table; ``depth`` m, how far in its edges curl.

    ``rest`` is None where none was found, ``why_not``; it is known then as it lies on its pins alone.
    """

    rest: Equilibrium | None
    width: float
    pinned: float
    stands: float
    depth: float = CURL_DEPTH
    why_not: str = ""


def curls_off_pins(pinned: Equilibrium) -> bool:
    """Return whether the edges of what rests ``pinned`` curl once its pins are out.

    Not what has no edges, what curls already, nor what its scene says is flat: pinned for good, ribbed
    or weighed.
    """
    if pinned.mesh.case != "swatch" or pinned.scene.fabric.edges == "flat":
        return False
    return not pinned.stiffness.curls


def unpinned(pinned: Equilibrium, progress: Progress | None = None) -> Unpinned | None:
    """Return what rests ``pinned`` flat as it lies once its pins are out; None where no edge curls then."""
    if not curls_off_pins(pinned):
        return None
    fabric, width = pinned.contact.fabric, widths(pinned).width
    loose = replace(fabric, stiffness=curled(fabric.scene, fabric.stiffness))
    try:
        rest = come_to_rest(loose, pinned, progress)
    except NoEquilibriumError as why:
        return Unpinned(None, width, width, float(np.ptp(pinned.x_nc[:, 2])), why_not=str(why))
    return Unpinned(rest, widths(rest).width, width, float(np.ptp(rest.x_nc[:, 2])))


def as_seen(pinned: Equilibrium, loose: Unpinned | None) -> Equilibrium:
    """Return a piece as it is shown lying: off its pins, if it is known so."""
    return pinned if loose is None or loose.rest is None else loose.rest
