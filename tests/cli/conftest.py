"""What commands draw here is drawn coarsely, how yarn looks is held in tests/render; and what they forecast is forecast
of few pieces, what a forecast makes of all its pieces is held in tests/study."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from fabricsim.render.handouts import multiples
from fabricsim.render.trace import model
from fabricsim.study.forecast import forecast

COARSE = model.LevelOfDetail(10, 4, 2, 4, samples=1)
"""Steps and sides of yarn, and rays, with which a picture is there in a fifth of the time (chosen: every stitch of it
can still be told by its colour)."""


@pytest.fixture(scope="package", autouse=True)
def drawn_coarsely() -> Iterator[None]:
    """In this process; programs that tests start draw as finely as for anybody."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(model, "LEVELS", ((1 << 60, COARSE),))
        patch.setattr(model, "DRAFT", replace(COARSE, shrink=model.DRAFT.shrink))
        patch.setattr(multiples, "WIDE", 800)
        yield


FEW = 4
"""Pieces of a forecast (chosen: a median between two of them, and ends that are neither)."""


@pytest.fixture(scope="package", autouse=True)
def few_pieces() -> Iterator[None]:
    """In this process; programs that tests start knit as many as for anybody."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(forecast, "PIECES", FEW)
        yield
