"""The picture, pixel by pixel: rays from the camera, shadow rays to the light, light from the yarn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import Ints, Singles
from fabricsim.render.trace.camera import Camera
from fabricsim.render.trace.cut_faces import CutFaces
from fabricsim.render.trace.forked import fill, processes_for
from fabricsim.render.trace.rays import FAR, GOLDEN_ANGLE, OFFSET, Hits, Rays
from fabricsim.render.trace.shade import CUT_KEY_WAY, KEY_WAY, Light, Shade, Skin, against, shade
from fabricsim.render.trace.shown_form import ShownForm, in_front, lit
from fabricsim.render.trace.sight import Shown, Sight
from fabricsim.render.yarn.tubes import Spot, spots

NEAR_RINGS, NEAR_ANGLE = 3, 0.94
"""Samples of a pixel at most so many rings and so wide an angle (its cosine) apart are shaded once (chosen)."""
SOFT = 0.040
"""Half the width of the key light as seen from the yarn, radians (chosen: shadows a little soft)."""
FIRST_TURN = 0.6
"""Where on the key light the first of its points lies, radians round it (chosen: none falls on an axis)."""
TURNED_AWAY = -0.2
"""Cosine to the key light below which yarn counts as in its own shadow (chosen: next to nothing comes so far round)."""
CUT_INSIDE = 0.55
"""Light from the inside of a strand cut open, share of the yarn's (chosen by eye)."""
CUT_THROUGH = 2.0
"""Thicknesses within which a ray that begins inside a strand meets what is pressed into it (chosen)."""
AT_ONCE = 60_000
"""Rays traced and shaded at once (chosen: their numbers stay in the processor's cache)."""
SAMPLES_A_SECOND = 1.0e6
"""Samples traced and shaded a second in one process, to judge whether to fork (measured on one server core)."""
GAP_SHARE = 0.06
"""Light from the dark inside of the fabric, share of the yarns' mean (chosen by eye)."""


@dataclass(frozen=True, eq=False)
class TraceStage:
    """What is pictured: yarn and lining ready for rays, the yarn's looks, the unit (``scale`` m), how ``far`` from the
    origin a camera is outside it all, the linear colour ``gap_c`` (3,) of which the dark inside has a share, and the
    ``form`` that it is worn on, if it is."""

    rays: Rays
    lining: Rays | None
    skin: Skin
    scale: float
    far: float
    gap_c: Singles
    form: ShownForm | None = None


@dataclass(frozen=True, eq=False)
class _View:
    """What all bands of a picture share: of which ``stage``, in what ``light``, which samples (``sight``), what they
    show of the ``yarn``, of the ``lining`` and of the ``form``, and the strands cut open, if there are any."""

    stage: TraceStage
    sight: Sight
    light: Light
    cut_faces: CutFaces | None
    yarn: Shown
    lining: Shown | None
    form: Shown | None
    dark_c: Singles

    @property
    def camera(self) -> Camera:
        return self.sight.camera


