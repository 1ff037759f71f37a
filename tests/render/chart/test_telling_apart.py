"""Yarns that meet, in numbers: against the lightness of sRGB's own red, green and blue, as CIELAB has it."""

from __future__ import annotations

import pytest

from fabricsim.render.chart.telling_apart import compared
from tests.design.scenes import scene

LIGHTNESS = {"#ff0000": 53.24, "#00ff00": 87.74, "#0000ff": 32.30}
"""L* under D65, as published tables of sRGB give it."""


@pytest.mark.parametrize(("one", "other"), [("#ff0000", "#00ff00"), ("#00ff00", "#0000ff"), ("#0000ff", "#ff0000")])
def test_how_far_two_yarns_are_apart_in_lightness(one: str, other: str) -> None:
    yarns = [
        {"symbol": symbol, "name": symbol, "colour": colour, "tex": 500}
        for symbol, colour in ((".", one), ("A", other))
    ]
    (found,) = compared(scene([".A"], yarns=yarns, across=4))
    assert sorted(found.lightness) == pytest.approx(sorted((LIGHTNESS[one], LIGHTNESS[other])), abs=0.02)
    assert found.usual.gap == pytest.approx(abs(LIGHTNESS[one] - LIGHTNESS[other]), abs=0.03)
    assert found.grey.gap == pytest.approx(found.usual.gap, abs=1.0)  # grey keeps how light a colour is
    assert found.grey.difference < found.usual.difference
