"""What yarn looks like where a ray meets it: plies, fibres, light, shadow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Indices, Ints, Singles, cross
from fabricsim.colour import linear
from fabricsim.render.yarn.tubes import Spot, Tubes

PLIES = 3
"""Plies of the drawn yarn (chosen: a common hand-knitting yarn)."""
TWIST = 5.2
"""Length in which a ply turns once round the yarn, yarn thicknesses (chosen by eye)."""
PLY_TILT = 0.62
"""Greatest tilt of the surface beside a groove between plies, radians (chosen by eye)."""
GROOVE = 0.42
"""Darkening at the bottom of a groove, share (chosen by eye)."""
GROOVED = GROOVE / 7.0
"""Darkening by grooves, mean over the yarn (derived from the sixth power that shapes them). Yarn drawn too thin for its
plies to show is darkened as much all over, or it would be lighter from afar than from near by."""
FIBRE = 0.14
"""Unevenness of the fibres' lightness, share (chosen by eye)."""
FIBRE_TILT = 0.24
"""Tilt of the surface by single fibres, radians (chosen by eye)."""
RELIEF, RELIEF_LIMITS = 0.9, (0.5, 1.35)
"""How much more than yarn alone would, the lie of the fabric lightens and darkens it (chosen, as in hill shading)."""
FADE_PX = (6.0, 16.0)
"""Thickness of the yarn in pixels at which plies begin to show, and show in full (chosen: below, they only flicker)."""
KEY_LIGHT = np.array([1.02, 0.97, 0.89], dtype=np.float32)
"""Colour of the light from the upper left, linear (chosen: daylight, a little warm)."""
SKY_LIGHT = np.array([0.74, 0.78, 0.82], dtype=np.float32)
"""Colour of the light from all round, linear (chosen: a little cool)."""
KEY_WAY = np.array([-0.44, 0.50, 0.75])
"""Where the key light stands as seen by the camera: right, up, towards it (chosen: low enough to show relief)."""
CUT_KEY_WAY = np.array([-0.24, 0.34, 0.91])
"""The same for a tube cut open, whose sides would else throw their shadow over all of the inside (chosen)."""
SKY_LEVEL, SKY_RISE = 0.72, 0.28
"""Light of the sky on a surface that is level with it, and how much more on one that looks up (chosen by eye)."""
DEEP, OPEN = 0.45, 0.55
"""Share of its light that yarn keeps in the deepest gaps, and gains in the open: inter-reflection is weak in gaps
(chosen by eye; they sum to 1)."""
WRAP = 0.22
"""How far light reaches round the yarn, fibres being translucent (chosen by eye)."""
SHEEN = 0.10
"""Brightening of fibres seen edge on (chosen by eye)."""
LEAST_ALBEDO = 0.012
"""Darkest yarn drawn, linear: no yarn is so black that its stitches vanish (chosen)."""
SHOULDER = 0.62
"""Linear light up to which tones are kept as they are (chosen: middle tones of yarn stay true)."""
NOISE_SIZE = 256
"""Texels of the fibre noise along and round the yarn (chosen)."""
NOISE_LONG = 9.0
"""Length of yarn after which the noise repeats, yarn thicknesses (chosen: no eye finds the repeat)."""
NOISE_FINEST = 0.03, 0.22
"""Finest fibres along and round the yarn, waves a texel (chosen by eye: long along it, fine round it)."""
NOISE_CUT = 0.5
"""Noise of two standard deviations counts as 1, the most (chosen)."""


def softened(light: np.ndarray) -> Singles:
    """Return linear ``light`` (..., 3) pressed under 1 where bright, hue kept: pale yarn keeps its form."""
    room = np.float32(1.0 - SHOULDER)
    most = light.max(axis=-1, keepdims=True)
    pressed = SHOULDER + room * (1.0 - np.exp(-np.maximum(most - SHOULDER, 0.0) / room))
    out: Singles = (light * np.where(most > SHOULDER, pressed / np.maximum(most, SHOULDER), 1.0)).astype(np.float32)
    return out


