"""Symbols in small print."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.render.chart.marks import HIGH, LETTERS, PLAIN, REACH, outline, plain_marks, too_alike


def test_plain_marks_are_never_alike() -> None:
    assert too_alike(plain_marks(len(PLAIN + LETTERS))) == ()
    assert len(set(PLAIN + LETTERS)) == len(PLAIN + LETTERS)
    assert len(plain_marks(100)) == 100


@pytest.mark.parametrize("symbols", [".x", ".ms", ".wbo", "-+", "ox", ".-", "*.", "nh", "A4"])
def test_usual_symbols_are_kept(symbols: str) -> None:
    assert too_alike(symbols) == ()


@pytest.mark.parametrize("symbols", ["lI", "l|", "Il", ".,", ".:", "oO", "xX", "sS", "АA"])
def test_symbols_that_look_alike_are_found(symbols: str) -> None:
    assert too_alike(f"+{symbols}") == tuple(symbols)


@pytest.mark.parametrize("symbol", ["\U0001faa1", "編", "\u200b", "\u0301"])
def test_symbols_that_cannot_be_printed_are_found(symbol: str) -> None:
    assert too_alike(["x", symbol]) in ((symbol,), ("x", symbol))


@pytest.mark.parametrize("symbol", [*PLAIN, *LETTERS, "$", "\\", "_", "^", "W", "@", "%"])
def test_every_symbol_lies_within_its_square(symbol: str) -> None:
    corners = outline(symbol).get_extents().get_points()
    assert np.abs(corners).max() <= 0.42
    assert corners[1, 1] - corners[0, 1] <= 1.5 * HIGH
    assert np.abs(corners[:, 0].sum()) < 1e-9


def reach(symbol: str) -> float:
    return float(np.hypot(*outline(symbol).vertices.T).max())


@pytest.mark.parametrize("symbol", ["W", "@", "M", "%"])
def test_what_is_broad_is_made_to_fit(symbol: str) -> None:
    assert reach(symbol) == pytest.approx(REACH)


def test_what_fits_is_as_large_as_its_letter() -> None:
    assert reach(".") < 0.5 * REACH  # a dot is not blown up
    assert np.ptp(outline("I").vertices[:, 1]) == pytest.approx(HIGH, rel=1e-3)
