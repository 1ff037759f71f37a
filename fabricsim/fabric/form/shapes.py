"""Forms to put a tube on: one section, and one polynomial for how it changes from the bottom up."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import prod
from typing import Literal

import numpy as np
from numpy.polynomial import Polynomial

from fabricsim.arrays import Floats
from fabricsim.units import MM

Way = Literal["above", "below"]
"""Over which end of a form a piece is put on: hats, cuffs and mittens over the top, sleeves and legs from below."""

TOP_OF_HEAD, CHIN = 0.18, 0.24
"""How far the top of a head lies above its widest place, and its chin below, over how far round it is: 10 and 13.5 cm
of 56 (memory: a head is 22 to 24 cm high)."""
FINGERTIPS, WRIST_BELOW, WRIST_ROUND, HAND_FLAT = 0.5, 0.4, 0.85, 0.45
"""A hand, over how far round its knuckles are: from them to the fingertips, from them to the wrist; how far round the
wrist is; and over its breadth, how thick it is (all memory)."""
WRIST_OF_ARM, ARM_LONG = 0.6, 1.6
"""Round the wrist, and from wrist to where the upper arm is measured, over how far round that is (memory)."""
BOARD_THICK = 15.0 * MM
"""Of a blocking board (chosen: of foam; thinner ones would slip between two stitches of a thick yarn)."""
EDGE = 2.0
"""Power of x in the section of a board, |x/a|^p + |z/b|^2, over its half breadth in half thicknesses: so its edges are
as round as it is thick, radius p b^2 / 2a (derived), and it is flat between them."""
TRIES = 12
"""Newton's steps to the surface of a section, to the last bit: they begin just outside and only go inwards, each to
twice as many digits (measured: 6 for a board, 8 for one 13 times as wide)."""
SECTION_POINTS = 4096
"""Points from which the length round a section is reckoned (chosen: to a millionth)."""


@dataclass(frozen=True, eq=False)
class Form:
    """What a tube is put on, standing upright along y.

    Its surface: |x / half_width|^``power`` + |z / half_depth|^``power_deep`` = ``size(y)``, a polynomial that is 1
    where the section is ``half_width`` by ``half_depth`` (m). ``name`` in words, as in "on a head"; put on over its
    ``way``; between ``bottom`` and ``top`` (m) it is what it is called; ``widest_passed`` m: round the widest place
    that must be passed, if that is none of its own, such as a folded hand before the arm; ``girth_at_one`` m: round it
    where ``size`` is 1. Powers are even, and differ only where it is as wide all along.
    """

    name: str
    half_width: float
    half_depth: float
    size: Polynomial
    bottom: float
    top: float
    way: Way = "above"
    power: int = 2
    power_deep: int = 2
    widest_passed: float = 0.0
    girth_at_one: float = field(init=False, default=0.0)

    def __post_init__(self) -> None:
        point_pc = self.section(np.arange(SECTION_POINTS) / SECTION_POINTS)
        around = float(np.linalg.norm(np.diff(point_pc, axis=0, append=point_pc[:1]), axis=1).sum())
        object.__setattr__(self, "girth_at_one", around)

    @property
    def is_round(self) -> bool:
        """Whether its sections are circles, so that nothing keeps a tube from turning on it."""
        return self.power == 2 and self.half_width == self.half_depth

    @property
    def is_straight(self) -> bool:
        """Whether it is as wide all the way up, so that nothing but friction keeps a tube where it is."""
        return self.size.degree() == 0

    def turned(self) -> Form:
        """Return it upside down about height 0, put on over its other end."""
        way: Way = "below" if self.way == "above" else "above"
        size = self.size(Polynomial([0.0, -1.0]))
        assert isinstance(size, Polynomial)
        return replace(self, size=size, bottom=-self.top, top=-self.bottom, way=way)

    def section(self, share_p: Floats) -> Floats:
        """Return points (p, 2) of x and z, m, on the section where ``size`` is 1, at shares of a turn."""
        angle_p = 2.0 * np.pi * share_p - 0.5 * np.pi
        way_p2 = np.column_stack([np.sin(angle_p), np.cos(angle_p)])
        across_p, deep_p = np.abs(way_p2[:, 0]) ** self.power, np.abs(way_p2[:, 1]) ** self.power_deep
        if self.power == self.power_deep:
            far_p = (across_p + deep_p) ** (-1.0 / self.power)
        else:
            # As far out as either part alone would let it; what is beyond the surface grows ever faster on the way out.
            with np.errstate(divide="ignore"):
                far_p = np.minimum(across_p ** (-1.0 / self.power), deep_p ** (-1.0 / self.power_deep))
            for _ in range(TRIES):
                part_p, deep_part_p = across_p * far_p**self.power, deep_p * far_p**self.power_deep
                slope_p = (self.power * part_p + self.power_deep * deep_part_p) / far_p
                far_p = far_p - (part_p + deep_part_p - 1.0) / slope_p
        return np.asarray(way_p2 * [self.half_width, self.half_depth] * far_p[:, None])

    def evenly(self, share_p: Floats) -> Floats:
        """Return points (p, 2) of x and z, m, on the section where ``size`` is 1, at shares of the way round it."""
        turn_k = np.arange(SECTION_POINTS + 1) / SECTION_POINTS
        point_kc = self.section(turn_k)
        gone_k = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(point_kc, axis=0), axis=1))])
        return self.section(np.interp(share_p % 1.0, gone_k / gone_k[-1], turn_k))

    def shares_off(self, share_p: Floats, gap: float, scale: float) -> Floats:
        """Return at which shares of the way round the section, ``scale`` times as large as where ``size`` is 1, points
        lie that are at shares (p,) of the way round a line ``gap`` (m) off it."""
        every_k = np.arange(SECTION_POINTS + 1) / SECTION_POINTS
        point_kc = self.evenly(every_k)
        off_kc = scale * point_kc + gap * self.out_of(point_kc)
        gone_k = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(off_kc, axis=0), axis=1))])
        return np.asarray(np.interp(share_p % 1.0, gone_k / gone_k[-1], every_k))

    def out_of(self, point_p2: Floats) -> Floats:
        """Return the unit vectors (p, 2) of x and z straight out of the section at points on it."""
        half_c = np.array([self.half_width, self.half_depth])
        power_c = np.array([self.power, self.power_deep])
        out_p2 = power_c * (point_p2 / half_c) ** (power_c - 1) / half_c
        return np.asarray(out_p2 / np.linalg.norm(out_p2, axis=1)[:, None])

    def scale(self, y_p: Floats | float) -> Floats:
        """Return how large the section is at heights, over the one where ``size`` is 1; 0 beyond its ends."""
        return np.asarray(np.maximum(self.size(np.asarray(y_p)), 0.0) ** (1.0 / self.power))

    def girth(self, y_p: Floats | float) -> Floats:
        """Return how far round it is at heights (m), m."""
        return self.girth_at_one * self.scale(y_p)

    def reaches_down(self, low: float) -> float:
        """Return how far below its ``bottom``, at the most to the height ``low`` (m), its surface goes on: an arm
        beyond the wrist, a head not beyond its chin."""
        below_k = np.linspace(self.bottom, min(low, self.bottom), 512)
        ended_k = self.girth(below_k) <= 0.0
        return float(below_k[max(int(ended_k.argmax()) - 1, 0)] if ended_k.any() else below_k[-1])

    def to_pass(self, y_p: Floats) -> Floats:
        """Return round the widest place that must be passed to come to heights (p,), m: on the way there, and there."""
        way_k = np.linspace(self.bottom, self.top, 512)
        girth_k = self.girth(way_k)
        past_pk = way_k >= y_p[:, None] if self.way == "above" else way_k <= y_p[:, None]
        passed_p = np.where(past_pk, girth_k, 0.0).max(axis=1)
        return np.asarray(np.maximum(np.maximum(passed_p, self.girth(y_p)), self.widest_passed))

    def parts(self, x_bc: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Return x, y and z parts of |x/a|^p + |z/b|^p - size(y) and their first three derivatives, each (b, 3)."""
        parts = []
        size_k = [self.size, self.size.deriv(1), self.size.deriv(2), self.size.deriv(3)]
        axes = ((0, self.half_width, self.power), (2, self.half_depth, self.power_deep))
        for order in range(4):
            out_bc = np.empty_like(x_bc)
            for axis, half, p in axes:
                u_b = x_bc[:, axis] / half  # even powers: no need for its size
                factor = prod(range(p - order + 1, p + 1))
                out_bc[:, axis] = factor * u_b ** (p - order) / half**order if p >= order else 0.0
            out_bc[:, 1] = -size_k[order](x_bc[:, 1])
            parts.append(out_bc)
        return parts[0], parts[1], parts[2], parts[3]


