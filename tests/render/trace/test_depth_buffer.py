"""What compiled code draws into a depth buffer, against the first hits of embree's rays."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabricsim.arrays import Floats, Ints, Singles
from fabricsim.render import build_yarns
from fabricsim.render.trace import depth_buffer
from fabricsim.render.trace.camera import Camera, Scale, turned
from fabricsim.render.trace.occlusion import openness
from fabricsim.render.trace.rays import Hits, Rays
from fabricsim.render.trace.sight import Sight
from fabricsim.render.trace.trace import first_hits, sample_places, trace
from fabricsim.render.trace.views import camera_for
from tests.render.fabrics import MOTIF, fabric
from tests.render.looking import unlit

pytestmark = pytest.mark.skipif(depth_buffer.LOADED is None, reason="no compiler was at hand, or it is switched off")

ON_EDGES = 2e-4
"""Share of the samples that may lie so near an edge that rounding decides: embree reckons in 4 bytes, which tells
places in pictures some hundred units away apart to a 1e-5 of a unit, and triangles are a tenth of one large."""
ROUNDED = 2e-3
"""Units by which depths may differ: what 1e-5 aside makes on triangles so steep that they are seen 1 in 200 wide."""


def by_rays(sight: Sight, rays: Rays, monkeypatch: pytest.MonkeyPatch) -> Hits:
    with monkeypatch.context() as patch:
        patch.setattr(depth_buffer, "LOADED", None)
        return sight.of(rays)(0, sight.camera.height_px)


def assert_alike(got: Hits, want: Hits) -> None:
    both = (got.triangle_m >= 0) & (want.triangle_m >= 0)
    assert both.mean() > 0.2
    assert (both == (want.triangle_m >= 0)).mean() > 1.0 - ON_EDGES
    assert (np.abs(got.distance_m[both] - want.distance_m[both]) < ROUNDED).mean() > 1.0 - ON_EDGES
    met = both & (got.triangle_m == want.triangle_m)
    assert met.sum() > 0.95 * both.sum()  # in a repeat some yarn is there twice, in one place
    for one, other in ((got.u_m, want.u_m), (got.v_m, want.v_m)):
        assert (
            np.quantile(np.abs(one[met] - other[met]), 1.0 - ON_EDGES) < 10.0 * ROUNDED
        )  # shares of a tenth of a unit
    np.testing.assert_allclose(got.out_mc[met], want.out_mc[met], atol=1e-4)


@pytest.mark.parametrize("side", ["face", "back"])
@pytest.mark.parametrize("case", ["repeat", "round"])
def test_yarn_is_seen_as_by_rays(case: str, side: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The back of the tube is cut open: rays begin on a plane that leans against the picture."""
    model = unlit(fabric(MOTIF, case, across=3, slack=-0.05))  # type: ignore[arg-type]
    camera = camera_for(model, side, Scale(300))  # type: ignore[arg-type]
    sight = Sight(camera, model.stage.scale, model.stage.far, sample_places(4))
    for rays in (model.stage.rays, model.stage.lining):
        assert rays is not None
        assert_alike(sight.of(rays)(0, camera.height_px), by_rays(sight, rays, monkeypatch))


def one_by_one(sight: Sight, rays: Rays) -> tuple[Ints, Floats]:
    """Which triangle each sample shows and how far off, every sample held against every triangle in full precision."""
    axes = sight.camera.axes_ac
    a_tc, b_tc, c_tc = (rays.vertex_vc.astype(np.float64)[rays.triangle_tv[:, corner]] @ axes.T for corner in range(3))
    origin_mc = sight.origins(0, sight.camera.height_px).astype(np.float64) @ axes.T
    out_tc = np.cross(b_tc - a_tc, c_tc - a_tc)
    off_mtc = origin_mc[:, None] - a_tc
    distance_mt = np.einsum("mtc,tc->mt", off_mtc, out_tc) / out_tc[:, 2]
    place_mtc = off_mtc - distance_mt[..., None] * [0.0, 0.0, 1.0]
    u_mt = np.einsum("mtc,tc->mt", np.cross(place_mtc, c_tc - a_tc), out_tc) / np.einsum("tc,tc->t", out_tc, out_tc)
    v_mt = np.einsum("mtc,tc->mt", np.cross(b_tc - a_tc, place_mtc), out_tc) / np.einsum("tc,tc->t", out_tc, out_tc)
    inside_mt = (u_mt >= 0.0) & (v_mt >= 0.0) & (u_mt + v_mt <= 1.0) & (distance_mt > 0.0)
    far_mt = np.where(inside_mt, distance_mt, np.inf)
    return np.where(inside_mt.any(axis=1), far_mt.argmin(axis=1), -1), far_mt.min(axis=1)


