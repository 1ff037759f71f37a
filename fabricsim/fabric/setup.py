"""From a scene and a load case to a fabric ready to be relaxed: its mesh and its stiffness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from fabricsim.arrays import ArrayRecord, Floats, Ints, Mask
from fabricsim.design.counted.needles import times_as_wide
from fabricsim.design.counted.yarn_amounts import beyond_loops
from fabricsim.design.floats.corners import crossed
from fabricsim.design.floats.found import Float
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.design.scene.stitch_size import CURLIEST
from fabricsim.errors import InputError
from fabricsim.fabric.carried import closing_of, whole_floats
from fabricsim.fabric.corner_columns import corner_columns
from fabricsim.fabric.mesh import CLOSING, Mesh, build_mesh, inside_out_factor, on_needles
from fabricsim.fabric.stiffness import CURL, CURL_DEPTH, SHEAR_SHARE, Stiffness, default_stiffness, greatest_shear
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.terms import Term
from fabricsim.units import GRAM, MICRONEWTON_METRE, MM

# Scene key -> (field of Stiffness, factor to SI).
OVERRIDES: dict[str, tuple[str, float]] = {
    "thickness_mm": ("thickness", MM),
    "areal_mass_g_per_m2": ("areal_mass", GRAM),
    "stretch_across_N_per_m": ("stretch_across", 1.0),
    "stretch_up_N_per_m": ("stretch_up", 1.0),
    "shear_N_per_m": ("shear", 1.0),
    "poisson_across": ("poisson_across", 1.0),
    "bending_across_uNm": ("bend_across", MICRONEWTON_METRE),
    "bending_up_uNm": ("bend_up", MICRONEWTON_METRE),
    "twist_uNm": ("twist", MICRONEWTON_METRE),
    "lock_strain_across": ("lock_across", 1.0),
    "lock_strain_up": ("lock_up", 1.0),
    "lock_ratio": ("lock_ratio", 1.0),
    "jam_strain": ("jam", 1.0),
    "jam_ratio": ("jam_ratio", 1.0),
    "float_ratio": ("float_ratio", 1.0),
    "edge_curl_across_per_m": ("curl_across", 1.0),
    "edge_curl_up_per_m": ("curl_up", 1.0),
}

FEWEST: dict[Case, tuple[int, int]] = {"repeat": (1, 1), "swatch": (2, 2), "round": (2, 6)}
"""Fewest rows and stitches of each case: an edge needs a cell behind it, a tube an inside (chosen)."""


def curled(scene: Scene, stiffness: Stiffness) -> Stiffness:
    """Return the stiffness with edges that curl, by as much as the scene says or else as those of stockinette do; never
    farther from stitch to stitch than any may."""
    given, gauge = scene.fabric, scene.gauge
    across, up = (min(CURL, CURLIEST / size) for size in (gauge.stitch_width, gauge.row_height))
    return replace(
        stiffness,
        curl_across=-across if given.edge_curl_across_per_m is None else stiffness.curl_across,
        curl_up=up if given.edge_curl_up_per_m is None else stiffness.curl_up,
        curl_depth=CURL_DEPTH,
    )


class OnForm(Protocol):
    """What a fabric is on, such as a head: what it adds to the energy, and what keeps the fabric from moving as a
    whole. See ``fabric/form``."""

    def terms(self, mesh: Mesh, stiffness: Stiffness) -> list[Term]:
        """Return what it does to every stitch."""
        ...

    def held(self) -> list[int]:
        """Return the unknowns to hold."""
        ...

    def begins(self, start: State) -> State:
        """Return the ``start`` of plain fabric with what is held where it is held."""
        ...

    def outside(self, x_nc: Floats) -> float:
        """Return how far outside it (m) the innermost stitch lies, negative inside."""
        ...

    @property
    def looked_at_every(self) -> float:
        """How far (m) a stitch may move between two looks so as not to have gone through it."""
        ...


@dataclass(frozen=True, eq=False, repr=False)
class Fabric(ArrayRecord):
    """What is to be relaxed: ``floats`` in the order of its mesh; ``where`` names the scene in errors; on what form it
    is ``placed``, if it is."""

    scene: Scene
    floats: tuple[Float, ...]
    mesh: Mesh
    stiffness: Stiffness
    where: str
    placed: OnForm | None = None

    def with_slack_shifted(self, by: float) -> Fabric:
        """Return the same fabric with ``by`` added to the slack of every float."""
        return self.with_slack_of(self.mesh.floats.slack_f + by)

    def with_slack_of(self, slack_f: Floats) -> Fabric:
        """Return the same fabric with a slack of its own for every float: ``slack_f`` (f,) float, above -1."""
        table = self.mesh.floats
        length_f = table.length_f * (1.0 + slack_f) / (1.0 + table.slack_f)
        return replace(self, mesh=replace(self.mesh, floats=replace(table, slack_f=slack_f, length_f=length_f)))

    def with_stitches_scaled(self, by: float) -> Fabric:
        """Return the same fabric of stitches ``by`` times as wide and as high, as thick and as stiff as before: another
        gauge."""
        mesh, table = self.mesh, self.mesh.floats
        width = by * mesh.stitch_width
        turned = mesh.floats_longer > 1.0
        longer = inside_out_factor(mesh.case, mesh.stitches, width, mesh.thickness, turned)
        floats = replace(table, span_f=by * table.span_f, length_f=table.length_f * (by * longer / mesh.floats_longer))
        scaled = replace(
            mesh,
            rest_nc=by * mesh.rest_nc,
            period_a=None if mesh.period_a is None else by * mesh.period_a,
            stitch_width=width,
            row_height=by * mesh.row_height,
            floats=floats,
            floats_longer=longer,
        )
        return replace(self, mesh=scaled)

    def with_slack_of_yarns(self, slack_y: Sequence[float]) -> Fabric:
        """Return the same fabric with other slacks, one for the floats of each yarn of its scene, in the rows of a band
        as much looser as that says."""
        table = self.mesh.floats
        case = self.mesh.case
        bands = [self.scene.band_of(scene_row(self.scene, case, one.row)) for one in self.floats]
        looser_f = np.array([0.0 if band is None else band.looser for band in bands])
        slack_f = np.asarray(slack_y, dtype=np.float64)[table.yarn_f] + looser_f
        length_f = table.span_f * (1.0 + slack_f) * self.mesh.floats_longer
        floats = replace(table, slack_f=slack_f, length_f=length_f)
        return round_corners(replace(self, mesh=replace(self.mesh, floats=floats)))

    def with_stiffness(self, stiffness: Stiffness) -> Fabric:
        """Return the same fabric with another stiffness."""
        return replace(self, stiffness=stiffness)


QUARTER = 4
"""Parts of a round: a float that reaches farther than half of it is laid along the inside of the tube in parts of a
quarter at most, each a chord. Whatever fills the tube presses it there; and a float right round it, whose ends are
neighbours, would else have next to no way at all (chosen: the chord of a quarter is a tenth shorter than its arc)."""


def case_floats(scene: Scene, case: Case, slack: float | None = None) -> tuple[Float, ...]:
    """Return the floats of a load case, in the order in which its mesh holds them; in a tube those that reach farther
    than half of the round in parts."""
    if case == "round":
        quarter = max(1, len(scene.piece_rows()[0]) // QUARTER)
        return floats(scene, slack=slack, closing=closing_of(scene, case), farthest=quarter)
    return whole_floats(scene, case, slack)


def set_up(
    scene: Scene,
    case: Case | None = None,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
) -> Fabric:
    """Return the fabric of ``scene`` in a load case, by default the scene's own.

    ``repeat`` is the chart alone, over and over both ways; ``swatch`` and ``round`` are the whole piece with its
    repeats and plain rows. ``slack`` takes the place of every slack in the scene. Raises InputError for a piece too
    small for the case, an unknown case, and a slack that can't be.
    """
    case = case or scene.case
    where = str(scene.source or scene.title)
    if case not in CLOSING:
        raise InputError("case", f"{case!r}", ", ".join(CLOSING), "name one of them")
    if case == "round" and scene.steek is not None:
        raise InputError("case", "'round' with a steek", "swatch, repeat", "take one of them: cut open it is no tube")
    if slack is not None:
        checked_slack(slack, "slack")
    grid_ij = scene.chart_grid() if case == "repeat" else scene.piece_grid()
    fewest = FEWEST[case]
    if grid_ij.shape[0] < fewest[0] or grid_ij.shape[1] < fewest[1]:
        raise InputError(
            f"{where}: chart",
            f"a piece of rows: {grid_ij.shape[0]}, stitches in each: {grid_ij.shape[1]}",
            f"at least {fewest[0]} rows and {fewest[1]} stitches for the case {case!r}",
            "add repeats or plain rows, or take another case",
        )
    found = case_floats(scene, case, slack)
    w, c = scene.gauge.stitch_width, scene.gauge.row_height
    tex_y = np.array([yarn.tex_value for yarn in scene.yarns])
    rows = scene.chart_rows() if case == "repeat" else scene.piece_rows()
    yarn_in_floats = sum(beyond_loops(one, rows, w) * tex_y[one.yarn] for one in found)
    stiffness = stiffness_of(scene, grid_ij, tex_y, yarn_in_floats)
    if case == "swatch" and scene.fabric.edges == "curl":
        stiffness = curled(scene, stiffness)
    mesh = build_mesh(
        grid_ij,
        found,
        case,
        stitch_width=w,
        row_height=c,
        thickness=stiffness.thickness,
        inside_out=scene.simulation.inside_out if inside_out is None else inside_out,
    )
    needle_i = needles_of(scene, [scene_row(scene, case, row) for row in range(mesh.rows)])
    if needle_i is not None:
        mesh = on_needles(mesh, needle_i)
    return round_corners(Fabric(scene, found, mesh, stiffness, where))


def scene_row(scene: Scene, case: Case, row: int) -> int | None:
    """Return the row of the chart, from 0, that a ``row`` of a load case shows; None for a plain row."""
    return row if case == "repeat" else scene.chart_row_of(row)


def needles_of(scene: Scene, rows: Sequence[int | None]) -> Floats | None:
    """Return how many times as wide and high stitches are on the needles of rows that show these of the chart; None
    where all are on the gauge's."""
    sizes = [0 if (band := scene.band_of(row)) is None else band.needle_sizes for row in rows]
    return np.array([times_as_wide(one) for one in sizes]) if any(sizes) else None