def _egg(top: float, below: float, there: float) -> Polynomial:
    """Return the cubic that is 1 and widest at 0, nothing at ``top`` and ``there`` at ``below`` under it."""
    # 1 - a y^2 - b y^3 at both ends.
    a, b = np.linalg.solve([[top**2, top**3], [below**2, -(below**3)]], [1.0, 1.0 - there])
    return Polynomial([1.0, 0.0, -a, -b])


def cylinder(girth: float, height: float) -> Form:
    """Return a cylinder ``girth`` (m) round."""
    radius = girth / (2.0 * np.pi)
    return Form("a cylinder", radius, radius, Polynomial([1.0]), 0.0, height)


def ball(girth: float) -> Form:
    """Return a ball ``girth`` (m) round, its middle at height 0."""
    radius = girth / (2.0 * np.pi)
    return Form("a ball", radius, radius, Polynomial([1.0, 0.0, -1.0 / radius**2]), -radius, radius)


def cone(girth: float, taper: float, height: float, name: str = "a cone", widest_passed: float = 0.0) -> Form:
    """Return a cone ``girth`` (m) round at height 0, its radius growing by ``taper`` a metre; entered from below."""
    radius = girth / (2.0 * np.pi)
    size = Polynomial([1.0, taper / radius]) ** 2
    return Form(name, radius, radius, size, 0.0, height, "below", widest_passed=widest_passed)


