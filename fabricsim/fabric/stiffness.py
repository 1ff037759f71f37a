"""How stiff, thick and heavy a knitted fabric is, from its gauge and yarn.

The anchors below are engineering estimates (*chosen*), set against published measurements of machine knits and apparel
fabrics; no measured stiffness of hand-knit wool stockinette is known to us. Take E to a factor of 2 to 3 and the shear
modulus, Poisson ratio and bending rigidity to a factor of 2.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from fabricsim.design.scene.yarn import loop_length
from fabricsim.units import GRAVITY, MM, PER_10_CM, TEX

FLOAT_RATIO = 100.0
"""Stiffness of a float over that of the one-row strip it bridges: near-inextensible (chosen; draw-in of a float over
five stitches comes out at 99.8 % of its shortness, see the closed form in the tests)."""


@dataclass(frozen=True)
class Anchor:
    """A yarn weight for which every stiffness has been chosen; others are scaled between and beyond."""

    stitches: float
    rows: float
    tex: float
    thickness_mm: float
    stretch_across: float
    lock_ratio: float
    bend_across: float
    bend_up: float


# Every figure chosen. Stretch: small-strain moduli of four machine knits, 10-65 N/m (Wang, O'Brien, Ramamoorthi 2011,
# ACM Trans. Graph. 30(4):71, data files); bending: median of apparel fabrics of this mass, 44 uN.m (drape-tester data
# set, SIGGRAPH Asia 2022). In order of stitch width.
ANCHORS = (
    Anchor(30.0, 40.0, 240.0, 1.6, 30.0, 7.0, 25e-6, 32e-6),
    Anchor(22.0, 29.0, 420.0, 2.2, 20.0, 10.0, 40e-6, 52e-6),
    Anchor(19.0, 25.5, 500.0, 2.6, 15.0, 10.0, 50e-6, 65e-6),
)

UP_OVER_ACROSS = 2.0
"""E_y / E_x: knits stretch about twice as far across as along (textile course notes)."""
POISSON_ACROSS = 0.66
"""Shortening up over lengthening across, when pulled across: w / 2c of a loop whose yarn keeps its length, l = 2c + w +
... (Peirce 1947, Text. Res. J. 17, 123, memory; 0.66 to 0.69 at usual gauges). With E_y = 2 E_x the two Poisson ratios
make 0.87 together, where yarn that can't stretch at all would make 1."""
SHEAR_OVER_STRETCH = 1.5
"""G / E_x: 1.0 to 2.2 in four machine knits (Wang, O'Brien, Ramamoorthi 2011, data files); their middle."""
LOCK_ACROSS, LOCK_UP = 0.36, 0.21
"""Stretch at which loops are pulled straight (chosen so that at 17 % across, and 10 % up, the fabric is three times as
stiff as at rest: several times by 17 % in Wang et al. 2011; no hand-knit has been measured)."""
CURL = 100.0
"""Curvature that stockinette wants, 1/m, where its edges are let curl: a free edge rolls to a tube of 1 to 1.5 cm, 100
to 200 1/m (memory), at the lower end, as edges of stranded fabric are thick; which way (memory): sides to the back,
top and bottom to the face. Tajiri et al. 2024, arXiv 2410.13307, abstract: loops that are higher than wide curl at the
sides alone, wider ones at both, then at top and bottom alone; no curvature of theirs has been read."""
CURL_DEPTH = 0.03
"""How far in from its edges fabric curls, m, where they are let: the rest lies as it was laid, as its yarns rub on one
another (memory: an edge rolls up over two to three centimetres; without that, fabric that wants to curl all over ends
as a scroll, whatever its size, as its weight is far too little to hold it down)."""
SHEAR_SHARE = 0.8
"""Most of the shear modulus that a cell could carry at all, for the default: only odd gauges meet it (chosen)."""
JAM = 0.20
"""Squeeze at which neighbouring stitches jam (chosen)."""


