"""Made-up fabrics for the drawing tests: a chart laid on a surface of our choice, with no solver in between."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.design.floats.found import find_floats
from fabricsim.design.scene.chart import ChartSpec
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import Gauge, Yarn
from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import CLOSING, build_mesh
from fabricsim.fabric.stiffness import default_stiffness
from fabricsim.mechanics.assemble import State
from tests.design.scenes import everything_at

RIGHTWARDS, UPWARDS = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
GAUGE = Gauge(stitches=20, rows=80 / 3)  # c = 0.75 w
TEX = 450.0
COLOURS = {
    "a": ("chalk", "#ece6d8"),
    "b": ("juniper", "#27536b"),
    "c": ("rust", "#b4532a"),
    "d": ("moss", "#6b7a3a"),
    "e": ("plum", "#5b3a56"),
}
PLAIN = ("aaaaaaaa",) * 8
CHECK = ("aabb", "aabb", "bbaa", "bbaa")
MOTIF = (
    "aaaaaaaaaaaa",
    "aaaaabaaaaaa",
    "aaaabbbaaaaa",
    "aabbabaabbaa",
    "abbbaaabbbaa",
    "aabbabaabbaa",
    "aaaabbbaaaaa",
    "aaaaabaaaaaa",
)
THREE = ("aabbcc", "abbcca", "bbccaa", "bccaab")
ONE_WAY = (
    "bbbaaaaaaaab",
    "aaaaaaaaaaaa",
    "aaaaaaaaaaaa",
    "bbbaaaaaaaab",
    "aabaaaaabbba",
    "bbaaaaaaaaaa",
)
"""Like its mirror image nowhere: floats inside and out to the edges, one yarn carried up past two rows."""


def scene_of(rows: tuple[str, ...], worked: str = "round", across: int = 1, up: int = 1) -> Scene:
    symbols = sorted(set("".join(rows)))
    return Scene(
        title="A made-up piece",
        worked=worked,
        chart=ChartSpec(rows=rows, across=across, up=up),
        yarns=tuple(Yarn(symbol=s, name=COLOURS[s][0], colour=COLOURS[s][1], tex=TEX) for s in symbols),
        gauge=GAUGE,
    )


def fabric(
    rows: tuple[str, ...],
    case: Case = "repeat",
    *,
    across: int = 1,
    up: int = 1,
    slack: float = 0.05,
    catches: np.ndarray | None = None,
    bend: Callable[[Floats], Floats] | None = None,
    squeeze: float = 1.0,
) -> Equilibrium:
    """Return the chart as a fabric of ``case``, its rest positions squeezed across and bent by ``bend``."""
    scene = scene_of(rows, "flat" if case == "swatch" else "round", across, up)
    grid_ij = scene.piece_grid()
    floats = find_floats(
        grid_ij,
        closing=CLOSING[case],
        stitch_width=GAUGE.stitch_width,
        slack_by_yarn=[slack] * len(scene.yarns),
        catches=everything_at(catches, len(scene.yarns)) if catches is not None else None,
    )
    mesh = build_mesh(
        grid_ij,
        floats,
        case,
        stitch_width=GAUGE.stitch_width,
        row_height=GAUGE.row_height,
        thickness=0.45 * GAUGE.stitch_width,
    )
    place = bend or (lambda x: x)
    flat_nc = mesh.rest_nc * np.array([squeeze, 1.0, squeeze if case == "round" else 1.0])
    x_nc = place(flat_nc)
    if case == "round":
        normal_nc = x_nc * np.array([1.0, 0.0, 1.0])
    else:
        step = 1e-6
        across_nc = place(flat_nc + step * RIGHTWARDS) - place(flat_nc - step * RIGHTWARDS)
        up_nc = place(flat_nc + step * UPWARDS) - place(flat_nc - step * UPWARDS)
        normal_nc = np.cross(across_nc, up_nc)
    normal_nc /= np.linalg.norm(normal_nc, axis=1, keepdims=True)
    period_a = None if mesh.period_a is None else mesh.period_a * [squeeze, 1.0]
    anchor_nc = x_nc - 0.5 * mesh.thickness * normal_nc
    table = mesh.floats
    begin_fc, end_fc = anchor_nc[table.node_f2[:, 0]], anchor_nc[table.node_f2[:, 1]].copy()
    if period_a is not None:
        end_fc[:, :2] += table.shift_f2 * period_a
    chord_f = np.linalg.norm(end_fc - begin_fc, axis=1)
    way = Tracks(mesh).at(State(x_nc, period_a))
    way_f = np.where(way.bent_f, way.length_f, chord_f)
    pulls_f = way_f > table.length_f
    known = {
        "scene": scene,
        "mesh": mesh,
        "x_nc": x_nc,
        "normal_nc": normal_nc,
        "period_a": period_a,
        "chord_f": chord_f,
        # as a solver would, which cares for those that pull alone
        "way_f": np.where(pulls_f, way_f, chord_f),
        "pressed": tuple(steps if pulls else () for steps, pulls in zip(way.pressed, pulls_f.tolist(), strict=True)),
        "tension_f": np.maximum(way_f - table.length_f, 0.0) * 100.0,
        "stiffness": default_stiffness(GAUGE.stitches, GAUGE.rows, TEX),
    }
    # what else a solver leaves in it is none of the drawing's business
    return Equilibrium(**{field.name: known.get(field.name) for field in fields(Equilibrium)})


def cylinder(radius: float) -> Callable[[Floats], Floats]:
    """Bend across into an arc with its face outside."""

    def bend(x_nc: Floats) -> Floats:
        angle = x_nc[:, 0] / radius
        out = radius + x_nc[:, 2]
        return np.column_stack([out * np.sin(angle), x_nc[:, 1], out * np.cos(angle) - radius])

    return bend


def ripples(height: float, long: float, tall: float) -> Callable[[Floats], Floats]:
    """Pucker as sine waves of wavelengths ``long`` across and ``tall`` up."""

    def bend(x_nc: Floats) -> Floats:
        z = height * np.sin(2 * np.pi * x_nc[:, 0] / long) * np.cos(2 * np.pi * x_nc[:, 1] / tall)
        return x_nc + np.column_stack([0 * z, 0 * z, z])

    return bend


def mirror_twins() -> tuple[Equilibrium, Equilibrium]:
    """Return a flat piece of ``ONE_WAY`` and one of its mirror image, a row lower.

    Flat work turns at the left edge first and then at either in turn, so that a mirrored chart alone would turn at the
    wrong edges. One more row below it puts that right, and one more above the other keeps both of one size; between
    these and the charts lies one more row, so that both have the same neighbours. All three have yarns of their own, so
    that no yarn is joined to them.
    """
    next_above, next_below, far = (sign * len(ONE_WAY[0]) for sign in "ecd")
    charts = (
        (next_above, *ONE_WAY, next_below, far),
        (far, next_above, *(row[::-1] for row in ONE_WAY), next_below),
    )
    one, other = (fabric(rows, "swatch", slack=0.03) for rows in charts)
    return one, other
