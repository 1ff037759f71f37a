"""The mesh of shaped rows: stitches that stand on one, two or three others, at rest where they are found to rest."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.design.floats.found import Float
from fabricsim.design.rows.shaped import ShapedRows
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.found_rest import Search, found
from fabricsim.fabric.mesh import FloatTable, Mesh, float_table, inside_out_factor, on_needles
from fabricsim.fabric.standing import standing_of
from fabricsim.fabric.stiffness import Stiffness


def build_shaped_mesh(
    piece: ShapedRows,
    floats: tuple[Float, ...],
    stiffness: Stiffness,
    *,
    stitch_width: float,
    row_height: float,
    inside_out: bool = False,
    needle_i: Floats | None = None,
) -> tuple[Mesh, Search]:
    """Return the mesh of a shaped ``piece``, a tube in case ``round`` or else a ``swatch``, and what its shape took.

    ``floats`` as found with ``CLOSING`` of that case in the yarns of the piece; ``needle_i``: that of ``Mesh`` for the
    rows of the piece. Raises InputError for a stiffness that is not positive definite, NoEquilibriumError if the shape
    comes to no rest.
    """
    standing = standing_of(piece)
    count = len(standing.row_n)
    case: Case = "round" if piece.tube else "swatch"
    stitches, rows = int(standing.count_i[0]), len(standing.count_i)
    longer = inside_out_factor(case, int(standing.count_i.max()), stitch_width, stiffness.thickness, inside_out)
    yarn = [yarn for row in piece.rows for yarn in row.yarns]
    begin_i = np.concatenate([[0], np.cumsum(standing.count_i)])
    mesh = Mesh(
        case=case,
        rest_nc=np.zeros((count, 3)),
        yarn_n=np.array([*yarn, yarn[-1]] if piece.drawn else yarn, dtype=np.intp),
        row_n=standing.row_n,
        column_n=standing.column_n,
        neighbour_n4=standing.neighbour_n4,
        shift_n42=np.zeros((count, 4, 2), dtype=np.intp),
        period_a=None,
        floats=_floats_on(floats, begin_i, longer),
        rows=rows,
        stitches=stitches,
        stitch_width=stitch_width,
        row_height=row_height,
        thickness=stiffness.thickness,
        floats_longer=longer,
        standing=standing,
    )
    if needle_i is not None:
        mesh = on_needles(mesh, np.pad(needle_i, (0, rows - len(needle_i)), constant_values=1.0))
    return found(mesh, stiffness, piece.where)


def _floats_on(floats: tuple[Float, ...], begin_i: np.ndarray, longer: float) -> FloatTable:
    """Return the floats as ties between stitches of rows that begin at those numbers."""
    first = begin_i[[one.row for one in floats]] + np.array([one.start for one in floats], dtype=np.intp)
    last = begin_i[[one.end_row for one in floats]] + np.array([one.end for one in floats], dtype=np.intp)
    leftward = np.array([one.direction < 0 for one in floats], dtype=bool)
    node_f2 = np.where(leftward[:, None], np.stack([last, first], 1), np.stack([first, last], 1)).reshape(-1, 2)
    return float_table(floats, node_f2, np.zeros_like(node_f2), longer)