def trace(stage: TraceStage, camera: Camera, samples: int) -> Singles:
    """Return (height, width, 4): linear light times coverage, and coverage, of ``samples`` a pixel."""
    sight = Sight(camera, stage.scale, stage.far, sample_places(samples))
    view = _View(
        stage,
        sight,
        _light(camera),
        CutFaces(stage.skin.tubes, camera.cut_c) if camera.cut_c is not None else None,
        sight.of(stage.rays),
        sight.of(stage.lining) if stage.lining is not None else None,
        sight.of(stage.form.rays) if stage.form is not None else None,
        np.float32(GAP_SHARE) * stage.gap_c,
    )
    rows_at_once = max(1, AT_ONCE // (camera.width_px * samples))

    def work(first: int, end: int, out: Singles) -> None:
        for start in range(first, end, rows_at_once):
            stop = min(end, start + rows_at_once)
            out[start - first : stop - first] = _rows(view, start, stop)

    stage.rays.ready()
    seconds = camera.width_px * camera.height_px * samples / SAMPLES_A_SECOND
    return fill((camera.height_px, camera.width_px, 4), work, processes_for(seconds))


def sample_places(samples: int) -> Singles:
    """Return where in a pixel its samples lie, (k, 2) between 0 and 1: no two in one row or column.

    The same in every pixel, so that edges come out smooth rather than grainy.
    """
    k = np.arange(samples)
    low = (k * (np.sqrt(5.0) - 1.0) / 2.0) % 1.0
    down = np.argsort(np.argsort(low, kind="stable"), kind="stable")
    return (np.stack([(k + 0.5) / samples, (down + 0.5) / samples], axis=1)).astype(np.float32)


def first_hits(stage: TraceStage, camera: Camera) -> tuple[Hits, Singles]:
    """Return what the middle of every pixel shows, row by row from the top, and where its ray began."""
    sight = Sight(camera, stage.scale, stage.far, np.full((1, 2), 0.5, dtype=np.float32))
    return sight.of(stage.rays)(0, camera.height_px), sight.origins(0, camera.height_px)


def _light(camera: Camera) -> Light:
    key = KEY_WAY if camera.cut_c is None else CUT_KEY_WAY
    key = key / np.linalg.norm(key) @ camera.axes_ac
    return Light(key.astype(np.float32), camera.axes_ac[1].astype(np.float32), camera.axes_ac[2].astype(np.float32))


def _rows(view: _View, start: int, stop: int) -> Singles:
    wide, count = view.camera.width_px, len(view.sight.inner_k2)
    hits = view.yarn(start, stop)
    bare, front = None, np.zeros(len(hits.triangle_m), dtype=bool)
    if view.form is not None:
        bare = view.form(start, stop)
        front = in_front(bare, hits)
        hits = replace(hits, triangle_m=np.where(front, -1, hits.triangle_m))
    met = np.nonzero(hits.triangle_m >= 0)[0]
    if len(met) == len(hits.triangle_m):
        every = np.ones((stop - start, wide, 4), dtype=np.float32)
        every[..., :3] = _mean(_yarn(view, hits, met, start).reshape(stop - start, wide, count, 3))
        return every
    colour = np.zeros((len(hits.triangle_m), 4), dtype=np.float32)
    if len(met):
        colour[met, :3], colour[met, 3] = _yarn(view, hits, met, start), 1.0
    if bare is not None and front.any():
        origin = view.sight.origins(start, stop)
        colour[front, :3], colour[front, 3] = lit(bare, front, origin, view.light, view.stage.rays), 1.0
    missed = (hits.triangle_m < 0) & ~front
    if view.lining is not None and missed.any():
        inside = missed & (view.lining(start, stop).triangle_m >= 0)
        colour[inside, :3] = view.dark_c
        colour[inside, 3] = 1.0
    return _mean(colour.reshape(stop - start, wide, count, 4))


def _mean(each: Singles) -> Singles:
    """Return the means over the samples of every pixel, (rows, wide, count, ...) to (rows, wide, ...)."""
    count = each.shape[2]
    total: Singles = each[:, :, 0].copy()
    for sample in range(1, count):  # a sum over so short an axis takes numpy five times as long
        total += each[:, :, sample]
    total /= np.float32(count)
    return total


def _yarn(view: _View, hits: Hits, met: Ints, start: int) -> Singles:
    """Return the light of the samples ``met`` of rows from ``start`` on. Those of one pixel that lie close together are
    shaded once."""
    stage, light, camera, count = view.stage, view.light, view.camera, len(view.sight.inner_k2)
    tubes = stage.skin.tubes
    spot = spots(tubes, hits.triangle_m.take(met), hits.u_m.take(met), hits.v_m.take(met))
    pixel = met // count
    sample = met - pixel * count
    chosen = _alike(spot, pixel)
    is_own = chosen == np.arange(len(met))
    own, which = np.nonzero(is_own)[0], np.empty(len(met), dtype=np.intp)
    which[own] = np.arange(len(own))
    which = which.take(chosen)
    looks = shade(
        stage.skin,
        Spot(spot.ring_m.take(own), spot.fraction_m.take(own), spot.angle_m.take(own)),
        light,
        tubes.scale / camera.metres_per_px,
    )
    # two points of the key light serve all samples of a pixel that are shaded alike: the first's and the last's
    ends_pixel = np.append(pixel[1:] != pixel[:-1], True)
    asked = np.nonzero(is_own | ends_pixel)[0]
    answer = np.zeros(len(met), dtype=np.intp)
    answer[asked] = np.arange(len(asked))
    last = np.nonzero(ends_pixel)[0].take(np.cumsum(ends_pixel) - ends_pixel)
    lent = np.where((sample >= count // 2) & (chosen == chosen.take(last)), last, chosen)
    way = _key_ways(light, count).take(sample.take(asked), axis=0)
    lit_m = _lit(view, hits, met.take(asked), start, looks, which.take(asked), way)
    out: Singles = looks.key_mc.take(which, axis=0)
    out *= lit_m.take(answer.take(lent))[:, None]
    out += looks.sky_mc.take(which, axis=0)
    if view.cut_faces is not None:
        # a cut strand shows its inside: plain fibre, evenly lit
        # its wall is met from inside, or first that of another pressed into it
        inner = against(hits.out_mc[met], light.eye_c) < 0
        near = np.nonzero(~inner & (hits.distance_m[met] < CUT_THROUGH))[0]
        ring = spot.ring_m.copy()
        ring[near] = view.cut_faces.ring_at(view.sight.origins_of(met[near], start))
        inner[near] = ring[near] >= 0
        out[inner] = np.float32(CUT_INSIDE) * stage.skin.albedo_kc[stage.skin.paint_g[ring[inner]]]
    return out


def _lit(view: _View, hits: Hits, met: Ints, start: int, looks: Shade, which: Ints, way: Singles) -> Singles:
    """Return 1 where a sample sees its point of the key light, which lies that ``way``; 0 where it lies in shadow."""
    answer = np.zeros(len(met), dtype=np.float32)
    turned = looks.facing_m.take(which) > TURNED_AWAY
    asked = np.nonzero(turned)[0]
    if len(asked) < len(met):
        met, which, way = met.take(asked), which.take(asked), way.take(asked, axis=0)
    place = looks.out_mc.take(which, axis=0)
    place *= np.float32(OFFSET)
    place += view.sight.origins_of(met, start)
    place -= hits.distance_m.take(met)[:, None] * view.light.eye_c
    reach = np.full(len(met), FAR, dtype=np.float32)
    if view.camera.cut_c is not None:
        cut = view.camera.cut_c.astype(np.float32)
        rising = against(way, cut)
        reach = np.where(rising > 1e-3, np.maximum(-against(place, cut), 0.0) / np.maximum(rising, 1e-3), FAR)
        reach = reach.astype(np.float32)
    answer[asked] = ~view.stage.rays.blocked(place, way, reach)
    return answer


def _alike(spot: Spot, pixel_m: Ints) -> Ints:
    """Return for every sample the earlier sample of its pixel that it is shaded like, or itself."""
    here = np.arange(len(pixel_m))
    begins = np.append(True, pixel_m[1:] != pixel_m[:-1])
    first = np.nonzero(begins)[0].take(np.cumsum(begins) - 1)
    near = np.abs(spot.ring_m - spot.ring_m.take(first)) <= NEAR_RINGS
    near &= np.cos(spot.angle_m - spot.angle_m.take(first)) > NEAR_ANGLE
    return np.where(near, first, here)


def _key_ways(light: Light, count: int) -> Singles:
    """Return directions to ``count`` points of the key light, spread over its disc."""
    side = np.cross(light.key_c, light.up_c)
    side /= np.linalg.norm(side)
    k = np.arange(count)
    radius, angle = SOFT * np.sqrt((k + 0.5) / count), GOLDEN_ANGLE * k + FIRST_TURN
    offset = radius[:, None] * (np.cos(angle)[:, None] * side + np.sin(angle)[:, None] * np.cross(side, light.key_c))
    ways: Singles = (light.key_c + offset).astype(np.float32)
    return ways
