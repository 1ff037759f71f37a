"""The surface of revolution nearest to the lengths of shaped rounds: where the search for their rest shape begins.

Laid out first from the lengths alone, then let go with every round kept a circle about the axis: two unknowns a round,
so a dense Newton's method of a few steps finds it, however unevenly counts change. On a form tubes are let go
so too (``form/wearing.py``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.standing import Standing
from fabricsim.mechanics.assemble import Energy, State

STEEPEST = 0.95
"""Most by which a round may be narrower in radius than the next as laid out, over the way between them (chosen: a disc
that lies quite flat has no side to bulge to)."""
EVEN_OVER = 2
"""Rounds to either side over which the girth is evened out as laid out (chosen)."""
STEPS = 60
"""Most steps of the search among surfaces of revolution (chosen: scenes take 5 to 15)."""
FALLS = 1e-5
"""Share of the energy by which a step must lessen it for another one to follow (chosen: what is left is found by the
search that follows)."""
LEAST = 1e-6
"""Least stiffness that a way to move is taken to have, over the largest (chosen)."""
SHORTEST = 1e-4
"""Share of a step at which to give up (chosen)."""


@dataclass(frozen=True, eq=False)
class Profile:
    """What a surface of revolution is laid out from: ``radius_i`` (rows,) m, ``row_height`` m, and ``leg`` m, how far
    the last stitches lie from the middle of a drawn-up top."""

    radius_i: Floats
    row_height: float
    leg: float = np.inf


def laid_out_round(standing: Standing, profile: Profile, along_n: Floats) -> Floats:
    """Return where stitches lie, (n, 3) m, each as far round as ``along_n`` (n,) says, in turns."""
    rows, c = _rounds(standing), profile.row_height
    climb_n = standing.row_n + standing.along_n
    radius_i = _evened(profile.radius_i)
    radius_i = np.minimum(radius_i, STEEPEST * (profile.leg + c * np.arange(rows)[::-1]))
    for row in range(1, rows):  # nor may it widen faster than that
        radius_i[row] = min(radius_i[row], radius_i[row - 1] + STEEPEST * c)
    slope_i = np.gradient(radius_i) if rows > 1 else np.zeros(1)
    height_i = np.concatenate([[0.0], np.cumsum(np.sqrt(np.maximum(c**2 - np.diff(radius_i) ** 2, 0.0)))])
    at = np.arange(rows)
    beyond_n = np.maximum(climb_n - (rows - 1), 0.0)
    radius_n = np.interp(climb_n, at, radius_i) + beyond_n * slope_i[-1]
    rise = np.sqrt(max(c**2 - slope_i[-1] ** 2, 0.0))
    height_n = np.interp(climb_n, at, height_i) + beyond_n * rise
    turn_n = _turn(standing, along_n)
    x_nc = np.column_stack([radius_n * np.sin(turn_n), height_n, radius_n * np.cos(turn_n)])
    if standing.apex >= 0:
        last = standing.row_n == rows - 1
        rise = np.sqrt(max(profile.leg**2 - float(radius_n[last].mean()) ** 2, 0.0))
        x_nc[standing.apex] = (0.0, height_n[last].mean() + rise, 0.0)
    return x_nc


def let_go_round(energy: Energy, standing: Standing, begin_nc: Floats, falls: float = FALLS) -> Floats:
    """Return where stitches lie, (n, 3) m, at the least of an ``energy`` as rounds climb and widen about the axis y,
    each all round alike: a circle stays one. What is held stays where it is.

    It ends with a step by which the energy ``falls`` by no more than that share.
    """
    moves = _moves(standing, begin_nc)[energy.pattern.free_f]
    x_f = energy.free(State(begin_nc))
    for _ in range(STEPS):
        u, force_f, exact_eb = energy.hessian(x_f)
        stiff_qq = (moves.T @ (energy.pattern.fill(exact_eb) @ moves)).toarray()
        value_q, way_qq = np.linalg.eigh(0.5 * (stiff_qq + stiff_qq.T))
        stiff_q = np.maximum(np.abs(value_q), LEAST * value_q[-1])  # where it is bent over, back from there
        step_f = np.asarray(moves @ (way_qq @ (way_qq.T @ -(moves.T @ force_f) / stiff_q)))
        length = 1.0
        while not (now := energy.value(x_f + length * step_f)) <= u and length > SHORTEST:
            length *= 0.5
        if length <= SHORTEST:
            break
        x_f = x_f + length * step_f
        if u - now < falls * u:
            break
    return energy.state(x_f).x_nc


def _moves(standing: Standing, begin_nc: Floats) -> sparse.csr_array:
    """Return how all coordinates (3 n,) follow from radius and height of every round and the height of a drawn top."""
    rows, count = _rounds(standing), len(begin_nc)
    tube_n = np.flatnonzero(np.arange(count) != standing.apex)
    climb_n = (standing.row_n + standing.along_n)[tube_n]
    low_n = np.minimum(climb_n.astype(np.intp), max(rows - 2, 0))
    share_n = climb_n - low_n if rows > 1 else np.zeros(len(tube_n))
    turn_n = np.arctan2(begin_nc[tube_n, 0], begin_nc[tube_n, 2])
    entries: list[tuple[Ints, Ints, Floats]] = []
    for knot_n, weight_n in ((low_n, 1.0 - share_n), (np.minimum(low_n + 1, rows - 1), share_n)):
        entries += [
            (3 * tube_n, knot_n, weight_n * np.sin(turn_n)),
            (3 * tube_n + 1, rows + knot_n, weight_n),
            (3 * tube_n + 2, knot_n, weight_n * np.cos(turn_n)),
        ]
    if standing.apex >= 0:
        entries.append((np.array([3 * standing.apex + 1]), np.array([2 * rows]), np.ones(1)))
    place, unknown, weight = (np.concatenate(one) for one in zip(*entries, strict=True))
    return sparse.csr_array(sparse.coo_array((weight, (place, unknown)), shape=(3 * count, 2 * rows + 1)))


def _rounds(standing: Standing) -> int:
    return len(standing.count_i) - (standing.apex >= 0)


def _turn(standing: Standing, along_n: Floats) -> Floats:
    turn_n: Floats = 2.0 * np.pi * (along_n - 1.0 / standing.count_i[0]) - 0.5 * np.pi
    return turn_n


def _evened(value_i: Floats) -> Floats:
    """Return values evened out over their neighbours, the ends as they are."""
    padded = np.pad(value_i, EVEN_OVER, mode="reflect", reflect_type="odd") if len(value_i) > EVEN_OVER else value_i
    if len(padded) == len(value_i):
        return value_i.copy()
    wide = 2 * EVEN_OVER + 1
    return np.asarray(np.maximum(np.convolve(padded, np.full(wide, 1.0 / wide), mode="valid"), 1e-3 * value_i.max()))
