"""Waves longer than the chart: an endless fabric may fold in waves that span several repeats.

A cell that closes on itself has no room for them. So its rest is asked which wave it is softest to, of all that fit a
tile of whole repeats (Bloch's theorem, ``mechanics/bloch.py``), softness being its stiffness to that wave over that of
plain fabric: 1 in plain fabric, below 0 where the wave grows by itself. Where one does, a tile of as many repeats as
the wave is long is let come to rest from the rest moved along it, and counts if it lies lower, stitch for stitch.

The longer the wave the softer, mostly: a fabric whose floats pull shortens them by curling round them, the more the
further it may curl. Without weight nothing but the size of the piece ends that; on a table its weight does (see the
``swatch``). So the longest wave looked for is a length of our choice, ``LONGEST``, and how high such a wave stands
follows from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.build import cloth_terms, start_of
from fabricsim.fabric.cell import Cut, copied, cut_out, least_cut, written_out
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import pucker
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.stretching import without_floats
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.bloch import Blocks, Wave, blocks_of, grows, softest_wave
from fabricsim.units import CM, MM

LONGEST = 20 * CM
"""Longest wave that is looked for, where two repeats aren't longer (chosen: about as far as a swatch or the front of a
hat lies free)."""
FEWEST = 2
"""Repeats that a wave may always span (chosen: the chart written twice changes nothing)."""
MOST_STITCHES = 1600
"""Stitches that a tile may have (chosen: some seconds)."""
HEIGHT = 1.0
"""How far a rest is moved along a wave at the most, in thicknesses (chosen: well off the flat, far from folding)."""
TRIED = 2
"""Tiles that are solved, the softest first, before there is said to be no lower one (chosen)."""
SAME = 1e-5
"""Share of the energy below which two shapes rest equally low: floats may cut in by a hair before they count as lying
on the back, and which of them do depends on the way in (chosen, a few times what that makes)."""
RISEN = 1 * MM
"""Pucker from which a fabric is no longer flat (chosen: as in words)."""
PART, TIGHTEST = 0.04, -0.20
"""In what steps tighter fabrics are tried for where it begins to pucker, and down to where unless asked (chosen)."""
EXACT = 1e-3
"""How exactly that slack is found (chosen: far finer than hands work)."""
STILL_ASKED = 2
"""Tiles that are asked about at one slack after the other: the softest before (chosen; softness falls evenly)."""


@dataclass(frozen=True)
class TileWave:
    """The softest wave of a cell at rest, as the ``tile`` (across, up) of whole cells that holds it: its ``softness``,
    and its ``length`` (m) from crest to crest."""

    wave: Wave
    tile: tuple[int, int]
    length: float

    @property
    def softness(self) -> float:
        return self.wave.softness


def longest_wave(mesh: Mesh) -> tuple[float, float]:
    """Return the longest waves (m), across and up, that are looked for in a cell of this mesh; the cell's own if it is
    so large that no tile of it is solved."""
    across, up = _most(mesh)
    return across * mesh.stitches * mesh.stitch_width, up * mesh.rows * mesh.row_height


def _most(mesh: Mesh) -> tuple[int, int]:
    """Return the most cells across and up of a tile."""
    fitting = MOST_STITCHES // len(mesh.rest_nc)
    sizes = (mesh.stitches * mesh.stitch_width, mesh.rows * mesh.row_height)
    across, up = (max(1, min(fitting, max(FEWEST, int(LONGEST / size + 1e-9)))) for size in sizes)
    return across, up


def _tiles(mesh: Mesh) -> list[Asked]:
    """Return the tiles that are asked about, each with the turns of its longest wave from cell to cell."""
    most = _most(mesh)
    across, up = (sorted({FEWEST, one}) if one > 1 else [] for one in most)
    found: list[Asked] = [((m, 1), (1.0 / m, 0.0)) for m in across] + [((1, n), (0.0, 1.0 / n)) for n in up]
    for m, n in sorted({*zip(across[:1], up[:1], strict=False), *zip(across[-1:], up[-1:], strict=False)}):
        if m * n * len(mesh.rest_nc) <= MOST_STITCHES:
            found.append(((m, n), (1.0 / m, 1.0 / n)))
            if (m, n) != (2, 2):  # of two repeats each way both slants are one wave
                found.append(((m, n), (1.0 / m, -1.0 / n)))
    return found


def plain_blocks(fabric: Fabric) -> Blocks:
    """Return the blocks of plain fabric on the stitches of a cell; of one stitch, copied, as all are alike."""
    mesh, one = fabric.mesh, without_floats(fabric)
    terms = cloth_terms(one.mesh, one.stiffness, one.where)
    begin = start_of(one.mesh)
    return blocks_of(assemble(terms, begin), begin).tiled(mesh.stitches, mesh.rows)


Asked = tuple[tuple[int, int], tuple[float, float]]
"""A tile of cells, across and up, and the turns of its longest wave from cell to cell."""


def softest(rest: Equilibrium, asked: Sequence[Asked] | None = None) -> list[TileWave]:
    """Return the waves of the cell that ``rest`` is, one for every tile ``asked`` about, the softest first.

    Contact is as it lies at rest: what presses and what pulls counts as a spring both ways, what does not for nothing.
    A wave that would have to press fabric on its floats is stiffer than it is told here; so a wave is believed only
    where its tile rests lower.
    """
    fabric = rest.contact.fabric
    blocks, plain = blocks_of(rest.contact.energy, rest.state), plain_blocks(fabric)
    assert rest.period_a is not None
    found = []
    for tile, turn in _tiles(fabric.mesh) if asked is None else asked:
        wave = softest_wave(blocks, plain, np.array(turn))
        found.append(TileWave(wave, tile, float(1.0 / np.linalg.norm(wave.turn_a / rest.period_a))))
    return sorted(found, key=lambda one: (one.softness, one.tile))


def moved_along(rest: Equilibrium, found: TileWave) -> tuple[Fabric, State]:
    """Return the tile of a wave, and the ``rest`` of its cell all over it, moved along the wave."""
    mesh = rest.mesh
    across, up = found.tile
    tile = copied(rest.contact.fabric, up * mesh.rows, across * mesh.stitches)
    (lift_n, row_n), (turn_n, column_n) = divmod(tile.mesh.row_n, mesh.rows), divmod(tile.mesh.column_n, mesh.stitches)
    cell_n, shift_n2 = row_n * mesh.stitches + column_n, np.stack([turn_n, lift_n], axis=1)
    assert rest.period_a is not None
    x_nc = rest.x_nc[cell_n] + np.pad(shift_n2 * rest.period_a, ((0, 0), (0, 1)))
    phase_n = np.exp(2j * np.pi * (shift_n2 @ found.wave.turn_a))
    move_nc = np.real(phase_n[:, None] * found.wave.mode_nc[cell_n])
    x_nc = x_nc + HEIGHT * mesh.thickness / np.abs(move_nc).max() * move_nc
    return tile, State(x_nc - x_nc[0], rest.period_a * np.array(found.tile))


def per_stitch(rest: Equilibrium) -> float:
    """Return the energy of a stitch, J."""
    return rest.effort.energy / len(rest.x_nc)


def lower(one: float, other: float | None) -> bool:
    """Return whether an energy is less than another by more than two equal shapes may differ."""
    return other is not None and one < other - SAME * abs(other)


def waved(
    rest: Equilibrium, looser: Sequence[Equilibrium] = (), progress: Progress | None = None
) -> tuple[Equilibrium, TileWave] | None:
    """Return the tile of a cell in ``rest`` that folds in a wave and lies lower, and that wave; None if none is found.

    A cell that has puckered by itself on the way may be stiff where it lies and yet have a lower shape that a flatter
    one leads to: then the rests of the same cell with ``looser`` floats, the loosest first, are asked too, and the wave
    is followed from there.
    """
    ways = [[rest]]
    if pucker(rest).peak_to_valley >= RISEN:
        ways += [[*looser[number:], rest] for number in reversed(range(len(looser)))]
    tried = 0
    for way in ways:
        for found in _growing(way[0]):
            if (tried := tried + 1) > TRIED:
                return None
            try:
                tiled = come_to_rest(*moved_along(way[0], found), progress)
                for later in way[1:]:
                    tiled = come_to_rest(later.contact.fabric, tiled, progress)
            except NoEquilibriumError:
                continue
            if lower(per_stitch(tiled), per_stitch(rest)):
                return tiled.solved or tiled, found
    return None


def _growing(rest: Equilibrium) -> list[TileWave]:
    """Return the waves that grow by themselves, the softest first."""
    blocks = blocks_of(rest.contact.energy, rest.state)
    growing = [one for one in _tiles(rest.mesh) if grows(blocks, np.array(one[1]))]
    return [one for one in softest(rest, growing) if one.softness < 0.0] if growing else []


def settled(fabric: Fabric, start: Equilibrium | None = None, progress: Progress | None = None) -> Equilibrium:
    """Return the equilibrium reached from ``start``, as ``come_to_rest`` does, or the wave of several repeats that it
    leads to. Raises NoEquilibriumError."""
    return in_waves(come_to_rest(fabric, start, progress), progress)


def in_waves(rest: Equilibrium, progress: Progress | None = None) -> Equilibrium:
    """Return the lower rest of an endless fabric in a wave of several repeats; ``rest`` itself where there is none, or
    where it lies in a wave already."""
    fabric = rest.contact.fabric
    if rest.mesh.case != "repeat" or not pulls(fabric):
        return rest
    cut = rest.cut or Cut(rest.mesh.rows, rest.mesh.stitches)
    least = least_cut(fabric)
    if (least.rows, least.stitches) != (fabric.mesh.rows, fabric.mesh.stitches):
        return rest
    found = waved(rest.solved or rest, progress=progress)
    if found is None:
        return rest
    whole = replace(fabric, mesh=rest.mesh, floats=rest.floats)
    return replace(written_out(found[0], whole, cut), start=wave_name(found[1]))


def wave_name(wave: TileWave) -> str:
    """Return the name of the way in along a wave."""
    return f"a wave of {wave.tile[0]} x {wave.tile[1]} repeats"


def pulls(fabric: Fabric) -> bool:
    """Return whether any float is short."""
    return float(fabric.mesh.floats.slack_f.min(initial=0.0)) < 0.0


def tile_size(fabric: Fabric) -> tuple[int, int]:
    """Return how many stitches across and rows up of an endless ``fabric`` to solve, at the least: its cell, or as many
    as the wave holds that it rests lowest in. Uneven floats are strewn over whole multiples of that."""
    rest = settled(fabric)
    mesh = (rest.solved or rest).mesh
    return mesh.stitches, mesh.rows


@dataclass(frozen=True)
class Onset:
    """Where flat fabric begins to pucker as its floats get tighter. ``shift``: what to add to the slack of all its
    floats; ``slack``: what the tightest then has. ``wave``: that it folds in, None if within its chart."""

    shift: float
    slack: float
    wave: TileWave | None


def onset(fabric: Fabric, progress: Progress | None = None, *, down_to: float = TIGHTEST) -> Onset | None:
    """Return where a ``repeat`` begins to pucker, all its floats let in alike from where none pulls; None if it does
    not before the tightest has a slack of ``down_to``, or comes to no rest before.

    That is where the least softness of any wave falls to nought, or its own pucker in its chart rises to ``RISEN``:
    bracketed from loose to tight and found by Brent's rule, each rest from the nearest looser one.
    """
    cell = cut_out(fabric, least_cut(fabric))
    if len(cell.mesh.floats) == 0:
        return None
    tightest = float(cell.mesh.floats.slack_f.min())
    rests: dict[float, Equilibrium] = {}
    waves: dict[float, TileWave | None] = {}
    asked: list[Asked] = []

    def left(slack: float) -> float:
        """Return how far from puckering it is: below nought where it does."""
        looser = [one for one in rests if one > slack]
        start = rests[min(looser)] if looser else None
        rests[slack] = rest = come_to_rest(cell.with_slack_shifted(slack - tightest), start, progress)
        found = softest(rest, asked or None)
        asked[:] = [(one.tile, (float(one.wave.turn_a[0]), float(one.wave.turn_a[1]))) for one in found[:STILL_ASKED]]
        rising = 1.0 - pucker(rest).peak_to_valley / RISEN
        waves[slack] = found[0] if found and found[0].softness < rising else None
        return min([rising, *(one.softness for one in found[:1])])

    try:
        steps = max(1, int(np.ceil(-down_to / PART - 1e-9)))
        for loose, tight in pairwise(max(-PART * step, min(down_to, -PART)) for step in range(steps + 1)):
            if left(tight) < 0.0:
                from scipy.optimize import brentq  # here: most commands need none of what it takes to load

                slack = float(brentq(left, tight, loose, xtol=EXACT))
                return Onset(slack - tightest, slack, waves[slack])
    except NoEquilibriumError:
        pass
    return None
