"""A fabric under the hand: it settles step by step, is seen on its way, may be stopped, and begins where it lay."""

from __future__ import annotations

from collections.abc import Callable

from fabricsim.breaks import broken_off_when
from fabricsim.errors import NoEquilibriumError, StoppedError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.look import Onlooker
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric


def settle(
    fabric: Fabric,
    start: Equilibrium | None = None,
    *,
    look: Onlooker | None = None,
    stop: Callable[[], bool] | None = None,
) -> Equilibrium | None:
    """Return where ``fabric`` comes to rest from ``start``, by default from plain fabric; None if it was stopped.

    ``start`` is a like fabric at rest, or as a look showed it: with other slack, other catches, other stitches
    painted, but of the same size and load case; of what was in contact there is kept what still holds. One of another
    size or case is left aside, and one that leads nowhere too. ``look`` is handed the fabric before the first step and
    after each; the last look is the settled one. ``stop`` is asked every few milliseconds, also amid a step, and ends
    the work at once where it says yes; nothing is changed by that, and no look is handed out afterwards.

    A fabric that may rest in several shapes follows the one it begins in; which lies lowest is ``relax``'s to find.
    Raises NoEquilibriumError if the solver finds no rest, and whatever ``look`` and ``stop`` raise.
    """
    begin = start if start is not None and same_size(fabric, start) else None
    try:
        with broken_off_when(stop):
            if begin is not None:
                try:
                    return come_to_rest(fabric, begin, look=look)
                except NoEquilibriumError:
                    pass
            return come_to_rest(fabric, look=look)
    except StoppedError:
        return None


def same_size(fabric: Fabric, rest: Equilibrium) -> bool:
    """Return whether a ``rest`` is of as many rows and stitches as ``fabric``, in the same load case."""
    mesh, known = fabric.mesh, rest.mesh
    across, up = rest.repeats
    return known.case == mesh.case and (known.rows, known.stitches) == (up * mesh.rows, across * mesh.stitches)
