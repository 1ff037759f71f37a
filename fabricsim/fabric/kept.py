"""Pairs of places that are near each other, kept until so much has moved that others may have come near.

A step on the way to rest moves most of the fabric alike: it draws in, tilts, goes along. So what counts is how far
stitches move beyond the best affine map of them all, x -> A x + b. Two places a distance d apart are afterwards no
nearer than s d - 2 m, s the least singular value of A and m the farthest that any stitch moves beyond it (derived; a
place is the mean of stitches, so it moves no farther; for a periodic cell A is how its sizes change, so images move
alike). While that is more than what is asked of all pairs that were farther away, they need not be looked for anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from fabricsim.arrays import Floats, Ints, norms
from fabricsim.fabric.pairs import Surface, apart, near
from fabricsim.mechanics.assemble import State


@dataclass(frozen=True, eq=False)
class Nearby:
    """Pairs of places: ``place_p2`` (p, 2), the second ``shift_p2`` (p, 2) periods away, and how far apart they lie in
    plain fabric, ``plain_p`` (p,) m."""

    place_p2: Ints
    shift_p2: Ints
    plain_p: Floats


class KeptPairs:
    """The pairs of places of a surface that lie nearer than asked, no ``least`` (m) or less apart in ``plain`` fabric.

    ``spare`` m: by how much farther than asked they are looked for, so that they may be kept.
    """

    def __init__(self, faces: Surface, plain: State, spare: float, least: float = 0.0) -> None:
        self._faces, self._plain, self._spare, self._least = faces, plain, spare, least
        self._known: tuple[_Moved, float, Nearby] | None = None

    def nearer(self, state: State, reach: float) -> Nearby:
        """Return pairs among which are all that are nearer than ``reach`` (m) in a state; they are looked for if those
        at hand don't do."""
        found = self.at_hand(state, reach)
        if found is None:
            wide = reach + self._spare
            place_p2, shift_p2 = near(self._faces.at(state), state.period_a, wide)
            plain_p = apart(self._faces.at(self._plain), self._plain.period_a, place_p2, shift_p2)
            kept_p = plain_p >= self._least
            found = Nearby(place_p2[kept_p], shift_p2[kept_p], plain_p[kept_p])
            self._known = (_Moved(state), wide, found)
        return found

    def at_hand(self, state: State, reach: float) -> Nearby | None:
        """Return the pairs that are kept if all that are nearer than ``reach`` (m) are still among them."""
        if self._known is None:
            return None
        since, wide, found = self._known
        least, own = since.to(state)
        return found if least * wide - 2.0 * own >= reach else None

    def __getstate__(self) -> dict[str, Any]:
        """What goes to another process: not the pairs, which are soon found again."""
        return {**self.__dict__, "_known": None}


class _Moved:
    """How a fabric has moved since a state."""

    def __init__(self, state: State) -> None:
        self._period_a = state.period_a
        self._x_nc = state.x_nc - state.x_nc.mean(axis=0)
        self._inverse = np.linalg.pinv(self._x_nc.T @ self._x_nc)

    def to(self, state: State) -> tuple[float, float]:
        """Return the least singular value of the best affine map to ``state``, and the most (m) that any stitch moves
        beyond it; infinite where that is no number."""
        now_nc = state.x_nc - state.x_nc.mean(axis=0)
        if not np.isfinite(now_nc).all():
            return 0.0, np.inf
        if self._period_a is None or state.period_a is None:
            even_cc = np.eye(3) + self._inverse @ (self._x_nc.T @ (now_nc - self._x_nc))
        else:
            even_cc = np.diag([*(state.period_a / self._period_a), 1.0])
        own = float(norms(now_nc - self._x_nc @ even_cc).max())
        return float(np.linalg.svd(even_cc, compute_uv=False)[-1]), own
