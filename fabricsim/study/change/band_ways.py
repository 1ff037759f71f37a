"""Ways to make bands of one piece equally wide, each tried in full in that piece: looser floats, catches, needles.

How much looser is found by Newton's method: the slopes of every row's width by every float's slack
(``fabric/sensitivity.py``) say how each band widens with the slack of each; then whole per cents are tried.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

import numpy as np

from fabricsim.arrays import Floats, Mask
from fabricsim.design.counted.needles import times_as_wide
from fabricsim.design.rows.squares import Hold
from fabricsim.design.scene.row_bands import MOST_SIZES
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.sensitivity import sensitivity
from fabricsim.study.change.band_pieces import AgreeTask, AgreeWay, PieceTried, does, scene_with, try_piece
from fabricsim.study.change.banding import rows_of_bands
from fabricsim.study.change.charted import at_rest_as_charted
from fabricsim.study.change.moves import LOOSEST, ChangeGround
from fabricsim.study.change.search import AS_GOOD

AIMED = 0.5
"""Share of what bands may differ by that is aimed at: whole per cents of slack then still agree (chosen)."""
TURNS, STEPPED = 4, 4
"""Times that Newton's method is taken a step further, and that needles are chosen anew (chosen: two or three do)."""
LEAST_SLOPE = 0.1
"""Share of the width that a share of slack gives back at the least while steps are reckoned (chosen: where floats
become slack on the way they give nothing back, and a step would be without end)."""


def way_of(task: AgreeTask) -> AgreeWay:
    """Return the way of a kind to even bands out."""
    none = (0,) * len(task.bands)
    if task.kind == "slack":
        looser_k, tried = _slack(task, none)
        return AgreeWay("slack", looser_k, none, (), tried)
    if task.kind == "catches":
        return _catches(task)
    sizes_k, tried = _needles(task)
    if task.kind == "needles" or tried is None:
        return AgreeWay(task.kind, none, sizes_k, (), tried)
    looser_k, both = _slack(replace(task, now=tried), sizes_k)
    return AgreeWay(task.kind, looser_k, sizes_k, (), both if both is not None else tried)


def _slack(task: AgreeTask, sizes_k: tuple[int, ...]) -> tuple[tuple[int, ...], PieceTried | None]:
    """Return by how many whole per cents floats are to be looser in each band, beside such needles, and what came of
    it; the last step of Newton's method is rounded up, so that what is aimed at is kept."""
    at, best = task.now, None
    best_k, looser_k = (0,) * len(task.bands), np.zeros(len(task.bands))
    for _ in range(TURNS):
        lost_k = np.array(at.bands.lost_k)
        excess_k = lost_k - (lost_k.min() + AIMED * task.within)
        looser_k = np.clip(looser_k + 100.0 * _step(task, at, excess_k, looser_k > 0.0), 0.0, LOOSEST)
        whole_k = tuple(ceil(one - 1e-6) for one in looser_k.tolist())
        if not any(whole_k) or whole_k == best_k:
            break
        tried = try_piece(task, scene_with(task.scene, task.bands, whole_k, sizes_k))
        if tried is None:
            break
        if best is None or tried.apart < best.apart:
            best, best_k = tried, whole_k
        at, looser_k = tried, np.array(whole_k, dtype=np.float64)
        if does(tried, task.within):
            break
    return best_k, best


def _step(task: AgreeTask, at: PieceTried, excess_k: Floats, moved_k: Mask) -> Floats:
    """Return by how much slacker floats of each band must be so that it loses ``excess_k`` less; bands that are wide
    enough and not yet moved stay as they are."""
    free = np.flatnonzero((excess_k > 0.0) | moved_k)
    step_k = np.zeros(len(excess_k))
    slope_kk = _slopes(task, at)[np.ix_(free, free)]
    slope_kk[np.diag_indices(len(free))] = np.maximum(np.diag(slope_kk), LEAST_SLOPE)
    step_k[free] = np.linalg.solve(slope_kk, excess_k[free])
    return step_k


