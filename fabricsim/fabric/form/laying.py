"""How a tube is laid on a form before it comes to rest there: along its outline, each round as wide as it must be.

Where it would come to after a long way down is found at once: rounds lie their own distance apart, along the outline of
the form where they are narrower than that, as wide as they are where they are wider. An open tube is laid from its
middle round to both ends. A piece that is drawn up at its top goes down until that meets the form, unless its rim comes
to where it belongs before: then it is laid from the rim up, and its top stands off.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabricsim.arrays import NULL, Floats, Ints, Mask, unit
from fabricsim.fabric.form.shapes import Form
from fabricsim.fabric.giving import ruffle
from fabricsim.fabric.measures import girths
from fabricsim.fabric.mesh import Mesh
from fabricsim.mechanics.energies.clearance import Clearance

SUNK = 0.5
"""Share of the softness of a form by which what lies on it is sunk in, so that it pushes back at once (chosen)."""
POINTS = 4000
"""Of an outline: steps of a few tenths of a millimetre (chosen)."""
TRIES = 3
"""Times that stitches are moved out of a form by how far off it they seem (chosen: it is round there)."""
LOWEST = 0.8
"""Height of a round over what it is off the form, at the least, however far it is stretched (chosen: loops lock)."""


@dataclass(frozen=True, eq=False)
class Laid:
    """Where stitches are laid, ``x_nc`` (n, 3) m, and the height of the middle of each round, ``height_i`` (rows,) m,
    both in the form's own heights; ``touch_i`` (rows,) bool: rounds that are narrower off the form than there, none of
    those that ruffle: they have more yarn than room, and rest on its top anyhow."""

    x_nc: Floats
    height_i: Floats
    touch_i: Mask

    @property
    def touches(self) -> bool:
        """Whether any round lies on the form."""
        return bool(self.touch_i.any())


def laid(mesh: Mesh, off_nc: Floats, form: Form, at: float, poisson: float = 0.0, soft: float = 0.0) -> Laid:
    """Return where a tube that rests at ``off_nc`` (n, 3) m off a ``form`` is laid on it.

    ``at`` m: the height of its middle round; of a piece with a drawn-up top the height below which its rim isn't
    pulled. ``poisson``: how much lower a round gets over how much wider; ``soft`` m: over which the form's push comes
    up.
    """
    gap = 0.5 * mesh.thickness - SUNK * soft
    own_i = girths(mesh, off_nc) / (2.0 * np.pi)
    climb_i = np.bincount(mesh.row_n, off_nc[:, 1]) / np.bincount(mesh.row_n)
    way = _AlongForm(form, gap, own_i, climb_i, poisson, at)
    if is_closed(mesh):
        rounds = way.laid(mesh.rows - 1, form.top + gap + _dented(mesh, off_nc, way))
        if rounds.height_i[0] < at:
            rounds = way.laid(0, at)
    else:
        middle = mesh.rows // 2
        half = 0.5 * float(way.apart_i[middle - 1]) if mesh.rows % 2 == 0 else 0.0
        rounds = way.laid(middle, at + half)
    laid_nc = _out_of(form, gap, _stitches(mesh, off_nc, form, gap, rounds))
    touch_i = rounds.touch_i.copy()
    if (found := ruffle(mesh)) is not None:
        touch_i[found.first + 1 : found.last + 1] = False
    return Laid(laid_nc, rounds.height_i, touch_i)


def is_closed(mesh: Mesh) -> bool:
    """Return whether a tube is drawn up at its top, as a hat is."""
    return mesh.standing is not None and mesh.standing.apex >= 0


@dataclass(frozen=True, eq=False)
class Rounds:
    """``radius_i`` and ``height_i`` of rounds, (rows,) m; ``touch_i`` (rows,) bool: which lie on the form."""

    radius_i: Floats
    height_i: Floats
    touch_i: Mask


@dataclass(frozen=True, eq=False)
class _AlongForm:
    """The way along a ``form``, ``gap`` m off it, of rounds that have the radius ``own_i`` and the height ``climb_i``
    (rows,) m off it; ``poisson`` as above; the outline is needed about the height ``at`` m."""

    form: Form
    gap: float
    own_i: Floats
    climb_i: Floats
    poisson: float
    at: float

    @cached_property
    def apart_i(self) -> Floats:
        """How far apart rounds lie, (rows - 1,) m, along the outline of the tube itself."""
        return np.asarray(np.hypot(np.diff(self.own_i), np.diff(self.climb_i)))

    @cached_property
    def outline_kc(self) -> Floats:
        """Radius and height of points of the outline from below, (k, 2) m."""
        reach = 1.5 * float(self.apart_i.sum()) + self.gap
        low, high = self.at - reach, max(self.at, self.form.top) + reach
        if not self.form.is_straight:
            low, high = max(low, self.form.reaches_down(low)), min(high, self.form.top)
        # points lie closer where a form closes, evenly in the angle of an arc
        height_k = 0.5 * (low + high) - 0.5 * (high - low) * np.cos(np.linspace(0.0, np.pi, POINTS))
        radius_k = self.form.girth(height_k) / (2.0 * np.pi)
        along_kc = np.gradient(np.column_stack([radius_k, height_k]), axis=0)
        along_kc /= np.maximum(np.hypot(along_kc[:, 0], along_kc[:, 1]), NULL)[:, None]
        return np.column_stack([radius_k + self.gap * along_kc[:, 1], height_k - self.gap * along_kc[:, 0]])

    def laid(self, first: int, height: float) -> Rounds:
        """Return where every round lies, laid from the round ``first`` at a ``height``."""
        radius_i, height_i = self.own_i.copy(), np.full(len(self.own_i), height)
        radius_i[first] = max(self.own_i[first], self._out_to(height))
        touch_i = radius_i > self.own_i
        for up in (1, -1):
            last = len(self.own_i) - 1 if up == 1 else 0
            for i in range(first, last, up):
                wider = radius_i[i] / self.own_i[i] - 1.0 if touch_i[i] else 0.0
                apart = self.apart_i[min(i, i + up)] * max(1.0 - self.poisson * wider, LOWEST)
                beyond = self._next(radius_i[i], height_i[i], i + up, apart, up)
                radius_i[i + up], height_i[i + up], touch_i[i + up] = beyond
        return Rounds(radius_i, height_i, touch_i)

    def _next(self, radius: float, height: float, i: int, apart: float, up: int) -> tuple[float, float, bool]:
        """Return radius and height of the round ``i``, ``apart`` m beyond one that has those; does it touch?"""
        own = float(self.own_i[i])
        up_or_down = np.sign(self.climb_i[i] - self.climb_i[i - up]) or up
        free = height + up_or_down * float(np.sqrt(max(apart**2 - (own - radius) ** 2, 0.0)))
        if own >= self._out_to(free):
            return own, free, False
        outline_kc = self.outline_kc if up == 1 else self.outline_kc[::-1]
        off_k = np.hypot(outline_kc[:, 0] - radius, outline_kc[:, 1] - height)
        nearest = int(off_k.argmin())
        beyond = np.flatnonzero(off_k[nearest:] >= apart)
        if len(beyond) == 0:
            return own, free, False  # past its end
        k = nearest + max(int(beyond[0]), 1)
        share = np.clip((apart - off_k[k - 1]) / (off_k[k] - off_k[k - 1]), 0.0, 1.0) if k < len(off_k) else 1.0
        k = min(k, len(off_k) - 1)
        there_c = outline_kc[k - 1] + share * (outline_kc[k] - outline_kc[k - 1])
        return float(there_c[0]), float(there_c[1]), True

    def _out_to(self, height: float) -> float:
        """Return the radius of the outline at a ``height``, m; 0 beyond its ends."""
        return float(np.interp(height, self.outline_kc[:, 1], self.outline_kc[:, 0], left=0.0, right=0.0))


def _stitches(mesh: Mesh, off_nc: Floats, form: Form, gap: float, way: Rounds) -> Floats:
    """Return where the stitches of rounds that lie so are laid: where a round is as wide as off the form just as it is
    there, else as far round as there, smoothly."""
    climb_n, climb_i = _climb(mesh)
    count_i = np.bincount(mesh.row_n)
    on_n = np.clip(_through(climb_n, climb_i, way.touch_i.astype(np.float64)), 0.0, 1.0)
    radius_n = np.maximum(_through(climb_n, climb_i, way.radius_i), 0.0)
    if is_closed(mesh):
        assert mesh.standing is not None
        radius_n[mesh.standing.apex] = 0.0
    lift_i = way.height_i - np.bincount(mesh.row_n, off_nc[:, 1]) / count_i
    x_nc = np.zeros_like(off_nc)
    x_nc[:, 1] = off_nc[:, 1] + _through(climb_n, climb_i, lift_i)
    own_n, way_nc = _ways_round(mesh, off_nc)
    if ruffle(mesh) is not None:
        own_n, way_nc = radius_n, _ways_smoothed(mesh, off_nc)
        x_nc[:, 1] = _through(climb_n, climb_i, way.height_i)
    if form.is_round:
        radius_n = on_n * radius_n + (1.0 - on_n) * own_n
        x_nc[:, [0, 2]] = radius_n[:, None] * way_nc
        return x_nc
    gap_n = np.minimum(gap, radius_n)  # where a crown closes it lies over the form, not beside it
    within_n = (radius_n - gap_n) * 2.0 * np.pi / form.girth_at_one
    # as far round as off the form: stitches then stand on those below, however many either row has
    share_n = np.arctan2(way_nc[:, 1], -way_nc[:, 0]) / (2.0 * np.pi) % 1.0
    for i in range(mesh.rows):  # a round lies off its section, where edges are longer than on it
        of_n = mesh.row_n == i
        share_n[of_n] = form.shares_off(share_n[of_n], gap, float(within_n[of_n].mean()))
    point_nc = form.evenly(share_n)
    like_form_nc = within_n[:, None] * point_nc + gap_n[:, None] * form.out_of(point_nc)
    # a round that is wider than the form stands off it, as round as it can be with the form inside
    broad_n, broadest_n = form.half_width * within_n + gap_n, form.half_width * form.scale(x_nc[:, 1]) + gap
    flat_n = np.clip((broadest_n - radius_n) / np.maximum(broad_n - radius_n, NULL), 0.0, 1.0)[:, None]
    x_nc[:, [0, 2]] = flat_n * like_form_nc + (1.0 - flat_n) * radius_n[:, None] * way_nc
    return x_nc


def _ways_round(mesh: Mesh, off_nc: Floats) -> tuple[Floats, Floats]:
    """Return how far every stitch lies from the axis, (n,) m, and the unit vectors (n, 2) of x and z from there to it,
    turned so that stitch 0 lies where it is held."""
    from_nc = off_nc[:, [0, 2]] - _axis(mesh, off_nc)
    own_n = np.linalg.norm(from_nc, axis=1)
    out_nc = from_nc / np.maximum(own_n, NULL)[:, None]
    turn = np.arctan2(out_nc[0, 1], -out_nc[0, 0])
    return own_n, out_nc @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])


def _ways_smoothed(mesh: Mesh, off_nc: Floats) -> Floats:
    """Return such unit vectors (n, 2) with the ruffles taken out: as far round as stitches lie along their rounds, each
    round turned so that its stitches stand on those below."""
    assert mesh.standing is not None
    leg_b2 = mesh.standing.leg_b2
    angle_n = np.zeros(len(off_nc))
    for row in range(mesh.rows):
        of_n = np.flatnonzero(mesh.row_n == row)
        of_n = of_n[np.argsort(mesh.column_n[of_n])]
        long_n = np.linalg.norm(np.roll(off_nc[of_n], -1, axis=0) - off_nc[of_n], axis=1)
        angle_n[of_n] = -2.0 * np.pi * (np.cumsum(long_n) - long_n) / max(float(long_n.sum()), NULL)
        below_b, above_b = leg_b2[mesh.row_n[leg_b2[:, 1]] == row].T
        angle_n[of_n] += np.angle(np.exp(1j * (angle_n[below_b] - angle_n[above_b])).sum()) if row > 0 else np.pi
    return np.column_stack([np.cos(angle_n), np.sin(angle_n)])


def _dented(mesh: Mesh, off_nc: Floats, way: _AlongForm) -> float:
    """Return how far above the top of the form (m) the drawn-up end of a crown stays, as it goes down just as it is off
    the form until any stitch of it touches; what ruffles, with its rounds made even: else a dent would hold it up."""
    count_i = np.bincount(mesh.row_n)
    if ruffle(mesh) is None:
        row_n, climb_n = mesh.row_n, off_nc[:, 1]
        radius_n = np.linalg.norm(off_nc[:, [0, 2]] - _axis(mesh, off_nc), axis=1)
    else:
        row_n, climb_n, radius_n = np.arange(mesh.rows), way.climb_i, way.own_i
    crown_n = row_n > int(np.flatnonzero(count_i == count_i.max())[-1])
    upper_kc = way.outline_kc[int(way.outline_kc[:, 0].argmax()) :][::-1]
    reached_n = np.interp(radius_n, upper_kc[:, 0], upper_kc[:, 1])
    return float(np.max((reached_n - way.form.top - way.gap - (climb_n - way.climb_i[-1]))[crown_n], initial=0.0))


def _out_of(form: Form, gap: float, x_nc: Floats) -> Floats:
    """Return stitches moved straight out to where they lie ``gap`` m off the form, those that lie nearer."""
    for _ in range(TRIES):
        off = Clearance(form.parts).measure(x_nc[:, None], 1)
        assert off.slope_bq is not None
        out_nc = unit(off.slope_bq)
        x_nc = x_nc + np.maximum(gap - off.s_b, 0.0)[:, None] * out_nc
    return x_nc


def _axis(mesh: Mesh, off_nc: Floats) -> Floats:
    """Return where the axis of a tube lies, (2,) x and z, m: the mean of the middles of its rounds, each the middle of
    its yarn, however its stitches lie on that."""
    middles = []
    for i in range(mesh.rows):
        one_nc = off_nc[mesh.row_n == i][:, [0, 2]]
        next_nc = np.roll(one_nc, -1, axis=0)
        long_n = np.maximum(np.linalg.norm(next_nc - one_nc, axis=1), NULL)
        middles.append(np.average(0.5 * (one_nc + next_nc), axis=0, weights=long_n))
    return np.asarray(np.mean(middles, axis=0))


def _climb(mesh: Mesh) -> tuple[Floats, Floats]:
    """Return how many rounds up the spiral each stitch lies, (n,), and the middle of each round, (rows,)."""
    count_n: Ints = np.bincount(mesh.row_n, minlength=mesh.rows)[mesh.row_n]
    climb_n = mesh.row_n + (count_n - 1 - mesh.column_n) / count_n
    return np.asarray(climb_n), np.bincount(mesh.row_n, climb_n, mesh.rows) / np.bincount(mesh.row_n)


def _through(at_n: Floats, at_i: Floats, value_i: Floats) -> Floats:
    """Return values at places between and beyond those where they are known, on straight lines."""
    if len(at_i) == 1:
        return np.full(len(at_n), value_i[0])
    k_n = np.clip(np.searchsorted(at_i, at_n) - 1, 0, len(at_i) - 2)
    share_n = (at_n - at_i[k_n]) / (at_i[k_n + 1] - at_i[k_n])
    return np.asarray(value_i[k_n] + share_n * (value_i[k_n + 1] - value_i[k_n]))
