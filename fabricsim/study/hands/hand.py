"""A pair of hands: how it differs from what is usual, as deviates of mean 0 and standard deviation 1.

Of the single numbers nothing is known but between what they lie: their deviates are spread evenly from -1.73 to 1.73.
Those of rows and floats are normal. How far a deviate carries is for ``Hands`` to say. Each piece takes its hand from a
child of its own of the seed, so that piece 17 is the same whoever knits it, however many others there are.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.fabric.setup import Fabric
from fabricsim.study.hands.prior import EVEN

LAYERS = 8
"""Yarns of a row that have deviates of their own at one stitch (chosen: more than anyone carries)."""
ENOUGH = 4
"""Deviates of which mean and spread are put right (chosen: of fewer that says little)."""
SPREADING = "scipy.stats.qmc"
"""What spreads hands evenly: a quarter of a second to load, which neither a draft nor a process at work needs."""
PIECES, PAIRS, TYPICAL = 0, 1, 2
"""Children of a seed: of the pieces, of the pairs of hands behind the shares, of the piece that is shown."""


@dataclass(frozen=True, eq=False)
class Hand:
    """Deviates of each input: one each of all slack, of the logarithm of unevenness, of how much floats
    fall short, of gauge and of stiffness against stretch and bending; ``rows`` (i,) of each row's slack, ``floats``
    (f,) of each float's."""

    slack: float
    unevenness: float
    short: float
    gauge: float
    stretch: float
    bending: float
    rows: Floats
    floats: Floats


INPUTS = ("slack", "rows", "floats", "unevenness", "short", "gauge", "stretch", "bending")
"""What varies, as fields of a ``Hand``."""
SINGLE = tuple(one.name for one in fields(Hand) if one.name not in ("rows", "floats"))
"""Inputs that are a single number."""


def steady(fabric: Fabric) -> Hand:
    """Return the hand that carries every float alike, just as is usual."""
    return _hand(np.zeros(len(SINGLE)), np.zeros(fabric.mesh.rows), np.zeros(len(fabric.mesh.floats)))


def typical(fabric: Fabric, seed: int = 0) -> Hand:
    """Return a hand that is usual in everything but for its floats, which are as uneven as is usual."""
    return _hand(np.zeros(len(SINGLE)), *_uneven(fabric, child(seed, TYPICAL, 0)))


def numbered(fabric: Fabric, seed: int, number: int) -> Hand:
    """Return the hand ``number`` (from 0) of a ``seed``.

    Its single numbers are the point of that number of Sobol's sequence, scrambled by the seed, so that the first 32
    stand for all hands far better than 32 at random.
    """
    from scipy.stats import qmc  # SPREADING

    engine = qmc.Sobol(len(SINGLE), rng=np.random.default_rng(child(seed, TYPICAL, 1)))
    if number:
        engine.fast_forward(number)
    return _hand(spread_evenly(engine.random()[0]), *_uneven(fabric, child(seed, PIECES, number)))


def drawn(fabric: Fabric, seed: np.random.SeedSequence) -> Hand:
    """Return a hand of which every number is drawn from the ``seed``."""
    single, uneven = seed.spawn(2)
    return _hand(spread_evenly(np.random.default_rng(single).random(len(SINGLE))), *_uneven(fabric, uneven))


def spread_evenly(share: Floats) -> Floats:
    """Return numbers from 0 to 1 as deviates."""
    return np.asarray((2.0 * share - 1.0) / EVEN)


def child(seed: int, stream: int, number: int) -> np.random.SeedSequence:
    """Return the child ``number`` of the child ``stream`` of the seed, as ``SeedSequence.spawn`` makes them."""
    return np.random.SeedSequence(seed, spawn_key=(stream, number))


def _hand(single_d: Floats, rows: Floats, floats: Floats) -> Hand:
    return Hand(**dict(zip(SINGLE, single_d.tolist(), strict=True)), rows=rows, floats=floats)


def _uneven(fabric: Fabric, seed: np.random.SeedSequence) -> tuple[Floats, Floats]:
    """Return the deviates of rows (i,) and floats (f,).

    Those of a float belong to the stitch and the strand that it begins with, so that catches elsewhere don't change
    them; mean and spread of all are put right, so that luck is left in how they lie and not in how many are tight.
    """
    rng = np.random.default_rng(seed)
    mesh = fabric.mesh
    row_i = rng.standard_normal(mesh.rows)
    field = rng.standard_normal((mesh.rows, int(mesh.column_n.max()) + 1, LAYERS))
    deviate_f = np.array([field[one.row, one.start, one.layer % LAYERS] for one in fabric.floats], dtype=np.float64)
    stranded = sorted({one.row for one in fabric.floats})
    row_i[stranded] = _put_right(row_i[stranded])
    return row_i, _put_right(deviate_f)


def _put_right(deviate: Floats) -> Floats:
    if len(deviate) < ENOUGH:
        return deviate
    return np.asarray((deviate - deviate.mean()) / deviate.std())
