"""Strands kept apart: carried yarn gives way where it would run through other yarn."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats, Ints, Mask

GAP = 0.70
"""Least distance of the middles of carried yarn and any other yarn, yarn thicknesses (chosen: as near as the heads and
legs of drawn loops come to each other; knitted yarn is pressed flat where it crosses)."""
ROUNDS = 24
"""Times that all strands are looked at (measured: three colours come no farther apart after it)."""
TOGETHER = 1e-9
"""How near the ends of two strands are that are one yarn, m (derived: round-off)."""
SETTLED = 0.93
"""Share of GAP at which strands are left alone (chosen: floats of two colours in flat fabric come no nearer)."""
MARGIN = 1.5
"""Farthest strands, in shares of GAP, that may come too near as others are moved (chosen: none moves so far)."""
SPREAD = 2
"""Steps along the yarn from what is pushed to what moves with it (chosen)."""
OWN = 3.0
"""Yarn to both sides of a point that it keeps no distance from, yarn thicknesses along the yarn (chosen: a bend)."""
EASE = 0.35
"""How much of a push is shared with the neighbours along the yarn in each round (chosen: no kinks)."""


def keep_apart(
    x_pc: Floats, first_s: Ints, loose_p: Mask, normals: Callable[[Floats], Floats], thickness: float
) -> Floats:
    """Return the points ``x_pc`` (p, 3) m of strands with those that are ``loose_p`` (p,) moved aside until no two
    of them come nearer to each other than ``GAP``.

    They move along the fabric or off its back, never towards its face, which ``normals`` gives for points (k, 3) m, and
    no nearer than that to the loops either. All others stay where they are to the last bit, and so does what nothing
    comes near. Where there is no room, as between more strands than the fabric has place for, they share what there is.
    """
    gap, segments = GAP * thickness, _Segments(x_pc, first_s, OWN * thickness)
    free_p = loose_p.copy()
    free_p[first_s[:-1]] = free_p[first_s[1:] - 1] = False  # an end has no two neighbours that it could lie between
    line_q = np.setdiff1d(np.arange(len(x_pc) - 1), first_s[1:-1] - 1)
    loose_q = free_p[line_q] | free_p[line_q + 1]
    loose_lines = line_q[loose_q]
    one_m, other_m = segments.near(loose_lines, loose_lines, MARGIN * gap)
    met_m = np.linalg.norm(closest(x_pc, one_m, other_m)[2], axis=1) < SETTLED * gap
    if not met_m.any():
        return x_pc
    # what is pushed, what moves with it, and what that may come near
    pushed = np.concatenate([one_m[met_m], other_m[met_m]])[:, None]
    beside = np.clip(pushed + np.arange(-SPREAD, SPREAD + 1), 0, len(x_pc) - 1)
    moving = np.intersect1d(beside[segments.strand_p[beside] == segments.strand_p[pushed]], loose_lines)
    concerned = np.isin(one_m, moving) | np.isin(other_m, moving)
    into_m, loop_m = segments.near(moving, line_q[~loose_q], MARGIN * gap)
    one_m, other_m = np.concatenate([one_m[concerned], into_m]), np.concatenate([other_m[concerned], loop_m])

    # from here on only points of lines with a free end, both neighbours of a free point among them, and loops near them
    used = np.concatenate([loose_lines, loop_m])
    which_k = np.union1d(used, used + 1)
    start_kc, free = x_pc[which_k], np.nonzero(free_p[which_k])[0]
    normal_kc = normals(start_kc[free])
    one_m, other_m = np.searchsorted(which_k, one_m), np.searchsorted(which_k, other_m)
    moved_kc = np.zeros_like(start_kc)
    for _ in range(ROUNDS):
        push_kc = _pushes(start_kc + moved_kc, one_m, other_m, gap)
        if push_kc is None:
            break
        moved_kc[free] += push_kc[free]
        own_kc = (1.0 - EASE) * moved_kc[free] + 0.5 * EASE * (moved_kc[free - 1] + moved_kc[free + 1])
        towards_k = np.einsum("kc,kc->k", own_kc, normal_kc)
        moved_kc[free] = own_kc - np.maximum(towards_k, 0.0)[:, None] * normal_kc
    apart_pc = x_pc.copy()
    apart_pc[which_k] += moved_kc
    return apart_pc


class _Segments:
    """Lines from point to point of strands, and how much yarn lies between any two of them.

    ``ends_e2`` (e, 2) int: the points where the end of one strand goes on as another.
    """

    def __init__(self, x_pc: Floats, first_s: Ints, own: float) -> None:
        self.x_pc, self.own = x_pc, own
        self.strand_p = np.repeat(np.arange(len(first_s) - 1), np.diff(first_s))
        self.along_p = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(x_pc, axis=0), axis=1))])
        end_e = np.concatenate([first_s[:-1], first_s[1:] - 1])
        self.ends_e2 = end_e[cKDTree(x_pc[end_e]).query_pairs(TOGETHER, output_type="ndarray")]
        # the joint of two strands that each point lies near, or -1, and how far from it
        self.joint_p, self.off_p = np.full(len(x_pc), -1), np.full(len(x_pc), np.inf)
        for joint, ends in enumerate(self.ends_e2.tolist()):
            for end in ends:
                first, stop = first_s[self.strand_p[end]], first_s[self.strand_p[end] + 1]
                off = np.abs(self.along_p[first:stop] - self.along_p[end])
                nearer = first + np.nonzero(off < np.minimum(own, self.off_p[first:stop]))[0]
                self.joint_p[nearer], self.off_p[nearer] = joint, off[nearer - first]

    def near(self, one_q: Ints, other_q: Ints, within: float) -> tuple[Ints, Ints]:
        """Return the pairs of lines, by their first points, one of each kind, that come nearer than ``within`` m and
        have more than ``own`` m of yarn between them, if they are one yarn; of one kind, each pair once."""
        if len(one_q) == 0 or len(other_q) == 0:
            return one_q[:0], other_q[:0]
        x_pc = self.x_pc
        middle_one, middle_other = (0.5 * (x_pc[line_q] + x_pc[line_q + 1]) for line_q in (one_q, other_q))
        long_one, long_other = (np.linalg.norm(x_pc[line_q + 1] - x_pc[line_q], axis=1) for line_q in (one_q, other_q))
        reach = within + 0.5 * float(long_one.max() + long_other.max())
        found = cKDTree(middle_one).sparse_distance_matrix(cKDTree(middle_other), reach, output_type="coo_matrix")
        close = found.data < within + 0.5 * (long_one[found.row] + long_other[found.col])
        one, other = one_q[found.row[close]], other_q[found.col[close]]
        if one_q is other_q:
            one, other = one[one < other], other[one < other]
        # measured from the middles of lines, so that yarn followed the other way gives the same
        along = 0.5 * (self.along_p[one] + self.along_p[one + 1] - self.along_p[other] - self.along_p[other + 1])
        between = np.where(self.strand_p[one] == self.strand_p[other], np.abs(along), np.inf)
        joined = (self.joint_p[one] == self.joint_p[other]) & (self.joint_p[one] >= 0)
        off = 0.5 * (self.off_p[one] + self.off_p[one + 1] + self.off_p[other] + self.off_p[other + 1])
        between[joined] = np.minimum(between, off)[joined]
        one, other = one[between > self.own], other[between > self.own]
        near = np.linalg.norm(closest(x_pc, one, other)[2], axis=1) < within
        return one[near], other[near]


def _pushes(x_kc: Floats, one_m: Ints, other_m: Ints, gap: float) -> Floats | None:
    """Return how far each point is pushed, (k, 3) m, the mean of what pushes it; None if nothing does that matters."""
    place_m, there_m, off_mc = closest(x_kc, one_m, other_m)
    far_m = np.linalg.norm(off_mc, axis=1)
    met = np.nonzero(far_m < gap)[0]
    if len(met) == 0 or far_m.min() > SETTLED * gap:
        return None
    one, other, far, place, there = one_m[met], other_m[met], far_m[met], place_m[met], there_m[met]
    half_mc = (0.5 * (gap - far) / np.maximum(far, 1e-12))[:, None] * off_mc[met]
    point = np.concatenate([one, one + 1, other, other + 1])
    weight = np.concatenate([1.0 - place, place, 1.0 - there, there])
    push = weight[:, None] * np.concatenate([half_mc, half_mc, -half_mc, -half_mc])
    share_k = np.bincount(point, weight, len(x_kc))
    total_kc = np.stack([np.bincount(point, push_c, len(x_kc)) for push_c in push.T], axis=1)
    mean: Floats = total_kc / np.maximum(share_k, 1.0)[:, None]
    return mean


def closest(x_pc: Floats, one_m: Ints, other_m: Ints) -> tuple[Floats, Floats, Floats]:
    """Return where the lines from points ``one_m`` and ``other_m`` to the next ones come nearest, each from 0 to 1, and
    the way from the other to the one there, (m, 3) m.

    Clamped as in C. Ericson, *Real-Time Collision Detection* (2005), section 5.1.9 (memory).
    """
    along_mc, across_mc = x_pc[one_m + 1] - x_pc[one_m], x_pc[other_m + 1] - x_pc[other_m]
    between_mc = x_pc[one_m] - x_pc[other_m]
    a, e, b, c, f = (
        np.einsum("mc,mc->m", left, right)
        for left, right in (
            (along_mc, along_mc),
            (across_mc, across_mc),
            (along_mc, across_mc),
            (along_mc, between_mc),
            (across_mc, between_mc),
        )
    )
    a, e = np.maximum(a, 1e-30), np.maximum(e, 1e-30)
    slope = a * e - b * b
    # of parallel lines the middle of where they lie side by side, so that a mirror image is one
    side_by_side = 0.5 * (np.clip(-c / a, 0.0, 1.0) + np.clip((b - c) / a, 0.0, 1.0))
    crossing_m = np.clip((b * f - c * e) / np.maximum(slope, 1e-60), 0.0, 1.0)
    place_m = np.where(slope > 1e-9 * a * e, crossing_m, side_by_side)
    there_m = np.clip((b * place_m + f) / e, 0.0, 1.0)
    place_m = np.clip((b * there_m - c) / a, 0.0, 1.0)
    return place_m, there_m, between_mc + place_m[:, None] * along_mc - there_m[:, None] * across_mc