def fibre_noise() -> Singles:
    """Return the (2, along, round) pattern of fibres and its slope, mean 0, about -1 to 1, the same every time.

    It repeats without a seam.
    """
    rng = np.random.default_rng(20)
    grain = rng.standard_normal((NOISE_SIZE, NOISE_SIZE))
    wave = np.fft.fft2(grain)
    k = np.fft.fftfreq(NOISE_SIZE)
    wave *= np.exp(-((k[:, None] / NOISE_FINEST[0]) ** 2) - (k[None, :] / NOISE_FINEST[1]) ** 2)
    soft = np.fft.ifft2(wave).real
    slope = np.roll(soft, -1, axis=1) - np.roll(soft, 1, axis=1)
    both = np.stack([soft / soft.std(), slope / slope.std()])
    out: Singles = np.clip(NOISE_CUT * both, -1.0, 1.0).astype(np.float32)
    return out


@dataclass(frozen=True, eq=False)
class Light:
    """Directions in space, unit, float32: to the key light, up and to the camera."""

    key_c: Singles
    up_c: Singles
    eye_c: Singles


@dataclass(frozen=True, eq=False)
class Skin:
    """The yarn's looks: ``albedo_kc`` (k, 3) linear, and ``paint_g`` (g,) int which of them each ring has; ``open_gk``
    (g, sides) openness;
    ``lie_gc`` (g, 3) unit normals of the fabric at each ring, or none (0, 3) where its lie isn't to be stressed, and
    ``level_c`` (3,) their mean;
    ``noise``: texture and its slope round the yarn, (2, along, round)."""

    tubes: Tubes
    albedo_kc: Singles
    paint_g: Indices
    open_gk: Singles
    lie_gc: Singles
    level_c: Singles
    noise: Singles


@dataclass(frozen=True, eq=False)
class Shade:
    """Light from the yarn without the key light's share, and that share: (m, 3) each; ``out_mc`` smooth normals;
    ``facing_m`` their cosine to the key light."""

    sky_mc: Singles
    key_mc: Singles
    out_mc: Singles
    facing_m: Singles


