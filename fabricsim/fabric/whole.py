"""The whole piece that a pattern tells, rib, chart and crown, as one fabric ready to be relaxed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.design.counted.yarn_amounts import beyond_loops
from fabricsim.design.floats.found import Float, find_floats
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.shaped_piece import held_in_whole, shaped_rows
from fabricsim.design.rows.shaped import ShapedRows
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.fabric.found_rest import Search
from fabricsim.fabric.mesh import CLOSING
from fabricsim.fabric.setup import QUARTER, Fabric, stiffness_of
from fabricsim.fabric.shaped_mesh import build_shaped_mesh


@dataclass(frozen=True, eq=False)
class WholeFabric:
    """The ``fabric`` of a whole ``piece``, its ``rows``, and what finding its shape took."""

    piece: WholePiece
    rows: ShapedRows
    fabric: Fabric
    search: Search


def set_up_whole(scene: Scene, *, slack: float | None = None, inside_out: bool | None = None) -> WholeFabric:
    """Return the whole piece of a ``scene`` as its pattern tells it: a tube in the round, else flat with its edges.

    ``slack`` takes the place of every slack in the scene. Raises InputError for a piece that can't be knitted so and
    for a slack that can't be, NoEquilibriumError where its plain shape comes to no rest.
    """
    if slack is not None:
        checked_slack(slack, "slack")
    piece = piece_of(scene)
    rows = shaped_rows(piece)
    found = whole_piece_floats(piece, rows, slack)
    return of_rows(scene, piece, rows, found, inside_out)


def whole_piece_floats(piece: WholePiece, rows: ShapedRows, slack: float | None = None) -> tuple[Float, ...]:
    """Return the floats of a whole piece, in a tube those that reach farther than half of the round in parts."""
    scene = piece.scene
    return find_floats(
        rows.yarn_ij,
        closing=CLOSING["round" if rows.tube else "swatch"],
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if slack is None else [slack] * len(scene.yarns),
        catches=held_in_whole(piece),
        farthest=max(1, piece.stitches // QUARTER) if rows.tube else None,
        from_below=scene.strands_from_below,
    )


def of_rows(
    scene: Scene, piece: WholePiece, rows: ShapedRows, found: tuple[Float, ...], inside_out: bool | None = None
) -> WholeFabric:
    """Return the fabric of shaped ``rows`` with the floats ``found`` in them."""
    gauge = scene.gauge
    tex_y = np.array([yarn.tex_value for yarn in scene.yarns])
    yarn_in_floats = sum(beyond_loops(one, rows.yarn_ij, gauge.stitch_width) * tex_y[one.yarn] for one in found)
    every = np.array([[yarn for yarn_j in rows.yarn_ij for yarn in yarn_j]], dtype=np.int64)
    stiffness = stiffness_of(scene, every, tex_y, yarn_in_floats)
    mesh, search = build_shaped_mesh(
        rows,
        found,
        stiffness,
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        inside_out=scene.simulation.inside_out if inside_out is None else inside_out,
    )
    return WholeFabric(piece, rows, Fabric(scene, found, mesh, stiffness, rows.where), search)
