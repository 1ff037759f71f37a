"""Strands kept apart: carried yarn gives way where it would run through other yarn."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from fabricsim.arrays import Floats, Ints, Mask, dot, norms
from fabricsim.breaks import asked

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
MOST_IN_RUN = 6
"""Lines one after the other, at the most, that are looked at together first (chosen: a distance's worth of them)."""
EASE = 0.35
"""How much of a push is shared with the neighbours along the yarn in each round (chosen: no kinks)."""


def keep_apart(
    x_pc: Floats,
    first_s: Ints,
    loose_p: Mask,
    normals: Callable[[Floats], Floats],
    thickness: float,
    either_way_p: Mask | None = None,
    rounds: int = ROUNDS,
) -> Floats:
    """Return the points ``x_pc`` (p, 3) m of strands with those that are ``loose_p`` (p,) moved aside until no two
    of them come nearer to each other than ``GAP``.

    They move along the fabric or off its back, never towards its face, which ``normals`` gives for points (k, 3) m, and
    no nearer than that to the loops either; those that are ``either_way_p`` (p,) move towards it too. All are looked at
    in so many ``rounds``. All others stay where they are to the last bit, and so does what nothing comes near. Where
    there is no room, as between more strands than the fabric has place for, they share what there is.
    """
    gap, segments = GAP * thickness, _Segments(x_pc, first_s, OWN * thickness)
    free_p = loose_p.copy()
    free_p[first_s[:-1]] = free_p[first_s[1:] - 1] = False  # an end has no two neighbours that it could lie between
    loose = free_p[:-1] | free_p[1:]  # of lines, told by their first points
    tied = ~loose
    loose[first_s[1:-1] - 1] = tied[first_s[1:-1] - 1] = False  # from strand to strand there is none
    loose_lines = np.flatnonzero(loose)
    one_m, other_m = segments.near_each_other(loose_lines, MARGIN * gap)
    met_m = norms(closest(x_pc, one_m, other_m)[2]) < SETTLED * gap
    if not met_m.any():
        return x_pc
    asked()
    # what is pushed, what moves with it, and what that may come near
    pushed = np.concatenate([one_m[met_m], other_m[met_m]])[:, None]
    beside = np.clip(pushed + np.arange(-SPREAD, SPREAD + 1), 0, len(x_pc) - 1)
    moves = np.zeros_like(loose)
    moves[np.minimum(beside[segments.strand_p[beside] == segments.strand_p[pushed]], len(loose) - 1)] = True
    moves &= loose
    concerned = moves[one_m] | moves[other_m]
    into_m, loop_m = segments.near(np.flatnonzero(moves), np.flatnonzero(tied), MARGIN * gap)
    one_m, other_m = np.concatenate([one_m[concerned], into_m]), np.concatenate([other_m[concerned], loop_m])

    # from here on only the points of these, and of lines with a free end as far as a push is shared in all rounds
    used = np.zeros(len(x_pc), dtype=bool)
    used[one_m] = used[other_m] = True
    reached = loose & _spread(used[:-1], rounds + 1)
    used[:-1] |= reached
    used[1:] |= used[:-1].copy()
    which_k = np.flatnonzero(used)
    free_p[1:-1] &= used[:-2] & used[1:-1] & used[2:]
    start_kc, free = x_pc[which_k], np.nonzero(free_p[which_k])[0]
    before, behind = free - 1, free + 1
    normal_kc = normals(start_kc[free])
    if either_way_p is not None:
        normal_kc[either_way_p[which_k][free]] = 0.0
    one_m, other_m = np.searchsorted(which_k, one_m), np.searchsorted(which_k, other_m)
    moved_kc, at_kc, pairs = np.zeros_like(start_kc), start_kc, _Pairs(start_kc, one_m, other_m, gap)
    for _ in range(rounds):
        asked()
        push_kc = pairs.pushes(at_kc)
        if push_kc is None:
            break
        own_kc = moved_kc.take(free, axis=0) + push_kc.take(free, axis=0)
        moved_kc[free] = own_kc
        beside_kc = moved_kc.take(before, axis=0) + moved_kc.take(behind, axis=0)
        own_kc = (1.0 - EASE) * own_kc + 0.5 * EASE * beside_kc
        towards_k = dot(own_kc, normal_kc)
        moved_kc[free] = own_kc - np.maximum(towards_k, 0.0)[:, None] * normal_kc
        at_kc = start_kc + moved_kc
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
        self.middle_qc = 0.5 * (x_pc[:-1] + x_pc[1:])
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

    def near_each_other(self, line_q: Ints, within: float) -> tuple[Ints, Ints]:
        """Return the pairs of these lines, by their first points, that come nearer than ``within`` m and have more than
        ``own`` m of yarn between them, if they are one yarn; each pair once."""
        if len(line_q) == 0:
            return line_q, line_q
        # First by runs of a few lines: most that are near each other are the same yarn just before or after.
        run = int(np.clip(within / np.diff(self.along_p)[line_q].mean(), 1, MOST_IN_RUN))
        begins = np.diff(line_q, prepend=-2) != 1
        rank_q = np.arange(len(line_q)) - np.maximum.accumulate(np.where(begins, np.arange(len(line_q)), 0))
        first_r = np.flatnonzero(begins | (rank_q % run == 0))
        length_r = np.diff(first_r, append=len(line_q))
        start_r, stop_r = line_q[first_r], line_q[first_r + length_r - 1] + 1
        middle_rc = 0.5 * (self.x_pc[start_r] + self.x_pc[stop_r])
        # No point of a run is farther from its middle than half of its yarn.
        reach_r = 0.5 * (self.along_p[stop_r] - self.along_p[start_r])
        one_r, other_r = cKDTree(middle_rc).query_pairs(within + 2.0 * float(reach_r.max()), output_type="ndarray").T
        itself = np.arange(len(first_r))
        one_r, other_r = np.concatenate([one_r, itself]), np.concatenate([other_r, itself])
        near = norms(middle_rc[one_r] - middle_rc[other_r]) < within + reach_r[one_r] + reach_r[other_r]
        same = self.strand_p[start_r[one_r]] == self.strand_p[start_r[other_r]]
        far = np.maximum(self.along_p[stop_r[one_r]], self.along_p[stop_r[other_r]])
        far -= np.minimum(self.along_p[start_r[one_r]], self.along_p[start_r[other_r]])
        kept = near & ~(same & (far <= self.own))
        one_r, other_r = one_r[kept], other_r[kept]
        step = np.arange(run)
        shape = (len(one_r), run, run)
        one = np.broadcast_to((start_r[one_r, None] + step)[:, :, None], shape)
        other = np.broadcast_to((start_r[other_r, None] + step)[:, None, :], shape)
        there = (step < length_r[one_r, None])[:, :, None] & (step < length_r[other_r, None])[:, None, :]
        there &= one < other
        return self._nearer(one[there], other[there], within)

    def near(self, one_q: Ints, other_q: Ints, within: float) -> tuple[Ints, Ints]:
        """Return such pairs of lines, one of each of two kinds."""
        if len(one_q) == 0 or len(other_q) == 0:
            return one_q[:0], other_q[:0]
        reach = within + max(float(np.diff(self.along_p)[line_q].max()) for line_q in (one_q, other_q))
        other_q = other_q[_in_reach(self.middle_qc[other_q], self.middle_qc[one_q], reach)]
        if len(other_q) == 0:
            return one_q[:0], other_q
        trees = (cKDTree(self.middle_qc[line_q]) for line_q in (one_q, other_q))
        found = next(trees).sparse_distance_matrix(next(trees), reach, output_type="coo_matrix")
        return self._nearer(one_q[found.row], other_q[found.col], within)

    def _nearer(self, one: Ints, other: Ints, within: float) -> tuple[Ints, Ints]:
        """Return those of the pairs of lines that are near each other and no one yarn just there."""
        length_q = np.diff(self.along_p)
        off_mc = self.middle_qc.take(one, axis=0) - self.middle_qc.take(other, axis=0)
        near = dot(off_mc, off_mc) < (within + 0.5 * (length_q[one] + length_q[other])) ** 2
        one, other = one[near], other[near]
        # measured from the middles of lines, so that yarn followed the other way gives the same
        along = 0.5 * (self.along_p[one] + self.along_p[one + 1] - self.along_p[other] - self.along_p[other + 1])
        between = np.where(self.strand_p[one] == self.strand_p[other], np.abs(along), np.inf)
        joined = (self.joint_p[one] == self.joint_p[other]) & (self.joint_p[one] >= 0)
        off = 0.5 * (self.off_p[one] + self.off_p[one + 1] + self.off_p[other] + self.off_p[other + 1])
        between[joined] = np.minimum(between, off)[joined]
        one, other = one[between > self.own], other[between > self.own]
        near = norms(closest(self.x_pc, one, other)[2]) < within
        return one[near], other[near]


def _spread(mask_p: Mask, steps: int) -> Mask:
    """Return which places are true or lie within so many ``steps`` of one that is."""
    many, true_before = len(mask_p), np.concatenate([[0], np.cumsum(mask_p)])
    place_p = np.arange(many)
    ends_p, begins_p = np.minimum(place_p + steps + 1, many), np.maximum(place_p - steps, 0)
    return np.asarray(true_before[ends_p] > true_before[begins_p])


def _in_reach(x_kc: Floats, of_kc: Floats, reach: float) -> Mask:
    """Return which points lie near others, (k,) bool: all that are within ``reach`` m, by cubes of that size."""
    low_c = of_kc.min(axis=0)
    cube_kc = np.floor((of_kc - low_c) / reach).astype(np.intp) + 1
    cubes = np.zeros(cube_kc.max(axis=0) + 2, dtype=bool)
    cubes[tuple(cube_kc.T)] = True
    for axis in range(3):  # and those beside them
        along = np.moveaxis(cubes, axis, 0)
        own = along.copy()
        along[1:] |= own[:-1]
        along[:-1] |= own[1:]
    asked_kc = np.floor((x_kc - low_c) / reach).astype(np.intp) + 1
    within_k = ((asked_kc >= 0) & (asked_kc < cubes.shape)).all(axis=1)
    within_k[within_k] = cubes[tuple(asked_kc[within_k].T)]
    return np.asarray(within_k)


class _Pairs:
    """Pairs of lines of moving points, by their first ones, each measured only when it may have come within ``gap`` m
    since it last was: what was farther apart than both have moved since is so still."""

    def __init__(self, x_kc: Floats, one_m: Ints, other_m: Ints, gap: float) -> None:
        self.one_m, self.other_m, self.gap = one_m, other_m, gap
        self.x_kc = x_kc
        self.moved_q = np.zeros(max(len(x_kc) - 1, 0))  # how far the lines have come by now, at most
        self.due_m = np.zeros(len(one_m))  # how far both of a pair have when it is measured next

    def pushes(self, x_kc: Floats) -> Floats | None:
        """Return how far each point is pushed, (k, 3) m, the mean of what pushes it; None if nothing does that
        matters."""
        step_k, self.x_kc = norms(x_kc - self.x_kc), x_kc
        self.moved_q += np.maximum(step_k[:-1], step_k[1:])
        moved_m = self.moved_q.take(self.one_m) + self.moved_q.take(self.other_m)
        asked_m = np.nonzero(moved_m >= self.due_m)[0]
        one_m, other_m = self.one_m.take(asked_m), self.other_m.take(asked_m)
        place_m, there_m, off_mc = closest(x_kc, one_m, other_m)
        far_m = norms(off_mc)
        self.due_m[asked_m] = moved_m.take(asked_m) + (far_m - self.gap)
        met = np.nonzero(far_m < self.gap)[0]
        if len(met) == 0 or far_m.min() > SETTLED * self.gap:
            return None
        one, other, far, place, there = one_m[met], other_m[met], far_m[met], place_m[met], there_m[met]
        half_mc = (0.5 * (self.gap - far) / np.maximum(far, 1e-12))[:, None] * off_mc[met]
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
    one_mc, other_mc = x_pc.take(one_m, axis=0), x_pc.take(other_m, axis=0)  # much quicker than by brackets
    along_mc, across_mc = x_pc.take(one_m + 1, axis=0) - one_mc, x_pc.take(other_m + 1, axis=0) - other_mc
    between_mc = one_mc - other_mc
    a, e, b, c, f = (
        dot(left, right)
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