def shade(skin: Skin, spot: Spot, light: Light, yarn_px: float) -> Shade:
    """Return the light that yarn sends back from each spot, drawn ``yarn_px`` pixels thick."""
    tubes = skin.tubes
    # numpy takes by flat numbers in half the time in which it takes by several, or by brackets
    ring, after, share = spot.ring_m, spot.ring_m + 1, spot.fraction_m[:, None]
    rest = 1.0 - share
    normal = _between(tubes.normal_gc, ring, after, rest, share)
    tangent = _between(tubes.tangent_gc, ring, after, rest, share)
    normal /= np.sqrt(np.einsum("mc,mc->m", normal, normal))[:, None]
    tangent /= np.sqrt(np.einsum("mc,mc->m", tangent, tangent))[:, None]
    binormal = cross(tangent, normal)
    cos, sin = np.cos(spot.angle_m)[:, None], np.sin(spot.angle_m)[:, None]
    out = cos * normal + sin * binormal
    albedo = (skin.albedo_kc * np.float32(1.0 - GROOVED)).take(skin.paint_g.take(ring), axis=0)

    seen = float(np.clip((yarn_px - FADE_PX[0]) / (FADE_PX[1] - FADE_PX[0]), 0.0, 1.0))
    bumped, tone = out, None
    if seen > 0.0:
        along = _between(tubes.along_g, ring, after, rest[:, 0], share[:, 0])
        twisted = spot.angle_m - np.float32(2.0 * np.pi / TWIST) * along
        turn = twisted * np.float32(PLIES / (2.0 * np.pi))
        lobe = 2.0 * (turn - np.floor(turn)) - 1.0  # -1 and 1 in the grooves, 0 on the crest of a ply
        square = lobe * lobe
        sixth = square * square * square
        i = (along * (NOISE_SIZE / NOISE_LONG)).astype(np.int64) & (NOISE_SIZE - 1)
        texel = i * NOISE_SIZE + ((twisted * (NOISE_SIZE / (2.0 * np.pi))).astype(np.int64) & (NOISE_SIZE - 1))
        tilt = (PLY_TILT * seen) * lobe * (1.0 - sixth) + (FIBRE_TILT * seen) * skin.noise[1].take(texel)
        slant = np.float32(np.pi / TWIST)
        around = cos * binormal - sin * normal
        bumped = out + (tilt / np.sqrt(1.0 + slant * slant))[:, None] * (around - slant * tangent)
        bumped /= np.sqrt(np.einsum("mc,mc->m", bumped, bumped))[:, None]
        groove = (1.0 - GROOVE * seen * sixth) / (1.0 - GROOVED * seen)
        tone = groove * (1.0 + FIBRE * seen * skin.noise[0].take(texel))

    side = spot.angle_m * np.float32(tubes.sides / (2.0 * np.pi))
    whole = np.floor(side)  # as a float: beside whole numbers all that follows would be of 8 bytes
    part, low = side - whole, whole.astype(np.int64)
    low -= tubes.sides * (low >= tubes.sides)  # a whole turn is none; a division would take longer
    high = low + 1
    high -= tubes.sides * (high >= tubes.sides)
    here, ahead = ring * tubes.sides, after * tubes.sides
    opened = _between(skin.open_gk, here + low, here + high, 1.0 - part, part) * rest[:, 0]
    opened += _between(skin.open_gk, ahead + low, ahead + high, 1.0 - part, part) * share[:, 0]

    facing = against(bumped, light.key_c)
    direct = np.maximum(facing + WRAP, 0.0) / (1.0 + WRAP)
    above = SKY_LEVEL + SKY_RISE * against(bumped, light.up_c)
    rim = 1.0 - np.clip(against(out, light.eye_c), 0.0, 1.0)
    if tone is not None:
        albedo = albedo * tone[:, None]
    if len(skin.lie_gc):
        lie = skin.lie_gc.take(ring, axis=0)
        lit = against(lie, light.key_c)
        lit = np.where(against(lie, light.eye_c) < 0.0, -lit, lit)
        usual = float(skin.level_c @ light.key_c) * float(np.sign(skin.level_c @ light.eye_c))
        lighter = np.clip(1.0 + RELIEF * (lit - usual), *RELIEF_LIMITS).astype(np.float32)
        albedo = albedo * lighter[:, None]
    dimmed = DEEP + OPEN * opened
    sky = albedo * (opened * dimmed * above)[:, None] * SKY_LIGHT
    sky += (SHEEN * opened * rim * rim * rim)[:, None] * np.sqrt(albedo)
    key = albedo * (direct * dimmed)[:, None] * KEY_LIGHT
    return Shade(sky, key, out, against(out, light.key_c))


def against(a_mc: Singles, b_c: Singles) -> Singles:
    """Return the products (m,) of many vectors with one, the same whatever the others are (unlike a matrix product)."""
    out: Singles = a_mc[:, 0] * b_c[0] + a_mc[:, 1] * b_c[1] + a_mc[:, 2] * b_c[2]
    return out


def _between(each: Singles, low: Ints, high: Ints, rest: Singles, share: Singles) -> np.ndarray:
    """Return ``rest`` of the values, or rows, at ``low`` and ``share`` of those at ``high``."""
    across = 0 if rest.ndim == 2 else None
    return np.asarray(each.take(low, axis=across) * rest + each.take(high, axis=across) * share)


def albedos(rgb_k3: np.ndarray) -> Singles:
    """Return the linear albedo (k, 3) of yarn in colours given as red, green, blue 0 to 255."""
    light_k3 = linear((np.asarray(rgb_k3) / 255.0).astype(np.float32))
    out: Singles = np.maximum(light_k3, np.float32(LEAST_ALBEDO))
    return out
