"""A forecast against what knitters report of real hands: outside values, each with where it is from.

They check what goes in (how short floats are, how far hands differ, how fabric gives), which no exact solution can.
They are few, and knitters' own notes rather than measurements.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from scipy.optimize import brentq

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from fabricsim.study.forecast.forecast import forecast
from tests.support.scenes import scene_of

LEAVES = (
    ".....b......",
    "....bbb.....",
    "...bb.bb...b",
    "b.bb...bb.bb",
    "bbb..b..bbb.",
    "bb..bbb..b..",
    "b..bb.bb...b",
    "bbbb...bbbbb",
    ".bb..b..bb..",
    "....bbb.....",
    ".....b......",
)
PAIR = 0.122
"""Drawn in beside plain, in one body: 18.7 and 21.3 stitches to 4 inches (a knitter's notes, 2010)."""
PLAIN, STRANDED, GIVE = 1.386, 1.14, 0.08
"""Rows a stitch of plain knitting and of stranded, and how far eight published gauges lie apart."""
ONE_SIZE = (0.05, 0.08)
"""By how much one size of needle moves the gauge (common practice)."""


def swatch(rows: Sequence[str], **floats: float) -> Scene:
    chart = {"across": 2, "plain_below": 6, "plain_above": 6}
    drawn = [row.replace("b", "#") for row in rows]
    return scene_of(drawn, worked="flat", chart=chart, floats=floats, gauge={"stitches": 22, "rows": 29})


def checks(n: int) -> list[str]:
    """Squares of n x n stitches, 12 x 12 in all."""
    pair = ("." * n + "b" * n) * (6 // n)
    return [pair if (row // n) % 2 == 0 else pair[n:] + pair[:n] for row in range(12)]


def test_fabric_as_narrow_as_reported_has_the_shape_reported() -> None:
    """One input, the slack, gives the width and, without being told, the shape of stitches."""
    piece = scene_of(
        [row.replace("b", "#") for row in LEAVES], gauge={"stitches": 18.7, "rows": PLAIN * 18.7}, worked="flat"
    )

    def narrower(slack: float) -> float:
        return measure(relax(piece, "repeat", slack=slack)).widths.overall

    slack = float(brentq(lambda one: narrower(one) - PAIR, -0.14, -0.11, xtol=1e-4))
    found = measure(relax(piece, "repeat", slack=slack))
    assert PLAIN * (1.0 - found.widths.overall) / (1.0 + found.height_change) == pytest.approx(STRANDED, abs=GIVE)


def test_unknown_hands_reach_from_what_one_reports_to_what_another_does() -> None:
    """A professional's gauge is the same plain and stranded (published 2020), a knitter's is 12.2 % narrower; and the
    usual advice, a needle a size larger for the colourwork, makes good what such hands lose in the middle."""
    no_slack_written = Scene.model_validate({**swatch(LEAVES).model_dump(exclude_unset=True), "floats": {}})
    told = forecast(no_slack_written, branch=False).draw_in
    assert told.low < 0.001  # a third of a millimetre in 33 cm: nobody would measure it
    assert told.high > PAIR
    assert ONE_SIZE[0] <= told.nominal / (1.0 - told.nominal) <= ONE_SIZE[1]


def test_one_hand_draws_fast_changing_motifs_in_more() -> None:
    """Two knitters report 8 % and 11 % for two motifs each of one hand, the fast-changing one tighter. Where checks of
    six lose 8 %, 11 % lies between checks of two and of one."""

    def narrower(n: int, slack: float) -> float:
        return forecast(swatch(checks(n), slack=slack), band=False, branch=False).measures.widths.overall

    slack = float(brentq(lambda one: narrower(6, one) - 0.08, -0.065, -0.045, xtol=1e-3))
    assert narrower(2, slack) < 0.11 < narrower(1, slack)
