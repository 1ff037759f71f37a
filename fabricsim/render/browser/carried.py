"""Yarn that goes along with its stitches: a first look at a fabric on its way, before the yarn is laid anew."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array
from scipy.spatial import cKDTree

from fabricsim.arrays import AnyArray
from fabricsim.breaks import asked
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.browser.yarn import DrawnYarn, stitch_arrays
from fabricsim.render.yarn.tiling import Tiling, tiled
from fabricsim.units import MM

NEAR = 6
"""Stitches that a point of yarn goes along with (chosen: those about it, of a lattice with four sides)."""
AT_ONCE = 20_000
"""Points that are looked at before it is asked whether to go on (chosen: about 20 ms)."""
_SAME = ("neighbour_n4", "yarn_n", "origin_n", "node_f2", "yarn_f", "origin_f")


@dataclass(frozen=True, eq=False)
class CarriedYarn:
    """The yarn ``drawn`` of a fabric that lay still; ``share_pn`` (points, nodes): by how much of the way of each
    stitch or ghost its points go along."""

    drawn: DrawnYarn
    share_pn: csr_array

    @classmethod
    def of(cls, drawn: DrawnYarn) -> CarriedYarn:
        """Find with which stitches each point goes along. It may be broken off (``breaks``).

        The nearest share it by Franke and Little's weights, (1/d - 1/d_last)^2 from memory: the farthest of them has
        none, so that no point jumps where another stitch becomes the nearest.
        """
        x_pc = drawn.arrays["point"].astype(float) * MM
        nodes, near = cKDTree(drawn.tiling.x_nc), min(NEAR, len(drawn.tiling.x_nc))
        share_pk, node_pk = np.empty((len(x_pc), near)), np.empty((len(x_pc), near), dtype=np.intp)
        for begin in range(0, len(x_pc), AT_ONCE):
            asked()
            part = slice(begin, begin + AT_ONCE)
            far_pk, node_pk[part] = nodes.query(x_pc[part], near)
            inverse_pk = 1.0 / np.maximum(far_pk, 1e-6 * drawn.thickness)
            share_pk[part] = (inverse_pk - inverse_pk[:, -1:]) ** 2
        total_p1 = share_pk.sum(axis=1, keepdims=True)
        share_pk = np.where(total_p1 > 0.0, share_pk / np.where(total_p1 > 0.0, total_p1, 1.0), 1.0 / near)
        begins = np.arange(0, near * len(x_pc) + 1, near)
        share_pn = csr_array((share_pk.ravel(), node_pk.ravel(), begins), shape=(len(x_pc), len(drawn.tiling.x_nc)))
        return cls(drawn, share_pn)

    def along(self, equilibrium: Equilibrium) -> DrawnYarn | None:
        """Return the yarn as its stitches take it along to where they lie in ``equilibrium``, in a tenth of the time of
        laying it; None if that has other stitches or floats. How slack a float is shows when it is laid anew."""
        tiling, before = tiled(equilibrium), self.drawn.tiling
        if not _alike(tiling, before):
            return None
        moved_pc = self.share_pn @ (tiling.x_nc - before.x_nc)
        arrays: dict[str, AnyArray] = {
            **self.drawn.arrays,
            **stitch_arrays(equilibrium, tiling),
            "point": (self.drawn.arrays["point"] + moved_pc / MM).astype(np.float32),
        }
        return replace(self.drawn, tiling=tiling, arrays=arrays)


def _alike(one: Tiling, other: Tiling) -> bool:
    """Return whether two fabrics are of the same stitches and floats, to the same gauge."""
    if (one.width, one.height, one.x_nc.shape) != (other.width, other.height, other.x_nc.shape):
        return False
    return all(np.array_equal(getattr(one, name), getattr(other, name)) for name in _SAME)
