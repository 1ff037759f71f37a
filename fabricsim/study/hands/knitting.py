"""A fabric as a pair of hands knits it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.fabric.setup import Fabric
from fabricsim.study.hands.hand import Hand
from fabricsim.study.hands.prior import Hands

LEFT = 0.5
"""Share of its yarn that a float keeps at the least, however tight the hand (chosen)."""


def slack_in_hand(fabric: Fabric, hand: Hand, hands: Hands, shift: float = 0.0) -> Floats:
    """Return the slack (f,) of every float as this hand carries it.

    To what the scene says come the hand's deviation from it and ``shift``, and the float's and its row's own; off goes
    what it falls short: half of that at each end where it becomes a stitch, none where it is caught. But never less
    than ``LEFT`` of the yarn is left.
    """
    table = fabric.mesh.floats
    said_f = table.slack_f
    row_f = [one.row for one in fabric.floats]
    ends_f = np.array([0.5 * (2 - one.caught_start - one.caught_end) for one in fabric.floats])
    own_f = _more_uneven(hands, hand) * (hands.rows * hand.rows[row_f] + hands.floats * hand.floats)
    moved_f = all_slack(hands, hand) + shift + own_f - falls_short(hands, hand) * ends_f / table.span_f
    return np.asarray(np.maximum(said_f + moved_f, LEFT * (1.0 + said_f) - 1.0))


def all_slack(hands: Hands, hand: Hand) -> float:
    """Return how much more slack all floats of this hand have than the scene says."""
    with_unevenness, with_short = hands.goes_with
    more_short = falls_short(hands, hand) - hands.short
    return hands.slack * hand.slack + with_unevenness * hands.unevenness_log * hand.unevenness + with_short * more_short


def _more_uneven(hands: Hands, hand: Hand) -> float:
    return float(np.exp(hands.unevenness_log * hand.unevenness))


def unevenness(hands: Hands, hand: Hand) -> float:
    """Return the standard deviation of slack from float to float in this hand."""
    return _more_uneven(hands, hand) * hands.floats


def falls_short(hands: Hands, hand: Hand) -> float:
    """Return by how much every float falls short in this hand, m: never less than nothing."""
    return max(0.0, hands.short + hands.short_spread * hand.short)


def in_hand(fabric: Fabric, hand: Hand, hands: Hands, shift: float = 0.0) -> Fabric:
    """Return ``fabric`` as this hand knits it, all slack shifted by ``shift``. Gauge and stiffness are lognormal about
    what the scene says; the thickness stays."""
    stiffness = fabric.stiffness.stretched(float(np.exp(hands.stretch * hand.stretch)))
    stiffness = stiffness.bent(float(np.exp(hands.bending * hand.bending)))
    uneven = _laid(fabric.with_slack_of(slack_in_hand(fabric, hand, hands, shift)).with_stiffness(stiffness))
    return uneven.with_stitches_scaled(float(np.exp(hands.gauge * hand.gauge)))


def possible_shift(shift: float, tightest: float) -> float:
    """Return ``shift``, or half of what is left where it would take the ``tightest`` float's last yarn."""
    return max(shift, 0.5 * (-1.0 - tightest))


def _laid(fabric: Fabric) -> Fabric:
    """Return ``fabric`` with the floats of a small tube as long as the chord inside it that they were laid along, if
    the scene says so."""
    mesh, table = fabric.mesh, fabric.mesh.floats
    if mesh.case != "round" or fabric.scene.floats.laid == "flat":
        return fabric
    chord_f = np.linalg.norm(np.diff(mesh.rest_nc[table.node_f2], axis=1)[:, 0], axis=1)
    snug = replace(table, length_f=table.length_f * chord_f / table.span_f)
    return replace(fabric, mesh=replace(mesh, floats=snug))
