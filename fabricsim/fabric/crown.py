"""How the crown of a hat lies once it rests: smooth, dished or in ruffles.

Counts alone tell what it has room for. Of a cone that loses d stitches a round where a flat disc loses D, the angle
about the top falls short of a full turn by 1 - d / D of it (its angle defect, derived): a crown with more than a full
turn has no room in any cone. It then ruffles, turns in, or lies pressed together; which of these, its rest alone says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.giving import disc_loses
from fabricsim.fabric.shaped_measures import counts

Lies = Literal["smooth", "dished", "ruffled"]
WAVY = 0.3
"""From peak to valley of a round over the radius of its crown, from which it lies in ruffles (chosen: of fifty random
crowns smooth ones stayed below 0.13, and ruffles stood up by 0.6 and more)."""
DISHED = 1.0
"""Heights of a row by which a top must lie lower than the highest round for its crown to be dished (chosen: more than
where the last stitches are drawn together)."""


@dataclass(frozen=True)
class CrownShape:
    """How a crown ``lies``: it ``loses`` so many stitches a round on the average, where a flat disc takes ``disc``.

    In m: ``radius``, where it begins; ``rises``, how far its top lies above the round from which it decreases;
    ``dips``, how far below its highest round; ``waves``, from peak to valley of the round that is waviest.
    """

    lies: Lies
    loses: float
    disc: float
    radius: float
    rises: float
    dips: float
    waves: float

    @property
    def defect(self) -> float:
        """The share of a full turn by which the angle about the top falls short; negative where there is too much."""
        return 1.0 - self.loses / self.disc


def crown_shape(rest: Equilibrium) -> CrownShape | None:
    """Return how the crown of a piece at rest lies; None of what is not drawn together at its top."""
    mesh, standing = rest.mesh, rest.mesh.standing
    if standing is None or standing.apex < 0:
        return None
    count_i, height_n = counts(mesh), rest.x_nc[:, 1]
    first, last = int(np.flatnonzero(count_i == count_i.max())[-1]), len(count_i) - 1
    if first == last:
        return None
    height_i = np.array([height_n[mesh.row_n == row].mean() for row in range(mesh.rows)])
    # a round climbs by a row as a spiral does: what is left is waves, and a tilt that it rests at
    level_n = height_n - mesh.row_height * (standing.along_n - 0.5)
    waves = max(float(np.ptp(level_n[mesh.row_n == row])) for row in range(first, last + 1))
    dips = float(height_i[first:].max() - height_i[-1])
    radius = float(count_i[first]) * mesh.stitch_width / (2.0 * np.pi)
    lies: Lies = "ruffled" if waves > WAVY * radius else "dished" if dips > DISHED * mesh.row_height else "smooth"
    loses = float(count_i[first] - count_i[last]) / (last - first)
    return CrownShape(lies, loses, disc_loses(mesh), radius, float(height_i[-1] - height_i[first]), dips, waves)
