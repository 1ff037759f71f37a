"""LAPACK's banded Cholesky as it is called here: the bytes that scipy's own callers give."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import cython_lapack
from scipy.linalg import lapack as scipys

from fabricsim.mechanics.factors import lapack

HALF, SIZE, SIDES = 7, 40, 3
KINDS = [np.float32, np.float64]


@pytest.fixture(params=["through ctypes", "without"])
def handed(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Any:
    """As compiled code is handed them, which these must be, and as they are called where they aren't."""
    lapack._handed.cache_clear()
    if request.param == "without":
        monkeypatch.setattr(cython_lapack, "__pyx_capi__", {})
    yield request.param
    lapack._handed.cache_clear()


def band(kind: lapack.Kind, pivot: float) -> NDArray[Any]:
    rng = np.random.default_rng(0)
    upper = np.asfortranarray(rng.uniform(-0.5, 0.5, (HALF + 1, SIZE)), dtype=kind)
    upper[HALF] = HALF + 1.0
    upper[HALF, SIZE // 2] = pivot
    return upper


@pytest.mark.parametrize("kind", KINDS)
def test_factors_and_answers_are_scipys_to_the_last_bit(kind: lapack.Kind, handed: str) -> None:
    letter = lapack.LETTER[kind]
    theirs, wrong = getattr(scipys, f"{letter}pbtrf")(band(kind, HALF + 1.0), lower=0)
    ours, info = lapack.cholesky(band(kind, HALF + 1.0))
    assert (wrong, info) == (0, 0)
    assert np.array_equal(ours[HALF], theirs[HALF])
    inside = np.arange(HALF + 1)[:, None] + np.arange(SIZE) >= HALF
    assert np.array_equal(ours[inside], theirs[inside])
    right = np.asfortranarray(np.random.default_rng(1).normal(size=(SIZE, SIDES)), dtype=kind)
    expected, wrong = getattr(scipys, f"{letter}pbtrs")(theirs, right, lower=0)
    answer = lapack.solved(ours, right.copy(order="F"))
    assert wrong == 0
    assert answer.dtype == kind
    assert np.array_equal(answer, expected)
    assert (lapack._handed(f"{letter}pbtrf", lapack._FACTORISE) is None) == (handed == "without")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.usefixtures("handed")
def test_the_first_pivot_that_is_not_positive_is_told(kind: lapack.Kind) -> None:
    assert lapack.cholesky(band(kind, -1.0))[1] == SIZE // 2 + 1


def test_integers_of_another_size_are_left_alone() -> None:
    """A library built with integers of 8 bytes says so in its signature, and is then called as scipy calls it."""
    lapack._handed.cache_clear()
    assert lapack._handed("spbtrf", (*lapack._FACTORISE, lapack._INT)) is None
    lapack._handed.cache_clear()
