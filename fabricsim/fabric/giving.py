"""Where counts change faster than a surface can follow: how rows give and take, and where that is not enough.

A flat disc loses 2 pi c / w stitches a round towards its middle. Fewer make a cone; more leave fabric that has no room
in any plane about it, so that it ruffles.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.standing import Standing

GIVES_OVER, GIVES_FARTHEST = 3, 8
"""Rounds to either side to which a row gives of its width, or from which it takes: as few of these as make every round
one that a surface can follow, and the fewest where none do (chosen: a few rounds from one of decreases fabric looks as
if there was none)."""
MOST_GIVEN = 0.3
"""Most that is given or taken, share of a stitch's width (chosen: its loops jam or lock at about as much)."""
NO_ROOM = 0.2
"""Share of its widest round that has no room, from which fabric is said to ruffle (chosen: less is taken up by stitches
that jam; the last few rounds of most crowns, decreased in every one, have a tenth)."""


@dataclass(frozen=True)
class Ruffle:
    """Rounds whose counts change too fast: from ``first`` to ``last`` (from 0), ``most`` stitches a round on the
    average, where a flat disc ``loses`` so many; ``fewer`` going up, or more."""

    first: int
    last: int
    most: float
    loses: float
    fewer: bool


def disc_loses(mesh: Mesh) -> float:
    """Return how many stitches a round a flat disc of the gauge of a ``mesh`` loses towards its middle (derived)."""
    return 2.0 * np.pi * mesh.row_height / mesh.stitch_width


def ruffle(mesh: Mesh) -> Ruffle | None:
    """Return where the counts of a tube change so fast that it ruffles; None where they don't. Of several places that
    with the fastest change."""
    standing = mesh.standing
    if standing is None or mesh.case != "round":
        return None
    rows = len(standing.count_i) - (standing.apex >= 0)
    change_i = np.diff(evened(standing.count_i[:rows].astype(np.float64), GIVES_FARTHEST))
    loses, size_i = disc_loses(mesh), np.abs(change_i)
    over_i = size_i > loses
    if not over_i.any():
        return None
    at = int(size_i.argmax())
    first, last = at, at
    while first > 0 and over_i[first - 1]:
        first -= 1
    while last + 1 < len(over_i) and over_i[last + 1]:
        last += 1
    left = float((size_i - loses)[first : last + 1].sum())
    if left < NO_ROOM * standing.count_i[first : last + 2].max():
        return None
    return Ruffle(first, last + 1, float(size_i[at]), loses, bool(change_i[at] < 0.0))


def given_and_taken(standing: Standing, follows: float) -> Floats:
    """Return the width of each stitch, (n,), over its gauge's, where counts change at a stroke.

    Rows that are wider than the mean of those about them give, and those that are narrower take, as their stitches
    slide: where counts change evenly nothing is given, as in a crown, but at the round of a yoke in which one in four
    goes, which no surface could follow, the rounds below lie a little narrower and those above a little wider: over as
    many rounds as it takes until none differs from the next by more than the stitches that a flat disc ``follows``.
    """
    rows = len(standing.count_i) - (standing.apex >= 0)
    count_i = standing.count_i[:rows].astype(np.float64)
    evened_i = evened(count_i, GIVES_OVER)
    for over in range(GIVES_OVER, GIVES_FARTHEST + 1):
        one_i = evened(count_i, over)
        if np.abs(np.diff(one_i)).max(initial=0.0) <= follows:
            evened_i = one_i
            break
    share_i = np.ones(len(standing.count_i))
    share_i[:rows] = evened_i / count_i
    share_n: Floats = np.clip(share_i, 1.0 - MOST_GIVEN, 1.0 + MOST_GIVEN)[standing.row_n]
    return share_n


def evened(count_i: Floats, over: int) -> Floats:
    """Return the means (rows,) over so many rows to either side, the nearest counting most."""
    reach = min(over, len(count_i) - 1)
    if reach == 0:
        return count_i
    kernel = np.bartlett(2 * reach + 3)[1:-1]
    padded = np.pad(count_i, reach, mode="reflect", reflect_type="odd")
    return np.asarray(np.convolve(padded, kernel / kernel.sum(), mode="valid"))
