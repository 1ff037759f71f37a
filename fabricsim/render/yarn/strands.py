"""Points of yarn in the order in which the yarn runs, gathered from pieces of any length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, unit

PLACES = 5
"""Places of pieces at every stitch: join, carry to it, its body, link or carry from it, join (derived)."""
JOIN_BEFORE, CARRY_BEFORE, BODY, LINK, JOIN_AFTER = range(PLACES)

SLOWEST = 0.6
"""Least speed at the end of a cubic that joins two pieces, shares of the distance bridged (chosen by eye)."""


@dataclass(frozen=True, eq=False)
class Strands:
    """Yarn as polylines.

    ``x_pc`` (p, 3) float, m: points, one strand after the other; ``first_s`` (s + 1,) int: where each begins;
    ``yarn_s`` (s,) int; ``thin_p`` (p,) float: share of the full thickness; ``stitch_p`` (p,) int: the stitch that
    a point belongs to or lies nearest to; ``float_p`` (p,) int: the float of the tiling that it is part of, or -1;
    ``link_p`` (p,) bool: carried behind the fabric or joining rows; ``loose_p`` (p,) bool: gives way to other yarn.
    ``thickness`` m.
    """

    x_pc: Floats
    first_s: Ints
    yarn_s: Ints
    thin_p: Floats
    stitch_p: Ints
    float_p: Ints
    link_p: Mask
    loose_p: Mask
    thickness: float


class Pieces:
    """Collects pieces of yarn, each with the place where it belongs, and puts them in order."""

    def __init__(self) -> None:
        self._slot: list[Ints] = []
        self._x: list[Floats] = []
        self._thin: list[Floats] = []
        self._stitch: list[Ints] = []
        self._float: list[Ints] = []
        self._link: list[Mask] = []
        self._loose: list[Mask] = []

    def add(
        self,
        order_p: Ints,
        place: int | Ints,
        stitch_p: Ints,
        x_pc: Floats,
        *,
        thin_p: Floats | None = None,
        float_p: Ints | None = None,
        loose: bool = True,
    ) -> None:
        """Add points ``x_pc`` (p, 3) of one or more pieces at ``place`` of the stitches ranked ``order_p``; those that
        are ``loose`` give way to other yarn."""
        self._slot.append(order_p * PLACES + place)
        self._x.append(x_pc)
        self._thin.append(np.ones(len(x_pc)) if thin_p is None else thin_p)
        self._stitch.append(stitch_p)
        self._float.append(np.full(len(x_pc), -1) if float_p is None else float_p)
        self._link.append(np.broadcast_to(np.not_equal(place, BODY), len(x_pc)))
        self._loose.append(np.full(len(x_pc), loose))

    def strands(self, first_order_s: Ints, yarn_s: Ints, thickness: float) -> Strands:
        """Return all points in order; strand s begins at the stitch ranked ``first_order_s[s]``."""
        slot_p = np.concatenate(self._slot)
        order = np.argsort(slot_p, kind="stable")
        slot_p = slot_p[order]
        return Strands(
            x_pc=np.concatenate(self._x)[order],
            first_s=np.append(np.searchsorted(slot_p, first_order_s * PLACES), len(slot_p)).astype(np.intp),
            yarn_s=yarn_s,
            thin_p=np.concatenate(self._thin)[order],
            stitch_p=np.concatenate(self._stitch)[order],
            float_p=np.concatenate(self._float)[order],
            link_p=np.concatenate(self._link)[order],
            loose_p=np.concatenate(self._loose)[order],
            thickness=thickness,
        )


def cropped(strands: Strands, kept_p: Mask) -> Strands:
    """Return only the yarn at the points ``kept_p`` (p,), cut where it leaves them."""
    strand_p = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    new_p = kept_p & np.append(True, ~kept_p[:-1] | (strand_p[1:] != strand_p[:-1]))
    piece_p = np.cumsum(new_p) - 1
    long_enough = np.bincount(piece_p[kept_p], minlength=int(new_p.sum())) >= 2
    kept_p = kept_p & long_enough[np.maximum(piece_p, 0)]
    first_p = np.nonzero(new_p & kept_p)[0]
    rank_p = np.cumsum(kept_p) - 1
    return Strands(
        x_pc=strands.x_pc[kept_p],
        first_s=np.append(rank_p[first_p], int(kept_p.sum())).astype(np.intp),
        yarn_s=strands.yarn_s[strand_p[first_p]],
        thin_p=strands.thin_p[kept_p],
        stitch_p=strands.stitch_p[kept_p],
        float_p=strands.float_p[kept_p],
        link_p=strands.link_p[kept_p],
        loose_p=strands.loose_p[kept_p],
        thickness=strands.thickness,
    )


def hermite(begin_kc: Floats, begin_tangent_kc: Floats, end_kc: Floats, end_tangent_kc: Floats, steps: int) -> Floats:
    """Return (k, steps + 1, 3) points of the cubics between ends of the given directions (unit), ends included.

    Each end has a speed of once the distance between the ends, less where it points elsewhere, so that the curve
    is fair and makes no loops.
    """
    way_kc = end_kc - begin_kc
    far_k = np.linalg.norm(way_kc, axis=1)
    way_kc = unit(way_kc)
    begin_speed, end_speed = (
        (far_k * np.maximum(np.einsum("kc,kc->k", way_kc, tangent_kc), SLOWEST))[:, None, None]
        for tangent_kc in (begin_tangent_kc, end_tangent_kc)
    )
    s = np.linspace(0.0, 1.0, steps + 1)[None, :, None]
    points: Floats = (
        (1.0 + s * s * (2.0 * s - 3.0)) * begin_kc[:, None]
        + s * s * (3.0 - 2.0 * s) * end_kc[:, None]
        + begin_speed * s * (1.0 - s) ** 2 * begin_tangent_kc[:, None]
        - end_speed * s * s * (1.0 - s) * end_tangent_kc[:, None]
    )
    return points
