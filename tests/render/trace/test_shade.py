"""The looks of yarn on a straight tube of our own: light by the angle it falls at, plies that twist, fibres without a
seam, and as much darkness from afar as from near by."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.render.trace.camera import Scale, framed, turned
from fabricsim.render.trace.occlusion import openness
from fabricsim.render.trace.rays import Rays
from fabricsim.render.trace.shade import (
    DEEP,
    FADE_PX,
    FIBRE,
    GROOVE,
    GROOVED,
    KEY_LIGHT,
    LEAST_ALBEDO,
    NOISE_SIZE,
    OPEN,
    PLIES,
    RELIEF,
    RELIEF_LIMITS,
    SHEEN,
    SKY_LEVEL,
    SKY_LIGHT,
    SKY_RISE,
    TWIST,
    WRAP,
    Light,
    Shade,
    Skin,
    albedos,
    fibre_noise,
    shade,
)
from fabricsim.render.trace.trace import _light
from fabricsim.render.yarn.tubes import Spot, Tubes, tubes
from tests.render.yarn.test_tubes import strands_of

SIDES = 8
DYE = np.array([[0.5, 0.2, 0.1]], dtype=np.float32)
KEY, UP, EYE = (np.array(way, dtype=np.float32) for way in ((0.0, 0.6, 0.8), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
LIGHT = Light(KEY, UP, EYE)


def straight(*heights: float, points: int = 41) -> Tubes:
    """Return straight yarn along x, one for each height (z), one thick."""
    x = np.linspace(0.0, 20.0, points)
    return tubes(strands_of(*(np.column_stack([x, 0 * x, 0 * x + z]) for z in heights)), SIDES)


TUBE = straight(0.0)


def skin(open_share: float = 1.0, **more: object) -> Skin:
    plain = Skin(
        tubes=TUBE, albedo_kc=DYE, paint_g=np.zeros(len(TUBE.x_gc), dtype=np.intp),
        open_gk=np.full((len(TUBE.x_gc), SIDES), open_share, dtype=np.float32), lie_gc=np.zeros((0, 3), np.float32),
        level_c=np.zeros(3, np.float32), noise=np.zeros((2, NOISE_SIZE, NOISE_SIZE), np.float32),
    )  # fmt: skip
    return replace(plain, **more)  # type: ignore[arg-type]


def spot(angle: np.ndarray, ring: int = 7, fraction: float = 0.5) -> Spot:
    many = len(angle)
    return Spot(np.full(many, ring), np.full(many, fraction, np.float32), angle.astype(np.float32))


ANGLES = np.linspace(0.0, 2.0 * np.pi, 97)[:-1]


def seen(of: Skin, yarn_px: float = 1.0, light: Light = LIGHT, angle: np.ndarray = ANGLES, **where: float) -> Shade:
    return shade(of, spot(angle, **where), light, yarn_px)  # type: ignore[arg-type]


def outward() -> np.ndarray:
    normal, along = TUBE.normal_gc[0].astype(float), np.array([1.0, 0.0, 0.0])
    return np.cos(ANGLES)[:, None] * normal + np.sin(ANGLES)[:, None] * np.cross(along, normal)


@pytest.mark.parametrize("open_share", [1.0, 0.3])
def test_from_afar_light_goes_by_the_angle_it_falls_at_and_by_the_open_sky(open_share: float) -> None:
    found, out = seen(skin(open_share)), outward()
    assert found.out_mc == pytest.approx(out, abs=1e-5)
    facing = out @ KEY
    assert found.facing_m == pytest.approx(facing, abs=1e-5)
    dye, dimmed = DYE[0] * (1.0 - GROOVED), DEEP + OPEN * open_share
    direct = np.maximum(facing + WRAP, 0.0) / (1.0 + WRAP)
    assert found.key_mc == pytest.approx(dimmed * direct[:, None] * dye * KEY_LIGHT, abs=1e-5)
    above = SKY_LEVEL + SKY_RISE * out @ UP
    rim = (1.0 - np.clip(out @ EYE, 0.0, 1.0)) ** 3
    sky = open_share * dimmed * above[:, None] * dye * SKY_LIGHT + SHEEN * open_share * rim[:, None] * np.sqrt(dye)
    assert found.sky_mc == pytest.approx(sky, abs=1e-5)
    assert direct[facing < -WRAP].max() == 0.0  # beyond the wrap it is dark


def test_openness_is_read_between_sides_and_rings() -> None:
    rng = np.random.default_rng(0)
    shares = rng.uniform(0.2, 1.0, (len(TUBE.x_gc), SIDES)).astype(np.float32)
    angle = np.array([0.3, 2.0, 2.0 * np.pi - 0.1, 2.0 * np.pi])
    found = seen(skin(open_gk=shares), angle=angle, ring=9, fraction=0.25)
    side = angle / (2 * np.pi) * SIDES
    low = np.floor(side).astype(int)
    part = side - low
    at = [(1 - part) * shares[ring, low % SIDES] + part * shares[ring, (low + 1) % SIDES] for ring in (9, 10)]
    opened = 0.75 * at[0] + 0.25 * at[1]
    dimmed = DEEP + OPEN * opened
    even = seen(skin(1.0), angle=angle, ring=9, fraction=0.25)
    lit = even.key_mc[:, 0] > 1e-6
    assert (found.key_mc[lit] / even.key_mc[lit])[:, 0] == pytest.approx(dimmed[lit], abs=1e-4)


def test_plies_are_as_many_twist_as_far_and_darken_in_their_grooves_alone() -> None:
    """Lit and seen straight from outside all round: what is left is the tone."""
    near = FADE_PX[1] + 1.0
    along, turned = np.meshgrid(np.arange(0.25, 10.0, 0.5), np.linspace(0.0, 2 * np.pi, 481)[:-1], indexing="ij")
    ring = np.floor(along / 0.5).astype(int).ravel()
    where = Spot(ring, (along.ravel() / 0.5 - ring).astype(np.float32), turned.ravel().astype(np.float32))
    whole_sky = Light(np.array([0, 0, 0], np.float32), np.array([0, 0, 0], np.float32), EYE)
    of = skin()
    ratio = shade(of, where, whole_sky, near).key_mc[:, 0] / shade(of, where, whole_sky, 1.0).key_mc[:, 0]
    ratio = ratio.reshape(along.shape)
    assert ratio.mean() == pytest.approx(1.0, abs=0.005)  # as much light from afar as from near by
    assert ratio.max() == pytest.approx(1.0 / (1.0 - GROOVED), abs=1e-3)
    assert ratio.min() == pytest.approx((1.0 - GROOVE) / (1.0 - GROOVED), abs=0.01)
    for row, place in enumerate(along[:, 0].tolist()):
        dark = ratio[row] < 0.75
        grooves = np.flatnonzero(dark & ~np.roll(dark, 1))
        assert len(grooves) == PLIES
        first = turned[row][ratio[row].argmin()]
        wanted = 2 * np.pi * place / TWIST  # grooves run round with the twist
        off = (first - wanted) / (2 * np.pi / PLIES)
        assert off - np.round(off) == pytest.approx(0.0, abs=0.03)


def test_plies_show_more_the_larger_the_yarn_is_drawn() -> None:
    spread = [float(np.ptp(seen(skin(), px, angle=ANGLES).key_mc[:, 0])) for px in (1.0, FADE_PX[0], 9.0, 12.0, 40.0)]
    assert spread[0] == spread[1]
    assert spread[1] != spread[2] != spread[3]
    assert seen(skin(), FADE_PX[1]).sky_mc == pytest.approx(seen(skin(), 400.0).sky_mc)


def test_fibres_lighten_and_darken_and_tilt() -> None:
    noise = np.zeros((2, NOISE_SIZE, NOISE_SIZE), np.float32)
    noise[0] = 1.0
    flat, lighter = seen(skin(), 99.0), seen(skin(noise=noise), 99.0)
    assert (lighter.key_mc / np.maximum(flat.key_mc, 1e-9))[flat.key_mc > 1e-4] == pytest.approx(1.0 + FIBRE, abs=1e-4)
    noise[0], noise[1] = 0.0, 1.0
    assert np.abs(seen(skin(noise=noise), 99.0).key_mc - flat.key_mc).max() > 0.01


def test_the_lie_of_the_fabric_is_stressed_within_limits() -> None:
    level = np.array([0.0, 0.0, 1.0], np.float32)
    for tilt, eye in ((0.0, 1.0), (0.3, 1.0), (-0.3, 1.0), (1.2, 1.0), (-1.5, 1.0), (0.3, -1.0)):
        lie = np.array([0.0, np.sin(tilt), np.cos(tilt)], np.float32)
        light = Light(KEY, UP, np.array([0.0, 0.0, eye], np.float32))
        of = skin(lie_gc=np.tile(lie, (len(TUBE.x_gc), 1)), level_c=level)
        lit, usual = float(lie @ KEY) * np.sign(lie[2] * eye), float(level @ KEY) * eye
        wanted = np.clip(1.0 + RELIEF * (lit - usual), *RELIEF_LIMITS)
        plain, found = seen(skin(), light=light), seen(of, light=light)
        bright = plain.key_mc > 1e-4
        assert found.key_mc[bright] / plain.key_mc[bright] == pytest.approx(float(wanted), abs=1e-4)


def test_fibres_have_no_seam_no_lean_and_are_long_along_the_yarn() -> None:
    noise = fibre_noise()
    assert noise.shape == (2, NOISE_SIZE, NOISE_SIZE)
    assert (fibre_noise() == noise).all()
    assert np.abs(noise.mean(axis=(1, 2))).max() < 0.02
    assert noise.std(axis=(1, 2)) == pytest.approx([0.48, 0.48], abs=0.03)
    assert (noise.min(), noise.max()) == (-1.0, 1.0)
    tone = noise[0]

    def alike(lag: int, axis: int) -> float:
        return float((tone * np.roll(tone, lag, axis=axis)).mean() / (tone * tone).mean())

    assert alike(5, 0) > 0.7 > 0.3 > alike(5, 1)  # along, and round
    assert alike(60, 0) < 0.2
    for axis in (0, 1):
        ends = np.abs(np.take(tone, 0, axis=axis) - np.take(tone, -1, axis=axis)).mean()
        inside = np.abs(np.diff(tone, axis=axis)).mean()
        assert ends < 1.3 * inside
    slope = np.roll(tone, -1, axis=1) - np.roll(tone, 1, axis=1)
    assert np.corrcoef(slope.ravel(), noise[1].ravel())[0, 1] > 0.97


def test_the_darkest_yarn_is_not_black() -> None:
    made = albedos(np.array([[0, 0, 0], [255, 255, 255], [188, 0, 255]]))
    assert made[0] == pytest.approx([LEAST_ALBEDO] * 3)
    assert made[1] == pytest.approx([1.0] * 3)
    assert made[2] == pytest.approx([0.503, LEAST_ALBEDO, 1.0], abs=1e-3)  # IEC 61966-2-1
    assert made.dtype == np.float32


def test_the_sky_over_a_lone_yarn_is_open_and_between_two_it_is_shut_in_part() -> None:
    def opened(of: Tubes, every: int = 1) -> np.ndarray:
        return openness(Rays(of.vertex_vc, of.triangle_tv), of, 64, every)

    lone = opened(straight(0.0))
    assert lone.min() > 0.97
    pair = straight(0.0, 1.5)
    both = opened(pair)
    out = pair.vertex_vc[: len(pair.x_gc) * SIDES].reshape(-1, SIDES, 3) - pair.x_gc[:, None]
    towards = np.where(pair.strand_g[:, None] == 0, 1.0, -1.0) * out[..., 2] / np.linalg.norm(out, axis=2)
    inner = slice(8, 33)
    facing = both[inner][towards[inner] > 0.9]
    away = both[inner][towards[inner] < -0.6]
    aside = both[inner][np.abs(towards[inner]) < 0.3]
    # r / d = 1/2 of the sky is shut to a spot that faces a yarn; a half of its own, a quarter of each neighbour
    assert facing.mean() == pytest.approx(0.5 * 0.5 + 0.5 * 0.77, abs=0.03)
    assert facing.max() < 0.7 < aside.min()
    assert aside.max() < 0.97 < away.min()
    assert opened(pair, every=4)[inner] == pytest.approx(both[inner], abs=0.05)  # what is between is interpolated
    far = straight(0.0, 6.0)
    assert opened(far).min() > 0.97  # beyond its reach nothing darkens


@pytest.mark.parametrize("cut_c", [None, np.array([0.0, 0.0, 1.0])])
def test_the_key_light_stands_to_the_upper_left_of_the_camera_and_all_ways_are_unit(cut_c: np.ndarray | None) -> None:
    axes = turned(0.7, 0.3)
    light = _light(framed(axes, np.zeros(2), np.ones(2), Scale(100), cut_c))
    for way in (light.key_c, light.up_c, light.eye_c):
        assert np.linalg.norm(way) == pytest.approx(1.0, abs=1e-6)
    right, up, towards = axes @ light.key_c
    assert right < 0.0 < up < towards
    np.testing.assert_allclose([axes @ light.up_c, axes @ light.eye_c], np.eye(3)[1:], atol=1e-6)