@given(st.integers(0, 2**32 - 1), st.sampled_from([0.3, 3.0, 30.0]), st.booleans())
@settings(max_examples=30)
def test_triangles_of_any_size_are_seen_as_one_by_one(seed: int, size: float, cut: bool) -> None:
    """Some as large as the picture, most of them partly outside it, some behind where rays begin. A few samples lie so
    near an edge that where they lie in 4 bytes decides."""
    rng = np.random.default_rng(seed)
    x_vc = rng.uniform(-12.0, 12.0, (200, 1, 3)) + size * rng.normal(size=(200, 3, 3))
    rays = Rays(x_vc.reshape(-1, 3).astype(np.float32), np.arange(600, dtype=np.int32).reshape(-1, 3))
    axes = turned(*rng.uniform(-0.7, 0.7, 2))
    camera = Camera(axes, np.array([-10.0, 10.0, -6.0, 6.0]), 25, 15, np.array([0.0, 0.0, 1.0]) if cut else None)
    sight = Sight(camera, 1.0, 500.0, sample_places(3))
    got = sight.of(rays)(0, 15)
    triangle_m, far_m = one_by_one(sight, rays)
    same_m = got.triangle_m == triangle_m
    assert (~same_m).sum() <= 2
    met_m = same_m & (triangle_m >= 0)
    steep = np.abs(got.distance_m - far_m)[met_m] > 1e-3
    assert steep.sum() <= 2


def test_bands_of_any_height_show_the_same() -> None:
    model = unlit(fabric(MOTIF, "round", across=3, slack=-0.05))
    camera = camera_for(model, "back", Scale(200))
    shown = Sight(camera, model.stage.scale, model.stage.far, sample_places(4)).of(model.stage.rays)
    whole = shown(0, camera.height_px)
    for height in (1, 7, 40):
        bands = [shown(first, min(first + height, camera.height_px)) for first in range(0, camera.height_px, height)]
        for name in vars(whole):
            met = whole.triangle_m >= 0
            together = np.concatenate([getattr(one, name) for one in bands])
            np.testing.assert_array_equal(together[met], getattr(whole, name)[met])
            assert (np.concatenate([one.triangle_m for one in bands])[~met] == -1).all()


def test_what_lies_nowhere_or_is_seen_edge_on_shows_nothing() -> None:
    x_vc = np.array(
        [[-5, -5, 0], [5, -5, 0], [0, 5, 0], [-5, 0, 1], [5, 0, 1], [0, 0, 2], [np.nan, 0, 5], [np.inf, 0, 5]],
        dtype=np.float32,
    )
    triangle_tv = np.array([[3, 4, 5], [6, 4, 2], [7, 0, 1], [0, 0, 0], [0, 1, 2]], dtype=np.int32)
    seen_vc = x_vc.astype(np.float64) * [1.0, -1.0, 1.0] + [10.0, 10.0, 0.0]
    begin = np.array([100.0, 0.0, 0.0])
    drawn = depth_buffer.DepthBuffer(x_vc, triangle_tv, seen_vc, begin, np.full((1, 2), 0.5, np.float32), 20)
    found = drawn.rows(0, 20)
    assert set(found.triangle_m.tolist()) == {-1, 4}
    assert (found.triangle_m == 4).sum() == 50  # half of 10 x 10
    assert set(found.distance_m[found.triangle_m == 4].tolist()) == {100.0}


def test_a_picture_is_the_same_by_rays(monkeypatch: pytest.MonkeyPatch) -> None:
    model = build_yarns(fabric(MOTIF, "round", across=3, slack=-0.05), "draft")
    for side in ("face", "back"):
        camera = camera_for(model, side, Scale(240))  # type: ignore[arg-type]
        got = trace(model.stage, camera, 4)
        with monkeypatch.context() as patch:
            patch.setattr(depth_buffer, "LOADED", None)
            want = trace(model.stage, camera, 4)
        assert (np.abs(got - want) > 1.0 / 255.0).any(axis=-1).mean() < 2e-3


def test_a_tree_for_rays_is_built_before_work_is_forked_and_not_for_what_needs_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """In every process of its own it would be built again, where embree's threads are missing."""

    def has(rays: Rays | None) -> bool:
        return "_scene" in vars(rays)

    def forked(of: Callable[[], bool]) -> Callable[..., Singles]:
        def fill(shape: tuple[int, ...], *_: object) -> Singles:
            assert of()
            return np.ones(shape, dtype=np.float32)

        return fill

    model = unlit(fabric(MOTIF, "swatch"))
    stage, camera = model.stage, camera_for(model, "face", Scale(60))
    first_hits(stage, camera)
    assert not has(stage.rays)
    with monkeypatch.context() as patch:
        patch.setattr("fabricsim.render.trace.trace.fill", forked(lambda: has(stage.rays)))
        trace(stage, camera, 1)
        assert not has(stage.lining)
    again = Rays(stage.rays.vertex_vc, stage.rays.triangle_tv)
    with monkeypatch.context() as patch:
        patch.setattr("fabricsim.render.trace.occlusion.fill", forked(lambda: has(again)))
        openness(again, model.tubes, 2, 4)
    with monkeypatch.context() as patch:
        patch.setattr(depth_buffer, "LOADED", None)
        third = Rays(stage.rays.vertex_vc, stage.rays.triangle_tv)
        Sight(camera, stage.scale, stage.far, sample_places(1)).of(third)
        assert has(third)
