"""How far washed colourwork can follow its plain fabric, row by row, and which floats hold it back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats, Mask
from fabricsim.fabric.form.passing import opens
from fabricsim.fabric.measures import Measures
from fabricsim.fabric.mesh import Mesh

HELD = 1e-6
"""Share by which a float must be shorter than what it bridges to hold anything back (chosen: above round-off)."""


@dataclass(frozen=True, eq=False, repr=False)
class Following(ArrayRecord):
    """``widest_i`` (rows,) m: how wide each row can be laid flat, no stitch wider than in plain fabric, no float longer
    than its yarn; ``plain_i`` (rows,) m: plain fabric; ``short_f`` (f,) bool: floats that hold it back; ``width``,
    ``plain`` m: the mean of the rows from the first with a float to the last."""

    widest_i: Floats
    plain_i: Floats
    short_f: Mask
    width: float
    plain: float

    @property
    def least(self) -> int:
        """The row that follows least, from below, counted from 0."""
        return int(np.round(self.widest_i / self.plain_i, 9).argmin())

    @property
    def all_the_way(self) -> bool:
        """Whether no float holds it back."""
        return not self.short_f.any()


def following(mesh: Mesh, measures: Measures) -> Following:
    """Return how far a fabric with this ``mesh``, of which so much is measured, can follow plain fabric of its gauge.

    A linear program a row: the greatest sum of its stitches. Exact where yarn doesn't give and nothing is pulled.
    """
    table, plain_i = mesh.floats, measures.widths.plain_i
    times_i = np.ones(mesh.rows) if mesh.needle_i is None else mesh.needle_i
    row_f = mesh.row_n[table.node_f2[:, 0]]
    count_i = np.bincount(mesh.row_n, minlength=mesh.rows)
    share_i = np.ones(len(plain_i))
    stranded = np.unique(row_f)
    share_i[stranded] = (opens(mesh, 0.0, 0.0) / (count_i * mesh.stitch_width * times_i))[stranded]
    widest_i = plain_i * np.minimum(share_i, 1.0)
    bridged_f = (table.gap_f + 1) * mesh.stitch_width * times_i[row_f]
    counted = measures.widths.counted
    return Following(
        widest_i=widest_i,
        plain_i=plain_i,
        short_f=np.asarray(table.length_f < (1.0 - HELD) * bridged_f),
        width=float(widest_i[counted].mean()),
        plain=float(plain_i[counted].mean()),
    )