def at_corners(fabric: Fabric) -> Mask:
    """Return which floats are laid round a corner of the needles, (f,) bool: none where nobody says what a tube is
    worked on, none of a tube worked inside out, whose floats go round outside, and none of one sewn up."""
    mesh, needles = fabric.mesh, fabric.scene.floats.needles
    sewn_up = fabric.scene.worked == "flat"
    if needles is None or mesh.case != "round" or mesh.floats_longer > 1.0 or sewn_up:
        return np.zeros(len(mesh.floats), dtype=bool)
    left_f, at_ik = mesh.floats.node_f2[:, 0], corner_columns(mesh, needles).tolist()
    row_f, count_i = mesh.row_n[left_f], np.bincount(mesh.row_n)
    each = zip(mesh.column_n[left_f].tolist(), (mesh.floats.gap_f + 1).tolist(), row_f.tolist(), strict=True)
    return np.array(
        [crossed(left, steps, int(count_i[row]), tuple(at_ik[row])) for left, steps, row in each], dtype=bool
    )


def round_corners(fabric: Fabric) -> Fabric:
    """Return ``fabric`` with floats that are laid round a corner of the needles as much shorter as its scene says."""
    short_f = at_corners(fabric)
    if not short_f.any():
        return fabric
    kept_f = np.where(short_f, 1.0 - fabric.scene.floats.corner_shorter, 1.0)
    return fabric.with_slack_of((1.0 + fabric.mesh.floats.slack_f) * kept_f - 1.0)


