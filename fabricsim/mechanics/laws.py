"""Scalar laws: the energy U of one measure of an element (a length, a curvature, a height), with U' and U''.

A law knows nothing of geometry: the chain rule in ``terms`` joins the two. Every parameter is an array with one entry
per element, or a scalar for all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fabricsim.arrays import Floats

Parameter = Floats | float
Response = tuple[Floats, Floats, Floats]
"""U (J), U' and U'' at the measure given, each (b,) float."""


class Law(Protocol):
    """Anything that answers with U, U' and U'' of a measure ``s_b`` (b,) float."""

    def __call__(self, s_b: Floats, /) -> Response: ...


@dataclass(frozen=True)
class Elastic:
    """U = stiffness / 2 (s - rest)^2."""

    stiffness: Parameter
    rest: Parameter = 0.0

    def __call__(self, s_b: Floats) -> Response:
        over = s_b - self.rest
        pull = self.stiffness * over
        return 0.5 * pull * over, pull, np.broadcast_to(self.stiffness, s_b.shape)


@dataclass(frozen=True)
class Knitted:
    """A bar of fabric: U = k L^2 phi(e), e = s/L - 1, soft at first, stiffer as its loops are pulled straight or jam.

    phi'' = 1 + (lock_ratio - 1) min(1, <e>/lock)^2 + (jam_ratio - 1) [e < -jam]; <.> is the positive part. So the slope
    rises with the square of the stretch, to ``lock_ratio`` times at ``lock``, and stays there; jamming sets in at once.
    ``stiffness`` k in N/m, ``rest`` L in m, the others without unit.
    """

    stiffness: Parameter
    rest: Parameter
    lock: Parameter
    lock_ratio: Parameter
    jam: Parameter
    jam_ratio: Parameter

    def __call__(self, s_b: Floats) -> Response:
        e = s_b / self.rest - 1.0
        share = np.clip(e / self.lock, 0.0, 1.0)  # of the way to the lock
        locked, jammed = np.maximum(e - self.lock, 0.0), np.maximum(-e - self.jam, 0.0)
        extra_lock, extra_jam = self.lock_ratio - 1.0, self.jam_ratio - 1.0
        squared, width = share * share, self.lock
        stretched = width * (width * squared * squared / 12.0 + locked / 3.0) + 0.5 * locked * locked
        phi = 0.5 * (e * e + extra_jam * jammed * jammed) + extra_lock * stretched
        slope = e + extra_lock * (width * squared * share / 3.0 + locked) - extra_jam * jammed
        curvature = 1.0 + extra_lock * squared + extra_jam * (jammed > 0.0)
        k, length = self.stiffness, self.rest
        return k * length * length * phi, k * length * slope, k * curvature


@dataclass(frozen=True)
class Taut:
    """Tension only: U = stiffness / 2 <s - length>^2; a yarn pulls and never pushes."""

    stiffness: Parameter
    length: Parameter

    def __call__(self, s_b: Floats) -> Response:
        over = np.maximum(s_b - self.length, 0.0)
        pull = self.stiffness * over
        return 0.5 * pull * over, pull, np.where(over > 0.0, self.stiffness, 0.0)


@dataclass(frozen=True)
class Floor:
    """U = stiffness / 2 <level - s>^2: pushes back what sinks below ``level``."""

    stiffness: Parameter
    level: Parameter

    def __call__(self, s_b: Floats) -> Response:
        under = np.maximum(self.level - s_b, 0.0)
        push = self.stiffness * under
        return 0.5 * push * under, -push, np.where(under > 0.0, self.stiffness, 0.0)


@dataclass(frozen=True)
class Cushion:
    """Pushes back what sinks below ``level``, softly at first: U'' grows evenly to ``stiffness`` over ``soft`` (m) and
    stays there, so that touching and letting go are smooth to second order."""

    stiffness: Parameter
    level: Parameter
    soft: Parameter

    def __call__(self, s_b: Floats) -> Response:
        under = np.maximum(self.level - s_b, 0.0)
        within, beyond = np.minimum(under, self.soft), np.maximum(under - self.soft, 0.0)
        share = within / self.soft
        push = self.stiffness * (0.5 * within * share + beyond)
        energy = self.stiffness * (within * within * share / 6.0 + 0.5 * beyond * (within + beyond))
        return energy, -push, self.stiffness * share


@dataclass(frozen=True)
class Dragged:
    """Coulomb friction of a known ``force`` (N) on what has gone from ``rest``: U = force x |s - rest|, rounded off.

    The force comes up over the first ``give`` (m) of the way, smooth to second order: U' = force v (2 - |v|),
    v = (s - rest) / give.
    """

    force: Parameter
    rest: Parameter
    give: Parameter

    def __call__(self, s_b: Floats) -> Response:
        v = (s_b - self.rest) / self.give
        inner = np.clip(v, -1.0, 1.0)
        size = np.abs(inner)
        energy = self.force * self.give * (size * size * (1.0 - size / 3.0) + np.abs(v) - size)
        return energy, self.force * inner * (2.0 - size), 2.0 * self.force / self.give * (1.0 - size)


@dataclass(frozen=True)
class Proportional:
    """U = factor x s: a weight on a height, or the coupling modulus on a product of strains."""

    factor: Parameter

    def __call__(self, s_b: Floats) -> Response:
        slope = np.broadcast_to(np.asarray(self.factor, dtype=np.float64), s_b.shape)
        return slope * s_b, slope, np.zeros_like(s_b)
