"""Purls, decreases, increases and drawn-up tops: what tells their loops from plain ones.

- A loop is drawn through the one below: it lies before the head there if it is knitted, behind it if it is purled. Its
  upper half lies to the loop drawn through it likewise, so that its legs may change sides.
- Rib folds: purled columns lie back, knitted ones forward, as far as makes the way from one to the other a stitch wide.
- Of stitches worked together the heads lie on one another in one loop: the one that lies on top in front, leaning over
  the others (``standing.LEANS``), those under it behind.
- What is made from the strand between two stitches stands on that strand, lifted and crossed: for m1l the leg before
  the other goes up to the left, for m1r to the right. It lies between its neighbours in the row below, at a node of its
  own that is no stitch.
- The yarn that draws up a top is a ring through the last heads.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats, Ints, Mask, norms, unit
from fabricsim.design.scene.made import TAKES, Made
from fabricsim.fabric.found_rest import DRAWN_UP
from fabricsim.fabric.mesh import DOWN, LEFT, RIGHT, UP
from fabricsim.fabric.standing import KINDS, LEANS, Standing
from fabricsim.render.yarn.loop_form import DEPTH, HEAD_GAP
from fabricsim.render.yarn.strands import hermite

ON_TOP, UNDER = 0.0, -0.27
"""How far the head on top of a decrease comes forward and those under it go back, stitch widths (chosen: plain heads
and legs lie 0.25 apart)."""
HOLDS = 0.14
"""How far forward the legs that hold them lie, stitch widths (chosen: the heads are wider than one)."""
OVER = 0.10
"""How far a head reaches past the middle of its decrease, stitches (chosen)."""
TURNED_BY = 0.55
"""Rows above the middle of a stitch by which it has gone so far (chosen: its legs cross above that)."""
HALF_WAY, WITHIN = 0.5 * np.pi, np.pi / 6.0
"""Where along a loop what stands on it begins to count instead of what it stands on, and within how much (chosen: above
the head below and under the strand above)."""
LEANS_BY = 1.2
"""Row heights from a stitch to the one that stands on it beyond which their yarn must find its place (chosen: half a
stitch aside, where the head below lies 0.45 thicknesses from the legs drawn through it; a whole stitch aside, 0.36)."""
AROUND = 1
"""Stitches about one that is not plain whose yarn gives way to its (chosen)."""
FADES = 3
"""Rounds beside a rib over which its folds end (chosen)."""
OPEN = 1.4
"""Depth of the last loops of a drawn-up top over that of plain ones, which makes room for the ring (chosen)."""
LANDING = 4
"""One in so many points of the ring lie between it and the last stitch (chosen)."""
RING_IN, RING_OUT = 0.13, 0.15
"""How far inside the middle of the ring the last heads lie, and outside it the yarn, stitch widths (chosen)."""


@dataclass(frozen=True, eq=False)
class ShapedStitches:
    """What is not plain about the stitches (n,) of a tiling.

    ``sign_n``: 1 knitted, -1 purled; ``above_n``: the same of what stands on it; ``aside_n``, ``deep_n``: how far its
    head goes aside, stitches, and forward, stitch widths; ``forward_n``: its legs, likewise; ``reach_n``: share of the
    way up to the next row that its head goes; ``open_n``: depth over a plain loop's. ``foot_n2``: leftmost and
    rightmost node that it stands on. ``beside_m2`` (all nodes, 2): left and right in a row that others stand on.
    ``strand_k3`` (k, 3): the stitches at the left and the right of a strand that another is made of, and that one;
    ``leans_k``: 1 to the right, -1 left. ``apex``: node of a drawn-up top, or -1; ``ring_r``: the last stitches round
    it; ``ring`` m: its radius. ``crowded_n`` (n,) bool: the stitches whose yarn must find its place, and those about
    them.
    """

    sign_n: Floats
    above_n: Floats
    aside_n: Floats
    deep_n: Floats
    forward_n: Floats
    reach_n: Floats
    open_n: Floats
    foot_n2: Ints
    beside_m2: Ints
    strand_k3: Ints
    leans_k: Floats
    apex: int
    ring_r: Ints
    ring: float
    crowded_n: Mask

    def loops(self, t_k: Floats, u_k: Floats, v_k: Floats, depth: float) -> tuple[Floats, Floats, Floats]:
        """Return u, v and z, (n, k) each, of every stitch at parameters ``t_k`` of a loop whose plain form has ``u_k``,
        ``v_k`` and goes ``depth`` m to either side."""
        own_nk, next_nk = self.sign_n[:, None], self.above_n[:, None]
        z_nk = -np.cos(2.0 * t_k) * (own_nk + (next_nk - own_nk) * _eased((HALF_WAY - np.abs(t_k)) / WITHIN + 0.5))
        turned_k = _eased(v_k / TURNED_BY)
        width = depth / DEPTH
        z_nk = depth * self.open_n[:, None] * z_nk + width * self.deep_n[:, None] * turned_k
        u_nk = u_k + self.aside_n[:, None] * turned_k
        held_k = _eased((v_k + 0.85) / 0.35) * _eased((0.6 - v_k) / 0.4)
        z_nk = z_nk + width * self.forward_n[:, None] * held_k
        v_nk = np.where(v_k > 0.0, self.reach_n[:, None] * v_k, v_k)
        return u_nk, v_nk, z_nk


def _eased(share: Floats) -> Floats:
    """Return a smooth way from 0, up to 0, to 1, from 1 on."""
    share = np.clip(share, 0.0, 1.0)
    return np.asarray(share * share * (3.0 - 2.0 * share))


def folded(standing: Standing, x_nc: Floats, normal_nc: Floats, width: float) -> Floats:
    """Return the stitches with those of rib moved forward and back, (n, 3) m."""
    purl_n = np.array([one == "p" for one in KINDS])[standing.made_n]
    if not standing.ribbed_n.any():
        return x_nc
    one_b, other_b = standing.course_b2.T
    far_b = np.linalg.norm(x_nc[one_b] - x_nc[other_b], axis=1)
    wide = float(far_b[standing.ribbed_n[one_b] & standing.ribbed_n[other_b]].mean())
    half = 0.5 * np.sqrt(max(width**2 - wide**2, 0.0))
    fold_n = np.where(standing.ribbed_n, np.where(purl_n, -half, half), 0.0)
    rows = standing.row_n.max() + 1
    ribbed_i = np.bincount(standing.row_n, standing.ribbed_n, rows) > 0
    for _ in range(FADES):  # rows beside a rib go part of the way, column on column
        down, up = standing.neighbour_n4[:, DOWN], standing.neighbour_n4[:, UP]
        near_n = 0.5 * (fold_n[np.maximum(down, 0)] * (down >= 0) + fold_n[np.maximum(up, 0)] * (up >= 0))
        fold_n = np.where(ribbed_i[standing.row_n], fold_n, near_n)
    return np.asarray(x_nc + fold_n[:, None] * normal_nc)


def shaped_stitches(
    standing: Standing, neighbour_m4: Ints, x_nc: Floats, width: float, height: float
) -> tuple[ShapedStitches, Floats, Ints]:
    """Return what is shaped among stitches whose neighbours, ghosts included, are ``neighbour_m4``; and where the
    strands that others are made of lie, (k, 2) the stitches beside each, with the share of the way from left to right.

    The nodes of those strands are numbered from ``len(neighbour_m4)`` on.
    """
    count = len(standing.row_n)
    made = [KINDS[one] for one in standing.made_n.tolist()]
    purl_n = np.array([one == "p" for one in made])
    sign_n = np.where(purl_n, -1.0, 1.0)
    up = standing.neighbour_n4[:, UP]
    above_n = np.where(up >= 0, sign_n[np.maximum(up, 0)], sign_n)
    aside_n, deep_n, forward_n = np.zeros((3, count))
    reach_n, open_n = np.ones((2, count))
    down = neighbour_m4[:count, DOWN]
    foot_n2 = np.stack([down, down], axis=1)
    order = np.argsort(standing.leg_b2[:, 1], kind="stable")
    heads, first = np.unique(standing.leg_b2[order, 1], return_index=True)
    for head, feet in zip(heads.tolist(), np.split(standing.leg_b2[order, 0], first[1:]), strict=True):
        takes = TAKES[made[head]] if head != standing.apex else 0
        if takes >= 1:
            foot_n2[head] = feet[-1], feet[0]  # as they are worked, from the right
        if takes < 2:
            continue
        forward_n[head] = HOLDS
        top, under = LEANS.get(made[head], 0) % takes, 0
        for at, foot in enumerate(feet.tolist()):
            aside_n[foot] = OVER * np.sign(2 * at - (takes - 1))
            deep_n[foot] = ON_TOP if at == top else UNDER + under * (UNDER - ON_TOP)
            under += at != top
    takes_n = np.array([TAKES[one] for one in made])
    beside = neighbour_m4[:, [LEFT, RIGHT]].copy()
    strands, leans, between, share = _strands(standing, made, foot_n2, beside)
    ring_r = standing.leg_b2[standing.leg_b2[:, 1] == standing.apex, 0] if standing.apex >= 0 else np.zeros(0, np.intp)
    ring = DRAWN_UP * len(ring_r) * width / (2.0 * np.pi)
    if len(ring_r):
        far_r = np.linalg.norm(x_nc[ring_r] - x_nc[standing.apex], axis=1)
        head = (height - HEAD_GAP * width) / height
        reach_n[ring_r] = np.clip(1.0 - (ring - RING_IN * width) / far_r, 0.05, 1.0) / head
        open_n[ring_r] = OPEN
    found = ShapedStitches(
        sign_n=sign_n,
        above_n=above_n,
        aside_n=aside_n,
        deep_n=deep_n,
        forward_n=forward_n,
        reach_n=reach_n,
        open_n=open_n,
        foot_n2=foot_n2,
        beside_m2=np.concatenate([beside, *between[1]]) if between[1] else beside,
        strand_k3=np.array(strands, dtype=np.intp).reshape(-1, 3),
        leans_k=np.array(leans, dtype=np.float64),
        apex=standing.apex,
        ring_r=ring_r,
        ring=ring + RING_OUT * width,
        crowded_n=_crowded(standing, sign_n, above_n, takes_n, _leaning(standing, x_nc, height)),
    )
    return found, np.array(share, dtype=np.float64), np.array(between[0], dtype=np.intp).reshape(-1, 2)


def _leaning(standing: Standing, x_nc: Floats, height: float) -> Mask:
    """Return the stitches that stand so far aside of the one below that its head and their legs have less room, and
    those on which they stand: all along a round in which stitches come or go at one place."""
    one, other = standing.leg_b2[standing.leg_b2[:, 1] != standing.apex].T
    far = norms(x_nc[other] - x_nc[one]) > LEANS_BY * height
    leaning_n = np.zeros(len(x_nc), dtype=bool)
    leaning_n[one[far]] = leaning_n[other[far]] = True
    return leaning_n


def _crowded(standing: Standing, sign_n: Floats, above_n: Floats, takes_n: Ints, leaning_n: Mask) -> Mask:
    """Return the stitches that are not plain or stand beside others than themselves, their neighbours, and those that
    lean."""
    neighbour_n4 = standing.neighbour_n4
    left, right = neighbour_n4[:, LEFT], neighbour_n4[:, RIGHT]
    crowded_n = (takes_n != 1) | (sign_n != above_n)
    for beside in (left, right):
        crowded_n |= (beside >= 0) & (sign_n[np.maximum(beside, 0)] != sign_n)
    one, other = standing.leg_b2[standing.leg_b2[:, 1] != standing.apex].T
    crowded_n[one[takes_n[other] != 1]] = True
    if standing.apex >= 0:
        crowded_n |= standing.row_n >= standing.row_n[standing.apex] - 2
    for _ in range(AROUND):
        near_n = crowded_n.copy()
        for direction in (LEFT, RIGHT, DOWN, UP):
            beside = neighbour_n4[:, direction]
            near_n |= (beside >= 0) & crowded_n[np.maximum(beside, 0)]
        crowded_n = near_n
    return np.asarray(crowded_n | leaning_n)


def _strands(
    standing: Standing, made: list[Made], foot_n2: Ints, beside_m2: Ints
) -> tuple[list[tuple[int, int, int]], list[float], tuple[list[tuple[int, int]], list[Ints]], list[float]]:
    """Give every stitch that is made from a strand a node between the stitches below; fill in ``foot_n2`` and who is
    beside whom there. Return the strands, how each leans, the stitches beside every new node and its own neighbours,
    and the shares of the way."""
    left_of, right_of = standing.neighbour_n4[:, LEFT], standing.neighbour_n4[:, RIGHT]
    strands, leans, ends, links, share = [], [], [], [], []
    done: set[int] = set()
    following = len(beside_m2)
    for start in range(len(made)):
        # a run of such stitches, told by its leftmost: begun where its left neighbour is none
        if start in done or TAKES[made[start]] != 0:
            continue
        run = [start]
        while right_of[run[-1]] >= 0 and TAKES[made[right_of[run[-1]]]] == 0:
            run.append(int(right_of[run[-1]]))
        if left_of[start] >= 0 and TAKES[made[left_of[start]]] == 0:
            continue  # comes with its leftmost
        done |= set(run)
        before, after = int(left_of[run[0]]), int(right_of[run[-1]])
        if before < 0 or after < 0:
            continue  # at an edge it stands on the stitch below
        low_left, low_right = int(foot_n2[before, 1]), int(foot_n2[after, 0])
        nodes = list(range(following, following + len(run)))
        following += len(run)
        chain = [low_left, *nodes, low_right]
        for at, (node, stitch) in enumerate(zip(nodes, run, strict=True), 1):
            foot_n2[stitch] = node
            ends.append((low_left, low_right))
            links.append(np.array([[chain[at - 1], chain[at + 1]]], dtype=np.intp))
            share.append(at / (len(run) + 1))
        beside_m2[low_left, 1], beside_m2[low_right, 0] = nodes[0], nodes[-1]
        if len(run) == 1:
            strands.append((low_left, low_right, run[0]))
            leans.append(1.0 if made[run[0]] == "m1r" else -1.0)
    return strands, leans, (ends, links), share


def ring_points(shape: ShapedStitches, x_nc: Floats, many: int, foot_c: Floats, out_c: Floats) -> Floats:
    """Return the yarn that draws up a top, (many, 3) m: nearly once round, through the last heads, and on to the left
    foot of the last stitch, at ``foot_c`` with the direction ``out_c`` outwards."""
    from scipy.interpolate import CubicSpline  # here: it takes longer to load than all the rest of this room

    top_c = x_nc[shape.apex]
    out_rc = x_nc[shape.ring_r] - top_c
    far_r = np.linalg.norm(out_rc, axis=1)
    on_rc = top_c + out_rc * (np.minimum(shape.ring, 0.95 * far_r) / far_r)[:, None]
    closed = np.concatenate([on_rc, on_rc[:1]])
    round_of = CubicSpline(np.arange(len(closed)), closed, bc_type="periodic")
    few = max(2, many // LANDING)
    # from where it ends back to the first of the last stitches, which is next to the last of them
    at = np.linspace(len(on_rc) - 1.3, -0.4, many - few)
    ring_pc = np.asarray(round_of(at))
    down = hermite(ring_pc[-1:], unit(-round_of(at[-1:], 1)), foot_c[None], -out_c[None], few + 1)[0, 1:-1]
    return np.concatenate([ring_pc, down])


def is_strand(shape: ShapedStitches | None, left_l: Ints) -> Mask:
    """Return which links, by the stitch at their left, are strands that a stitch is made of."""
    if shape is None:
        return np.zeros(len(left_l), dtype=bool)
    return np.isin(left_l, shape.strand_k3[:, 0])
