"""The whole piece that a pattern tells, rib, chart and crown, as one fabric ready to be relaxed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.design.counted.yarn_amounts import beyond_loops
from fabricsim.design.floats.found import Float, find_floats
from fabricsim.design.floats.of_scene import in_bands
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.shaped_piece import held_in_whole, shaped_rows
from fabricsim.design.rows.shaped import ShapedRows
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.fabric.carried import whole_floats
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.found_rest import Search
from fabricsim.fabric.mesh import CLOSING, Mesh
from fabricsim.fabric.setup import (
    QUARTER,
    Fabric,
    curled,
    needles_of,
    round_corners,
    set_up,
    stiffness_of,
)
from fabricsim.fabric.shaped_mesh import build_shaped_mesh


@dataclass(frozen=True, eq=False)
class WholeFabric:
    """The ``fabric`` of a whole ``piece``, its ``rows``, and what finding its shape took."""

    piece: WholePiece
    rows: ShapedRows
    fabric: Fabric
    search: Search


def set_up_whole(scene: Scene, *, slack: float | None = None, inside_out: bool | None = None) -> WholeFabric:
    """Return the whole piece of a ``scene`` as its pattern tells it: a tube in the round, or flat with its
    edges; what is worked flat and drawn together at its top is sewn up to a tube.

    ``slack`` takes the place of every slack in the scene. Raises InputError for a piece that can't be knitted so and
    for a slack that can't be, NoEquilibriumError where its plain shape comes to no rest.
    """
    if slack is not None:
        checked_slack(slack, "slack")
    piece = piece_of(scene)
    rows = shaped_rows(piece)
    found = whole_piece_floats(piece, rows, slack)
    return of_rows(scene, piece, rows, found, inside_out)


def set_up_seen(
    scene: Scene,
    case: Case | None = None,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
    whole: bool | None = None,
) -> Fabric:
    """Return the fabric of a ``scene`` in a load case or, ``whole``, of all of its piece; raises as both do.

    ``whole`` left out: where the scene shapes it, unless a case is named.
    """
    if whole or (whole is None and case is None and scene.shaping is not None):
        return set_up_whole(scene, slack=slack, inside_out=inside_out).fabric
    return set_up(scene, case, slack=slack, inside_out=inside_out)


def carried_floats(scene: Scene, case: Case, *, whole: bool = False) -> tuple[Float, ...]:
    """Return the floats of what is seen as they are carried, however far; of a ``whole`` piece with the numbers of its
    chart's rows."""
    if not whole:
        return whole_floats(scene, case)
    piece = piece_of(scene)
    found = whole_piece_floats(piece, shaped_rows(piece), in_parts=False)
    return tuple(replace(one, row=one.row - piece.rows_below) for one in found)


def as_numbered(equilibrium: Equilibrium) -> tuple[Float, ...]:
    """Return the floats of a fabric with the numbers that their rows have in its pattern: row 0 is the first above the
    rib."""
    if not is_whole(equilibrium.mesh):
        return equilibrium.floats
    below = piece_of(equilibrium.scene).rows_below
    return tuple(replace(one, row=one.row - below) for one in equilibrium.floats)


def is_whole(mesh: Mesh) -> bool:
    """Return whether a mesh is that of a whole piece."""
    return mesh.standing is not None


def whole_piece_floats(
    piece: WholePiece, rows: ShapedRows, slack: float | None = None, *, in_parts: bool = True
) -> tuple[Float, ...]:
    """Return the floats of a whole piece, in a tube those that reach farther than half of the round ``in_parts``."""
    scene = piece.scene
    found = find_floats(
        rows.yarn_ij,
        closing=CLOSING["round" if rows.tube and not rows.seamed else "swatch"],
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if slack is None else [slack] * len(scene.yarns),
        catches=held_in_whole(piece),
        farthest=max(1, piece.stitches // QUARTER) if rows.tube and in_parts else None,
        from_below=scene.strands_from_below,
    )
    if slack is not None or not scene.bands:
        return found
    shown = chart_rows_of(piece)
    return in_bands(scene, found, shown.__getitem__)


def chart_rows_of(piece: WholePiece) -> list[int | None]:
    """Return which row of the chart, from 0, every row of a whole piece shows; None for all others."""
    return [
        piece.scene.chart_row_of(row.number - 1) if section.kind == "chart" else None
        for section in piece.sections
        for row in section.rows
    ]


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
        needle_i=needles_of(scene, chart_rows_of(piece)),
    )
    if mesh.case == "swatch" and scene.fabric.edges == "curl":
        stiffness = curled(scene, stiffness)
    return WholeFabric(piece, rows, round_corners(Fabric(scene, found, mesh, stiffness, rows.where)), search)