def stiffness_of(scene: Scene, grid_ij: Ints, tex_y: np.ndarray, yarn_in_floats: float) -> Stiffness:
    """Return the stiffness of a piece: by default from gauge and yarn, times what the knitter's file says, with
    what the scene overrides in its place.

    ``yarn_in_floats`` is the float yarn of the whole piece, m x tex. The stiffness is that of the mean yarn of its
    stitches.
    """
    w, c = scene.gauge.stitch_width, scene.gauge.row_height
    tex_ij = tex_y[grid_ij]
    area = grid_ij.size * w * c
    areal_mass = (scene.gauge.loop_length * float(tex_ij.sum()) + yarn_in_floats) * 1e-6 / area
    default = default_stiffness(scene.gauge.stitches, scene.gauge.rows, float(tex_ij.mean()), areal_mass)
    given = {
        field: getattr(scene.fabric, key) * factor
        for key, (field, factor) in OVERRIDES.items()
        if getattr(scene.fabric, key) is not None
    }
    hands = scene.hands
    if hands is not None:
        default = default.times(hands.stretch.used, hands.bending.used, hands.weight.used)
    made = default.overridden(given)
    if "shear" in given:
        return made
    # what follows by default is to hold together, also beside a Poisson ratio that leaves less room for it
    most = greatest_shear(made.stretch_across, made.stretch_up, made.poisson_across, (w / c) ** 2)
    return replace(made, shear=min(made.shear, SHEAR_SHARE * most))
