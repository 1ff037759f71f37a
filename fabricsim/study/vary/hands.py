"""Hands that vary: no float as slack as the next, no row as the one below, no gauge or fabric quite as written.

A hand is standard normal deviates, one for each thing that varies; how far they carry is for the ``Spreads`` to say.
Each piece takes its hand from a child of its own of the seed, so that piece 17 is the same whoever knits it, however
many others there are.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import log, sqrt

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.fabric.setup import Fabric
from fabricsim.study.forecast.doubt import SLACK_DOUBT, STIFFNESS_DOUBT

EVEN = 1.0 / sqrt(3.0)
"""Standard deviation of what is known to lie within 1 either way and no better (derived: that of an even spread)."""
LEFT = 0.5
"""Share of its yarn that a float keeps at the least, however tight the hand (chosen)."""


@dataclass(frozen=True)
class Spreads:
    """Standard deviations, as fractions: of ``slack``, of all floats alike, of a row's and of a float's own; of the
    ``gauge`` (width of a stitch); and up to which ``factor`` the stiffness against stretch and against bending is
    known."""

    slack: float = SLACK_DOUBT * EVEN
    rows: float = 0.02
    floats: float = 0.04
    gauge: float = 0.02
    factor: float = STIFFNESS_DOUBT

    @property
    def stiffness(self) -> float:
        """Standard deviation of the logarithm of a stiffness."""
        return log(self.factor) * EVEN

    def of(self, name: str) -> float:
        """Return the spread of one of ``INPUTS``."""
        return self.stiffness if name in ("stretch", "bending") else float(getattr(self, name))


OWNERS = {
    "slack": "chosen: the forecast's 3 % either way",
    "rows": "chosen",
    "floats": "chosen: 1 mm in a float of 2.5 cm",
    "gauge": "chosen: half a stitch in 24",
    "factor": "chosen: the forecast's factor of 2",
}
"""Whose figures the defaults are; a spread is that of the forecast's range, times ``EVEN`` (derived)."""


@dataclass(frozen=True, eq=False)
class Hand:
    """Standard normal deviates of each input: one of all slack, ``rows_i`` of each row's, ``floats_f`` of each float's;
    of gauge and of stiffness against stretch and bending."""

    slack: float
    gauge: float
    stretch: float
    bending: float
    rows: Floats
    floats: Floats


INPUTS = ("slack", "rows", "floats", "gauge", "stretch", "bending")
"""What varies, as fields of a ``Hand``."""
SINGLE = tuple(one.name for one in fields(Hand) if one.name not in ("rows", "floats"))
"""Inputs that are a single number."""


def steady(fabric: Fabric) -> Hand:
    """Return the hand that knits just as the scene says."""
    return Hand(0.0, 0.0, 0.0, 0.0, np.zeros(fabric.mesh.rows), np.zeros(len(fabric.mesh.floats)))


def drawn(fabric: Fabric, seed: np.random.SeedSequence) -> Hand:
    """Return the hand of a child of the ``seed``."""
    rng = np.random.default_rng(seed)
    single = dict(zip(SINGLE, rng.standard_normal(len(SINGLE)).tolist(), strict=True))
    rows = rng.standard_normal(fabric.mesh.rows)
    return Hand(**single, rows=rows, floats=rng.standard_normal(len(fabric.mesh.floats)))


def child(seed: int, stream: int, number: int) -> np.random.SeedSequence:
    """Return the child ``number`` of the child ``stream`` of the seed, as ``SeedSequence.spawn`` makes them."""
    return np.random.SeedSequence(seed, spawn_key=(stream, number))


def slack_in_hand(fabric: Fabric, hand: Hand, spreads: Spreads) -> Floats:
    """Return the slack (f,) of every float as this hand carries it: its own and its row's and the hand's deviation
    added to what the scene says, but never less than ``LEFT`` of the yarn."""
    said_f = fabric.mesh.floats.slack_f
    row_f = [one.row for one in fabric.floats]
    moved_f = spreads.slack * hand.slack + spreads.rows * hand.rows[row_f] + spreads.floats * hand.floats
    return np.asarray(np.maximum(said_f + moved_f, LEFT * (1.0 + said_f) - 1.0))


def in_hand(fabric: Fabric, hand: Hand, spreads: Spreads) -> Fabric:
    """Return ``fabric`` as this hand knits it. Gauge and stiffness are lognormal about what the scene says; the
    thickness stays."""
    stiffness = fabric.stiffness.stretched(float(np.exp(spreads.stiffness * hand.stretch)))
    stiffness = stiffness.bent(float(np.exp(spreads.stiffness * hand.bending)))
    uneven = fabric.with_slack_of(slack_in_hand(fabric, hand, spreads)).with_stiffness(stiffness)
    return uneven.with_stitches_scaled(float(np.exp(spreads.gauge * hand.gauge)))