@dataclass(frozen=True)
class Stiffness:
    """Everything the mechanics needs to know of a fabric, SI.

    ``thickness`` m; ``areal_mass`` kg/m2; moduli ``stretch_across``, ``stretch_up`` and ``shear`` N/m;
    ``poisson_across``: the strain up over the strain across when pulled across; ``bend_across``, ``bend_up`` and
    ``twist`` N.m; ``curl_across``, ``curl_up``: rest curvature 1/m, as deep as
    ``curl_depth`` m in from the edges. Without unit: ``lock_across``, ``lock_up``, the
    strains at which loops lock, and ``lock_ratio``, how many times stiffer the fabric is then; ``jam``, the squeeze at
    which stitches jam, and ``jam_ratio``; ``float_ratio``, stiffness of a float over that of the fabric it bridges.
    """

    thickness: float
    areal_mass: float
    stretch_across: float
    stretch_up: float
    shear: float
    poisson_across: float
    lock_across: float
    lock_up: float
    lock_ratio: float
    jam: float
    jam_ratio: float
    bend_across: float
    bend_up: float
    twist: float
    float_ratio: float = FLOAT_RATIO
    curl_across: float = 0.0
    curl_up: float = 0.0
    curl_depth: float = np.inf

    @property
    def curls(self) -> bool:
        """Whether its edges want to roll."""
        return bool(self.curl_across or self.curl_up)

    def overridden(self, given: Mapping[str, float]) -> Stiffness:
        """Return the same fabric with the fields ``given`` in place of the defaults, and what follows from them.

        A stretch stiffness that is given takes the other one and the shear along by the same ratio, bending takes twist
        along as the geometric mean of its two, and the lock ratio the jam ratio, each unless it is given itself. If the
        ratio of the two stretch stiffnesses changes, the product of the two Poisson ratios stays.
        """
        changed = replace(self, **given)
        follow: dict[str, float] = {}
        if "stretch_across" in given and "stretch_up" not in given:
            follow["stretch_up"] = self.stretch_up * changed.stretch_across / self.stretch_across
        if "stretch_up" in given and "stretch_across" not in given:
            follow["stretch_across"] = self.stretch_across * changed.stretch_up / self.stretch_up
        changed = replace(changed, **follow)
        if "poisson_across" not in given:
            steeper = (changed.stretch_up / changed.stretch_across) / (self.stretch_up / self.stretch_across)
            follow["poisson_across"] = self.poisson_across / steeper**0.5
        if "shear" not in given:
            stiffer = changed.stretch_across * changed.stretch_up / (self.stretch_across * self.stretch_up)
            follow["shear"] = self.shear * stiffer**0.5
        if "twist" not in given:
            follow["twist"] = (changed.bend_across * changed.bend_up) ** 0.5
        if "jam_ratio" not in given:
            follow["jam_ratio"] = changed.lock_ratio
        return replace(changed, **follow)

    def stretched(self, factor: float) -> Stiffness:
        """Return the same fabric ``factor`` times as stiff to stretch and shear, its bending rigidity unchanged."""
        return replace(
            self,
            stretch_across=factor * self.stretch_across,
            stretch_up=factor * self.stretch_up,
            shear=factor * self.shear,
        )

    def times(self, stretch: float, bending: float, mass: float) -> Stiffness:
        """Return the same fabric so many times as stiff against stretch and shear, as stiff to bend, and as heavy."""
        return replace(
            self.bent(bending),
            stretch_across=stretch * self.stretch_across,
            stretch_up=stretch * self.stretch_up,
            shear=stretch * self.shear,
            areal_mass=mass * self.areal_mass,
        )

    def bent(self, factor: float) -> Stiffness:
        """Return the same fabric with ``factor`` times the bending rigidity, its stretch stiffness unchanged."""
        return replace(
            self, bend_across=factor * self.bend_across, bend_up=factor * self.bend_up, twist=factor * self.twist
        )


OWNERS: dict[str, str] = {
    "thickness": "chosen at three gauges (about half a stitch width), scaled between by stitch width",
    "areal_mass": "loops by density (Munden 1959, K_s 23.1) times tex, plus the yarn in the floats (derived)",
    "stretch_across": "chosen at three gauges against Wang, O'Brien, Ramamoorthi 2011, scaled with tex / width^3",
    "stretch_up": "chosen: twice the stretch stiffness across",
    "shear": "1.5 times the stretch stiffness across, the middle of Wang, O'Brien, Ramamoorthi 2011; at most 0.8 of "
    "what stays positive definite",
    "poisson_across": "a loop that keeps its yarn, w / 2c (Peirce 1947, memory)",
    "lock_across": "chosen: three times as stiff by 17 % (several times in Wang et al. 2011)",
    "lock_up": "chosen: three times as stiff by 10 %",
    "lock_ratio": "chosen at three gauges",
    "jam": "chosen",
    "jam_ratio": "chosen: the same as past the lock",
    "bend_across": "chosen at three gauges against a drape-tester data set (2022), scaled as mass x (bending length)^3",
    "bend_up": "chosen at three gauges, scaled as mass x (bending length)^3",
    "twist": "chosen: the geometric mean of the two bending rigidities, as in an isotropic plate",
    "float_ratio": "chosen: near-inextensible",
    "curl_across": 'chosen: none, as if pinned; with edges = "curl" 100 1/m to the back (memory)',
    "curl_up": 'chosen: none, as if pinned; with edges = "curl" 100 1/m to the face (memory)',
    "curl_depth": 'chosen: all over; with edges = "curl" 3 cm (memory)',
}
"""Where each default comes from."""


