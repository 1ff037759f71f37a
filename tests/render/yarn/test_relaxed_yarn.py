"""The yarn of fabrics that the solver has let come to rest: how long it is, that it is closed, and its mirror image."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import FloatRules
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import measure, pucker, taut
from fabricsim.fabric.mesh import LEFT, RIGHT
from fabricsim.fabric.relax import relax
from fabricsim.render import build_yarns
from fabricsim.render.trace.camera import Scale, windowed
from fabricsim.render.trace.trace import trace
from fabricsim.render.trace.views import camera_for
from fabricsim.render.yarn.float_lanes import find_carries
from fabricsim.render.yarn.float_path import carry_paths
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import Tiling, repeats_shown, tiled
from fabricsim.render.yarn.tubes import tubes
from tests.render.fabrics import GAUGE, MOTIF, PLAIN, scene_of
from tests.render.looking import seen, unlit

W = GAUGE.stitch_width
MIRROR = np.array([-1.0, 1.0, 1.0])
LOPSIDED = (
    "aaaaaaaaaaaa",
    "aaaaaaabaaaa",
    "aaaaabbbaaaa",
    "aabbabaabbaa",
    "abbbaaabbbba",
    "aabbabaabbaa",
    "aaaaabbaaaaa",
    "aaaaabaaaaaa",
)
"""Unlike its mirror image wherever one begins."""


def with_slack(scene: Scene, **slack_by_yarn: float) -> Scene:
    return scene.model_copy(update={"floats": FloatRules(slack_by_yarn=slack_by_yarn)})


@cache
def flat() -> Equilibrium:
    return relax(scene_of(PLAIN), "repeat")


@cache
def puckered() -> Equilibrium:
    """Full of bulges, by floats of one yarn, some of which lie on them; those of the other hang."""
    rest = relax(with_slack(scene_of(MOTIF), a=0.12, b=-0.1), "repeat")
    assert pucker(rest).peak_to_valley > 4e-3
    assert sum(len(steps) > 0 for steps in rest.pressed) > 3
    return rest


@cache
def tube() -> Equilibrium:
    """Drawn in by the floats of one yarn; those of the other hang."""
    rest = relax(with_slack(scene_of(MOTIF, across=3), a=0.12, b=-0.1), "round")
    assert measure(rest).widths.overall > 0.005
    return rest


LOOPS = {"flat": 0.01, "puckered": 0.03, "tube": 0.03}
"""How far the yarn of a stitch may be from that of its gauge, as a share. Loops follow the
surface: one drawn in by a tenth and so 3 % taller has 1 to 2 % less yarn, one on a bulge up to 1.7 % more, as its legs
come forward (measured)."""
FABRICS = pytest.mark.parametrize("at_rest", [flat, puckered, tube], ids=lambda made: made.__name__)


@cache
def paths_of(at_rest: Callable[[], Equilibrium]) -> Strands:
    return yarn_paths(tiled(at_rest()), 40)


def mirrored(rows: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(row[::-1] for row in rows)


def steps_of(strands: Strands) -> tuple[Floats, Floats]:
    """Return the length of every step, 0 from strand to strand, and the strand that each begins in, (p - 1,)."""
    strand_p = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    long = np.linalg.norm(np.diff(strands.x_pc, axis=0), axis=1)
    return np.where(strand_p[1:] == strand_p[:-1], long, 0.0), strand_p[:-1]


def between_own(tiling: Tiling) -> np.ndarray:
    """Return which stitches have one of the same yarn on either side, and so no float; of a repeat those shown."""
    beside = tiling.neighbour_n4[: tiling.stitches, [LEFT, RIGHT]]
    real = (beside >= 0) & (beside < tiling.stitches)
    same = tiling.yarn_n[np.where(real, beside, 0)] == tiling.yarn_n[:, None]
    return (real & same).all(axis=1) & tiling.shown_n


@FABRICS
def test_a_plain_stitch_takes_the_yarn_of_its_gauge(at_rest: Callable[[], Equilibrium]) -> None:
    tiling = tiled(at_rest())
    strands = paths_of(at_rest)
    long, _ = steps_of(strands)
    yarn_n = np.bincount(strands.stitch_p[:-1], weights=long, minlength=tiling.stitches) / W
    plain_n = between_own(tiling)
    assert plain_n.sum() > 100
    np.testing.assert_allclose(yarn_n[plain_n], GAUGE.loop_length / W, rtol=LOOPS[at_rest.__name__])


@pytest.mark.parametrize("at_rest", [puckered, tube], ids=lambda made: made.__name__)
def test_floats_are_as_long_as_their_yarn_or_their_way(at_rest: Callable[[], Equilibrium]) -> None:
    rest = at_rest()
    tiling = tiled(rest)
    carries = find_carries(tiling)
    path = carry_paths(StitchSurface(tiling), carries, 0.05)
    rest_on = {f: len(steps) > 0 for f, steps in zip(tiling.origin_f.tolist(), tiling.pressed, strict=True)}
    kinds = set()
    for k, f in zip(carries.carry_b.tolist(), tiling.origin_f[carries.float_b].tolist(), strict=True):
        x_pc = path.x_pc[path.carry_p == k]
        drawn = np.linalg.norm(np.diff(x_pc, axis=0), axis=1).sum() / np.linalg.norm(x_pc[-1] - x_pc[0])
        yarn, way = rest.mesh.floats.length_f[f] / rest.chord_f[f], rest.way_f[f] / rest.chord_f[f]
        hangs = not taut(rest)[f]
        kinds.add(hangs)
        # both over their straight distance: drawn floats go from lane to lane, those reckoned with from stitch to
        # stitch. One that lies on bulges is drawn in its lane, a little farther behind them
        assert drawn == pytest.approx(yarn if hangs else way, rel=0.01 if rest_on[f] else 0.002)
    assert kinds == {False, True}


@FABRICS
def test_every_strand_is_a_closed_tube_of_its_length(at_rest: Callable[[], Equilibrium]) -> None:
    strands = paths_of(at_rest)
    surface = tubes(strands, 4)  # of any number of sides, all are as large as the yarn's circle
    mesh = trimesh.Trimesh(surface.vertex_vc.astype(float), surface.triangle_tv, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    count = len(strands.yarn_s)
    strand_v = np.concatenate([np.repeat(surface.strand_g, surface.sides), np.arange(count), np.arange(count)])
    strand_t3 = strand_v[surface.triangle_tv]
    assert (strand_t3 == strand_t3[:, :1]).all()  # no triangle joins two
    a, b, c = np.moveaxis(mesh.vertices[surface.triangle_tv], 1, 0)
    volume_s = np.bincount(strand_t3[:, 0], weights=np.einsum("tc,tc->t", a, np.cross(b, c)) / 6.0)
    long, strand = steps_of(strands)
    length_s = np.bincount(strand, weights=long, minlength=count) / strands.thickness
    share_s = volume_s / (np.pi / 4.0 * length_s)  # pi d^2 L / 4, the thickness d being the unit
    # tight bends take up to 1 %, the bulging ends add 0.1 to 0.3 % (measured)
    assert share_s.min() > 0.985
    assert share_s.max() < 1.005


@FABRICS
def test_nothing_is_infinite_or_no_number(at_rest: Callable[[], Equilibrium]) -> None:
    model = build_yarns(at_rest(), "draft")
    skin = model.stage.skin
    for values in (model.strands.x_pc, skin.tubes.vertex_vc, skin.tubes.normal_gc, skin.open_gk, skin.lie_gc):
        assert np.isfinite(values).all()
    for side in ("face", "back"):
        light = trace(model.stage, camera_for(model, side, Scale(160)), 4)
        assert np.isfinite(light).all()
        assert light[..., 3].max() == 1.0


@pytest.mark.parametrize("slack", [0.05, -0.02, -0.1], ids=["loose", "drawn in", "on bulges"])
def test_the_mirror_image_of_a_fabric_gives_the_mirrored_picture(slack: float) -> None:
    one, other = (relax(scene_of(rows), "repeat", slack=slack) for rows in (LOPSIDED, mirrored(LOPSIDED)))
    assert any(len(steps) > 0 for steps in one.pressed) == (slack < -0.09)
    there_n = np.arange(len(one.x_nc)).reshape(one.mesh.rows, -1)[:, ::-1].ravel()
    shift_c = (other.x_nc - MIRROR * one.x_nc[there_n]).mean(axis=0)
    np.testing.assert_allclose(other.x_nc, MIRROR * one.x_nc[there_n] + shift_c, rtol=0, atol=1e-6 * W)

    assert one.period_a is not None
    shift_c[0] += (repeats_shown(one)[0] - 1) * one.period_a[0]  # both pictures begin with their first repeat
    here, yonder = (unlit(rest) for rest in (one, other))
    inside_p = here.tiling.shows(here.strands.x_pc, -W)
    apart_p, _ = cKDTree(yonder.strands.x_pc).query(MIRROR * here.strands.x_pc[inside_p] + shift_c)
    assert apart_p.max() < 1e-6 * W  # no more than the fabrics themselves

    left, right, bottom, top = here.tiling.window_a + W * np.array([1.0, -1.0, 1.0, -1.0])
    window = np.array([left, right, bottom, top])
    image = np.array([shift_c[0] - right, shift_c[0] - left, bottom + shift_c[1], top + shift_c[1]])
    for side in ("face", "back"):
        pictures = []
        for model, part in ((here, window), (yonder, image)):
            axes = camera_for(model, side, Scale(360)).axes_ac
            pictures.append(seen(model, windowed(axes, part, Scale(360))).yarn_hw)
        # the flats of the tubes are turned another way round, which shows at the rims: coarse yarn has 3 % of them,
        # and more where floats press
        assert (pictures[0] == pictures[1][:, ::-1]).mean() > (0.96 if slack < -0.09 else 0.97)
