"""Purls, decreases, increases and a drawn-up top, yarn by yarn."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.rows.shaped import ShapedRow, ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.design.scene.read import demo_scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.shaped_mesh import build_shaped_mesh
from fabricsim.fabric.standing import KINDS
from fabricsim.render.yarn.lifted_strands import WAY
from fabricsim.render.yarn.loop import loops
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import Tiling, tiled
from tests.render.yarn.test_clearance import clearances
from tests.render.yarn.test_paths import sharpest_turn, steps_of
from tests.support.meshes import HEIGHT, WIDTH, WORSTED

K: Made = "k"


def plain(stitches: int, rows: int) -> list[ShapedRow]:
    return [knitted("plain", [K] * stitches, 0)] * rows


def crown() -> list[ShapedRow]:
    rows = plain(32, 4)
    for wide in (4, 3, 2):
        turn: list[Made] = [*[K] * (wide - 2), "k2tog"]
        rows += [knitted("decrease", turn * 8, 0), *plain(8 * (wide - 1), wide > 2)]
    return rows


DECREASES: list[Made] = [*[K] * 5, "k2tog", *[K] * 5, "ssk", K, K]
INCREASES: list[Made] = [K, K, K, "m1l", *[K] * 4, "m1r", K, K, K]
RIB: list[Made] = [K, K, "p", "p"]
CENTRED: list[Made] = [*[K] * 4, "cdd", *[K] * 5]
UNDER_AN_ARM: list[Made] = [K, "m1l", *[K] * 46, "m1r", K]
"""All stitches of that round stand aside of those below, next to the increases by a whole one."""
PIECES: dict[str, tuple[list[ShapedRow], bool]] = {
    "decreases": ([*plain(48, 4), knitted("d", DECREASES * 3, 0), *plain(42, 4)], False),
    "centred": ([*plain(48, 4), knitted("d", CENTRED * 4, 0), *plain(40, 4)], False),
    "increases": ([*plain(40, 4), knitted("m", INCREASES * 4, 0), *plain(48, 4)], False),
    "under an arm": ([*plain(48, 5), knitted("m", UNDER_AN_ARM, 0), *plain(50, 5)], False),
    "rib": ([*[knitted("rib", RIB * 12, 0, True)] * 8, *plain(48, 5)], False),
    "crown": (crown(), True),
}


@cache
def rest_of(name: str) -> Equilibrium:
    rows, drawn = PIECES[name]
    return at_rest(ShapedRows(tuple(rows), tube=True, drawn=drawn))


def at_rest(piece: ShapedRows) -> Equilibrium:
    mesh, _ = build_shaped_mesh(piece, (), WORSTED, stitch_width=WIDTH, row_height=HEIGHT)
    return come_to_rest(Fabric(demo_scene(), (), mesh, WORSTED, "test"))


@cache
def drawn_of(name: str) -> tuple[Tiling, Strands]:
    tiling = tiled(rest_of(name))
    return tiling, yarn_paths(tiling, 40)


def ahead(rest: Equilibrium, node: int, x_kc: Floats) -> Floats:
    """Return how far points lie towards the face from a stitch, (k,), stitch widths."""
    return np.asarray((x_kc - rest.x_nc[node]) @ rest.normal_nc[node] / WIDTH)


@pytest.mark.parametrize("name", PIECES)
def test_no_yarn_runs_through_another(name: str) -> None:
    tiling, strands = drawn_of(name)
    near, _ = clearances(tiling, strands)
    assert near > 0.42  # of a thickness; plain loops have 0.62, and three heads in one loop are pressed together
    raw = yarn_paths(tiling, 40, apart=False)
    assert clearances(tiling, raw)[0] < near  # it is the clearance that does it


@pytest.mark.parametrize("name", PIECES)
def test_a_tube_is_one_smooth_yarn_from_end_to_end(name: str) -> None:
    tiling, strands = drawn_of(name)
    assert len(strands.yarn_s) == 1
    assert len(np.unique(strands.stitch_p)) == tiling.stitches
    assert np.isfinite(strands.x_pc).all()
    step, _ = steps_of(strands)
    assert np.linalg.norm(step, axis=1).max() < 0.6 * WIDTH
    # the last loops of a top are half as wide as others, and turn within a hundredth of a stitch; two strands lifted
    # with one stitch between them, under an arm, press the yarn of that stitch into a tight bend
    assert sharpest_turn(strands) < {"crown": 120.0, "under an arm": 95.0}.get(name, 75.0)


@pytest.mark.parametrize("name", ["decreases", "increases", "rib"])
def test_it_takes_as_much_yarn_as_plain_loops(name: str) -> None:
    plain_piece = at_rest(ShapedRows(tuple(plain(48, 8)), tube=True))
    tiling = tiled(plain_piece)
    lengths = []
    for one, strands in ((tiling, yarn_paths(tiling, 40)), drawn_of(name)):
        lengths.append(np.linalg.norm(steps_of(strands)[0], axis=1).sum() / one.stitches)
    assert lengths[1] == pytest.approx(lengths[0], rel=0.06)


@pytest.mark.parametrize(("made", "leans"), [("k2tog", 1.0), ("ssk", -1.0), ("cdd", 0.0)])
def test_what_lies_on_top_of_a_decrease_leans_as_its_name_says(made: Made, leans: float) -> None:
    rest = rest_of("centred" if made == "cdd" else "decreases")
    standing = rest.mesh.standing
    assert standing is not None
    tiling = tiled(rest)
    head_nkc = loops(StitchSurface(tiling), np.array([0.0, 0.55 * np.pi, -0.55 * np.pi]))
    for node in np.flatnonzero(standing.made_n == KINDS.index(made)):
        feet = standing.leg_b2[standing.leg_b2[:, 1] == node, 0]
        top = standing.neighbour_n4[node, 2]
        under = [int(one) for one in feet if one != top]
        depth_f = ahead(rest, node, head_nkc[[top, *under], 0])
        assert (depth_f[1:] < depth_f[0] - 0.2).all()  # the others behind it
        legs = ahead(rest, node, head_nkc[node, 1:])
        assert (legs > depth_f[0] + 0.25).all()  # and the loop through all of them before them
        across_c = rest.x_nc[standing.neighbour_n4[node, 1]] - rest.x_nc[standing.neighbour_n4[node, 0]]
        lean = (head_nkc[top, 0] - rest.x_nc[top]) @ across_c / np.linalg.norm(across_c) / WIDTH
        assert np.sign(np.round(lean, 1)) == leans


def test_the_mirror_image_of_a_k2tog_is_an_ssk() -> None:
    row: list[Made] = [K, K, "k2tog", *[K] * 5, "ssk", K, K]
    rows = [*plain(13, 3), knitted("d", row, 0), *plain(11, 3)]
    rest = at_rest(ShapedRows(tuple(rows), tube=False))
    tiling = tiled(rest)
    t_k = np.linspace(-0.8, 0.8, 17) * np.pi
    loop_nkc = loops(StitchSurface(tiling), t_k)
    counts = np.bincount(tiling.row_n)
    twin_n = np.arange(tiling.stitches) + counts[tiling.row_n] - 1 - 2 * tiling.column_n
    middle = 0.5 * (loop_nkc[..., 0].max() + loop_nkc[..., 0].min())
    mirrored = loop_nkc[twin_n, ::-1] * [-1.0, 1.0, 1.0] + [2.0 * middle, 0.0, 0.0]
    assert np.abs(mirrored - loop_nkc).max() < 0.01 * WIDTH  # as far as the rest shape is its own mirror image


@pytest.mark.parametrize(("made", "leans"), [("m1l", -1.0), ("m1r", 1.0)])
def test_the_front_leg_of_an_increase_leans_as_its_name_says(made: Made, leans: float) -> None:
    rest = rest_of("increases")
    tiling, strands = drawn_of("increases")
    standing, shape = rest.mesh.standing, tiling.shape
    assert standing is not None
    assert shape is not None
    crossing = np.array([0.0, WAY[0][1] * HEIGHT])
    for left, _, node in shape.strand_k3:
        if standing.made_n[node] != KINDS.index(made):
            continue
        here_p = np.flatnonzero((strands.stitch_p == left) & strands.link_p)
        across_c = rest.x_nc[standing.neighbour_n4[node, 1]] - rest.x_nc[standing.neighbour_n4[node, 0]]
        across_c /= np.linalg.norm(across_c)
        up_c = np.cross(rest.normal_nc[node], across_c)
        x_pc = strands.x_pc[here_p] - rest.x_nc[node]
        u_p, v_p, z_p = x_pc @ across_c, x_pc @ up_c, x_pc @ rest.normal_nc[node]
        half = len(here_p) // 2
        first, second = (
            part[np.hypot(u_p[part] - crossing[0], v_p[part] - crossing[1]).argmin()]
            for part in (np.arange(half), np.arange(half, len(here_p)))
        )
        front = first if z_p[first] > z_p[second] else second
        assert abs(z_p[first] - z_p[second]) > 0.2 * WIDTH
        assert np.sign(u_p[front + 1] - u_p[front - 1]) * np.sign(v_p[front + 1] - v_p[front - 1]) == leans


def test_purl_heads_lie_before_what_stands_on_them_and_rib_folds() -> None:
    rest = rest_of("rib")
    tiling = tiled(rest)
    standing = rest.mesh.standing
    assert standing is not None
    purl_n = standing.made_n == KINDS.index("p")
    inner_n = np.isin(standing.row_n, range(2, 6))
    loop_nkc = loops(StitchSurface(tiling), np.array([0.0, 0.55 * np.pi]))
    for node in np.flatnonzero(inner_n):
        up = standing.neighbour_n4[node, 3]
        head, leg = ahead(rest, node, loop_nkc[node, :1])[0], ahead(rest, node, loop_nkc[up, 1:])[0]
        assert (head > leg + 0.3) == purl_n[node]
        assert (head < leg - 0.3) == (not purl_n[node])
    forward_n = np.einsum("nc,nc->n", tiling.x_nc[: tiling.stitches] - rest.x_nc, rest.normal_nc) / WIDTH
    # from a knitted to a purled column is a stitch, at 0.7 of its width across: the fold makes up the rest
    assert forward_n[inner_n & ~purl_n] == pytest.approx(0.5 * np.sqrt(1.0 - 0.7**2), rel=0.06)
    assert forward_n[inner_n & purl_n] == pytest.approx(-forward_n[inner_n & ~purl_n].mean(), rel=1e-9)
    assert forward_n[standing.row_n == 12] == pytest.approx(0.0, abs=1e-12)


def test_the_yarn_that_draws_up_a_top_is_a_ring_through_the_last_heads() -> None:
    rest = rest_of("crown")
    tiling, strands = drawn_of("crown")
    shape = tiling.shape
    assert shape is not None
    top_c = rest.x_nc[shape.apex]
    ring_pc = yarn_paths(tiling, 40, apart=False).x_pc[(strands.stitch_p == shape.apex) & ~strands.link_p]
    ring_pc = ring_pc[: -(len(ring_pc) // 4)]  # the rest leads to the last stitch
    far_p = np.linalg.norm((ring_pc - top_c)[:, [0, 2]], axis=1)
    heads_rc = loops(StitchSurface(tiling), np.zeros(1))[shape.ring_r, 0]
    assert np.linalg.norm((heads_rc - top_c)[:, [0, 2]], axis=1).max() < far_p.min()  # they reach in over it
    turn_p = np.unwrap(np.arctan2(*(ring_pc - top_c)[:, [0, 2]].T))
    assert 1.6 * np.pi < abs(turn_p[-1] - turn_p[0]) < 2.0 * np.pi  # once round, or nearly