def _two_colour_mass(tex: float, stitches: float, rows: float) -> float:
    """Areal mass of two-colour stranding, kg/m2: stitches per area x yarn a stitch x linear density (Texcoms handbook
    2023); to each stitch its loop and a float of one width at no slack."""
    w, c = PER_10_CM / stitches, PER_10_CM / rows
    return (loop_length(w, c) + w) * tex * TEX / (w * c)


def default_stiffness(stitches: float, rows: float, tex: float, areal_mass: float | None = None) -> Stiffness:
    """Return the default stiffness of a fabric of ``stitches`` x ``rows`` per 10 cm in yarn of ``tex``.

    At the three anchors it returns the anchor; between, what is scaled out of E by tex / w^3 and out of B by
    mass x (bending length)^3 is interpolated by stitch width, and beyond it keeps the value of the nearest anchor.
    ``areal_mass`` (kg/m2) is that of the whole fabric, floats included; by default two-colour stranding throughout.
    """
    width = PER_10_CM / stitches

    def between(values: list[float]) -> float:
        return float(np.interp(width, [PER_10_CM / a.stitches for a in ANCHORS], values))

    def bending_length(rigidity: float, a: Anchor) -> float:
        return float((rigidity / (_two_colour_mass(a.tex, a.stitches, a.rows) * GRAVITY)) ** (1.0 / 3.0))

    mass = _two_colour_mass(tex, stitches, rows)
    yarn_over_cube = tex / width**3

    def cube(a: Anchor) -> float:
        return a.tex / (PER_10_CM / a.stitches) ** 3

    bend_across = mass * GRAVITY * between([bending_length(a.bend_across, a) for a in ANCHORS]) ** 3
    bend_up = mass * GRAVITY * between([bending_length(a.bend_up, a) for a in ANCHORS]) ** 3
    stretch_across = yarn_over_cube * between([a.stretch_across / cube(a) for a in ANCHORS])
    lock_ratio = between([a.lock_ratio for a in ANCHORS])
    most = greatest_shear(stretch_across, UP_OVER_ACROSS * stretch_across, POISSON_ACROSS, (rows / stitches) ** 2)
    return Stiffness(
        thickness=width * between([a.thickness_mm * MM * a.stitches / PER_10_CM for a in ANCHORS]),
        areal_mass=mass if areal_mass is None else areal_mass,
        stretch_across=stretch_across,
        stretch_up=UP_OVER_ACROSS * stretch_across,
        shear=min(SHEAR_OVER_STRETCH * stretch_across, SHEAR_SHARE * most),
        poisson_across=POISSON_ACROSS,
        lock_across=LOCK_ACROSS,
        lock_up=LOCK_UP,
        lock_ratio=lock_ratio,
        jam=JAM,
        jam_ratio=lock_ratio,
        bend_across=bend_across,
        bend_up=bend_up,
        twist=float(np.sqrt(bend_across * bend_up)),
    )


def greatest_shear(across: float, up: float, poisson: float, squareness: float) -> float:
    """Return the shear modulus (N/m) at which a bar along or up would have to push apart (derived).

    Where C11 = G r2 or C22 = G / r2 with r2 = ``squareness`` = (w/c)^2. Below it a cell is positive definite: its even
    strains by the moduli themselves, and those that leave the diagonals and the mean strains alone by the bars.
    """
    if poisson * poisson * up >= across:
        return np.inf  # refused for its Poisson ratio, see ``bars``
    c11, c22, _ = _moduli(across, up, poisson)
    return min(c11 / squareness, c22 * squareness)


def plane_moduli(stiffness: Stiffness) -> tuple[float, float, float]:
    """Return C11, C22, C12 (N/m) of the orthotropic sheet: C11 = E_x / (1 - nu_xy nu_yx) and so on."""
    return _moduli(stiffness.stretch_across, stiffness.stretch_up, stiffness.poisson_across)


def _moduli(across: float, up: float, poisson: float) -> tuple[float, float, float]:
    room = 1.0 - poisson * poisson * up / across
    return across / room, up / room, poisson * up / room