def _slopes(task: AgreeTask, at: PieceTried) -> Floats:
    """Return how much less of its width each band loses for a unit of slack more in each (bands, bands)."""
    rest = at.forecast.equilibrium
    count = len(task.bands)
    try:
        known = sensitivity(rest)
    except NoEquilibriumError:  # on the verge of another shape: as where all of the slack comes back as width
        return np.eye(count)
    in_ki = rows_of_bands(task.scene, task.bands, rest.mesh.rows)
    row_f = rest.mesh.row_n[rest.mesh.floats.node_f2[:, 0]]
    return np.array([[-known.loss_if[mine][:, theirs[row_f]].sum(axis=1).mean() for theirs in in_ki] for mine in in_ki])


def _needles(task: AgreeTask) -> tuple[tuple[int, ...], PieceTried | None]:
    """Return how many sizes of needles more each band asks for, and what came of it: the best of those tried."""
    at, sizes_k = task.now, [0] * len(task.bands)
    best: PieceTried | None = None
    best_k, seen = tuple(sizes_k), {tuple(sizes_k)}
    for _ in range(STEPPED):
        lost_k = at.bands.lost_k
        widest = min(lost_k)
        for band, lost in enumerate(lost_k):
            more = round((lost - widest) / (times_as_wide(1) - 1.0))
            if not more and lost == max(lost_k) and lost - widest > task.within:
                more = 1
            own = task.scene.band_of(task.bands[band].first)
            most = MOST_SIZES - (own.needle_sizes if own is not None else 0)
            sizes_k[band] = min(sizes_k[band] + more, most)
        sizes_k = [one - min(sizes_k) for one in sizes_k]  # larger ones for all would even nothing out
        if tuple(sizes_k) in seen:
            break
        seen.add(tuple(sizes_k))
        tried = try_piece(task, scene_with(task.scene, task.bands, [0] * len(sizes_k), sizes_k))
        if tried is None:
            break
        if tried.apart < (task.now if best is None else best).apart:
            best, best_k = tried, tuple(sizes_k)
        at = tried
        if does(tried, task.within):
            break
    return best_k, best


def _catches(task: AgreeTask) -> AgreeWay:
    """Return the fewest catches in narrow bands, those that are reckoned to win most first, that even them out; all of
    them where that does not do."""
    none = (0,) * len(task.bands)
    holds = list(_worth_catching(task))
    every = try_piece(task, scene_with(task.scene, task.bands, none, none, holds)) if holds else None
    if every is None or not does(every, task.within):
        won = every is not None and every.apart < task.now.apart - AS_GOOD
        return AgreeWay("catches", none, none, tuple(holds) if won else (), every if won else None, len(holds))
    few, many, best = 0, len(holds), every
    while many - few > 1:
        middle = (few + many) // 2
        tried = try_piece(task, scene_with(task.scene, task.bands, none, none, holds[:middle]))
        if tried is not None and does(tried, task.within):
            many, best = middle, tried
        else:
            few = middle
    return AgreeWay("catches", none, none, tuple(holds[:many]), best, len(holds))


def _worth_catching(task: AgreeTask) -> Iterator[Hold]:
    """Yield the catches in narrow bands that are reckoned to win width, those that win most first."""
    lost_k = task.now.bands.lost_k
    narrow = [band for band, lost in zip(task.bands, lost_k, strict=True) if lost - min(lost_k) > AIMED * task.within]
    ground = ChangeGround.of(task.scene, at_rest_as_charted(task.scene), symmetric=False)
    taken: set[tuple[int, int]] = set()
    for move in sorted(ground.catches(), key=lambda one: (one.lost, one.hold)):
        hold = move.hold
        if hold is None or move.lost >= 0.0 or not any(band.holds(hold.row) for band in narrow):
            continue
        if not {hold.square, (hold.row, hold.column - 1), (hold.row, hold.column + 1)} & taken:
            taken.add(hold.square)  # never side by side
            yield hold