def head(girth: float) -> Form:
    """Return a head ``girth`` (m) round: an egg, widest at height 0."""
    radius, top, chin = girth / (2.0 * np.pi), TOP_OF_HEAD * girth, CHIN * girth
    return Form("a head", radius, radius, _egg(top, chin, 0.0), -chin, top)


def hand(girth: float, folded: float) -> Form:
    """Return a hand ``girth`` (m) round at its knuckles, which are at height 0; ``folded`` (m) round as it goes in."""
    breadth = _half_of_ellipse(girth, HAND_FLAT)
    below = WRIST_BELOW * girth
    size = _egg(FINGERTIPS * girth, below, WRIST_ROUND**2)
    return Form("a hand", breadth, HAND_FLAT * breadth, size, -below, FINGERTIPS * girth, widest_passed=folded)


def arm(girth: float, folded: float, name: str = "an arm") -> Form:
    """Return an arm, a cone from the wrist at height 0 to ``girth`` (m) round the upper arm."""
    long, wrist = ARM_LONG * girth, WRIST_OF_ARM * girth
    return cone(wrist, (girth - wrist) / (2.0 * np.pi * long), long, name, folded)


def board(girth: float, height: float) -> Form:
    """Return a flat board ``girth`` (m) round for a tube to be blocked on."""
    thick = 0.5 * BOARD_THICK
    wide = 0.25 * girth
    for _ in range(20):  # the section is longer than twice its width by a little
        power = 2 * max(1, round(0.5 * EDGE * wide / thick))
        made = Form("a board", wide, thick, Polynomial([1.0]), 0.0, height, power=power)
        wide += 0.25 * (girth - float(made.girth(0.0)))
    return made


def _half_of_ellipse(girth: float, flat: float) -> float:
    """Return half the breadth (m) of an ellipse ``girth`` round and ``flat`` times as thick as broad."""
    from scipy.special import ellipe

    return float(girth / (4.0 * ellipe(1.0 - flat**2)))
