"""Which input matters most: the shares of the variance of what comes out that each of them brings in.

Sobol's indices, for whole groups of numbers too: all rows' slack is one input, all floats' another. Two hands A and B
are drawn, and one that is A but for one input, which is B's, for each input. How alike B and that one come out is the
input's share by itself; how unlike A, its share in all, with what it does together with others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import qmc, sobol_indices

from fabricsim.arrays import Floats
from fabricsim.fabric.setup import Fabric
from fabricsim.study.hands.hand import INPUTS, PAIRS, SINGLE, Hand, child, drawn, spread_evenly
from fabricsim.study.hands.prior import Hands

RESAMPLES = 400
"""Bootstrap samples behind the error of a share (chosen: tells it to 4 %)."""
NOTHING = 1e-6
"""Standard deviation below which nothing varies that could be shared: a thousandth of a millimetre, or of a per cent
(chosen)."""


@dataclass(frozen=True, eq=False)
class Shares:
    """Shares of the variance of every output, (outputs, inputs): ``alone`` by itself, ``whole`` with what it does
    together with others, each with its standard error; all nought where an output doesn't vary. ``samples`` pairs of
    hands behind them, ``pieces`` knitted, ``lost`` pairs left out because a piece of theirs came to no rest."""

    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    alone: Floats
    whole: Floats
    alone_error: Floats
    whole_error: Floats
    samples: int
    pieces: int
    lost: int


def varying(known: Hands) -> tuple[str, ...]:
    """Return which inputs vary at all."""
    return tuple(name for name in INPUTS if known.of(name) > 0.0)


class HandPairs:
    """Pairs of hands A and B: their single numbers from Sobol's sequence, scrambled by the ``seed``; what there is one
    of for every row or float from children of it. Pair 17 is the same however many there are."""

    def __init__(self, fabric: Fabric, seed: int, most: int) -> None:
        self._fabric, self._seed = fabric, seed
        # the first child is for the scrambling, the others are for the pairs
        engine = qmc.Sobol(2 * len(SINGLE), rng=np.random.default_rng(child(seed, PAIRS, 0)))
        even_kd = engine.random_base2(int(np.ceil(np.log2(most))))
        self._deviate_kd = spread_evenly(even_kd)

    def pair(self, number: int) -> tuple[Hand, Hand]:
        """Return the hands A and B of a pair."""
        halves = np.split(self._deviate_kd[number], 2)
        of_both = child(self._seed, PAIRS, number + 1).spawn(2)
        one, other = (
            replace(drawn(self._fabric, of_one), **dict(zip(SINGLE, half.tolist(), strict=True)))
            for half, of_one in zip(halves, of_both, strict=True)
        )
        return one, other

    def hand(self, number: int, which: int, inputs: Sequence[str]) -> Hand:
        """Return of a pair A (``which`` 0), B (1), or A with one of the ``inputs`` as in B (from 2)."""
        one, other = self.pair(number)
        if which < 2:
            return (one, other)[which]
        name = inputs[which - 2]
        return replace(one, **{name: getattr(other, name)})


def pooled(f_A: Floats, f_B: Floats, f_AB: Floats) -> tuple[Floats, Floats]:
    """Return the shares alone and in all, (outputs, inputs), from values (outputs, n), (outputs, n) and (inputs,
    outputs, n).

    How alike two columns are is their correlation with mean and variance of both together (Janon, Klein, Lagnoux,
    Nodet, Prieur 2014, ESAIM Probab. Stat. 18, 342; memory). A and B are alike by chance alone, and so is what shares
    inputs with them; that is taken out by regression on both (derived). What does nothing, or everything, comes out
    so exactly, however few the pairs.
    """
    to_other, to_one, chance = _alike(f_B, f_AB), _alike(f_A, f_AB), _alike(f_A, f_B)
    room = 1.0 - chance**2
    return ((to_other - chance * to_one) / room).T, (1.0 - (to_one - chance * to_other) / room).T


def _alike(one_on: Floats, other_don: Floats) -> Floats:
    mean_do = 0.5 * (one_on + other_don).mean(axis=-1)
    square_do = 0.5 * (one_on**2 + other_don**2).mean(axis=-1)
    found: Floats = ((one_on * other_don).mean(axis=-1) - mean_do**2) / (square_do - mean_do**2)
    return found


def indices(value_kwo: Floats, seed: int = 0) -> tuple[Floats, Floats, Floats, Floats]:
    """Return shares alone and in all, (outputs, inputs), and the standard error of both by bootstrap over the pairs.

    ``value_kwo`` (pairs, 2 + inputs, outputs): what came of A, of B, and of A with each input of B; as many pairs as
    some power of two.
    """
    rng = np.random.default_rng(seed)
    pairs = len(value_kwo)
    alone, whole = _indices(value_kwo)
    again = [_indices(value_kwo[rng.integers(0, pairs, pairs)]) for _ in range(RESAMPLES)]
    alone_error, whole_error = (np.std([one[which] for one in again], axis=0, ddof=1) for which in (0, 1))
    still = value_kwo.reshape(-1, value_kwo.shape[-1]).std(axis=0) < NOTHING
    for each in (alone, whole, alone_error, whole_error):
        each[still] = 0.0
    return alone, whole, alone_error, whole_error


def _indices(value_kwo: Floats) -> tuple[Floats, Floats]:
    value_wok = np.moveaxis(value_kwo, 0, -1)
    outputs, inputs = value_kwo.shape[2], value_kwo.shape[1] - 2
    found = sobol_indices(
        func={"f_A": value_wok[0], "f_B": value_wok[1], "f_AB": value_wok[2:]}, n=len(value_kwo), method=pooled
    )
    shape = (outputs, inputs)  # which it squeezes
    return _shaped(found.first_order, shape), _shaped(found.total_order, shape)


def _shaped(found: Floats, shape: tuple[int, int]) -> Floats:
    return np.array(found, dtype=np.float64).reshape(shape)
