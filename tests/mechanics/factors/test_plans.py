"""Which way matrices are factorised: fronts in compiled code, a band without, and SuperLU where no band is narrow."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.mechanics import compiled
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.factors import fronts
from fabricsim.mechanics.factors.bands import Numbering
from fabricsim.mechanics.factors.fronts import Fronts
from fabricsim.mechanics.factors.plans import plan
from fabricsim.mechanics.factors.sparse_lu import Unplanned
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Term
from tests.support.nets import net


def test_a_plan_is_found_once_for_each_pattern() -> None:
    pattern = net(5, 4, closed=True, periodic=True, rng=np.random.default_rng(0)).pattern
    assert plan(pattern) is plan(pattern)
    assert plan(pattern, left_out=0.0) is not plan(pattern)


@pytest.mark.skipif(compiled.LOADED is None, reason="no compiled code")
def test_compiled_fronts_are_taken_and_without_them_a_band_and_without_that_scipys(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of nodes tied to others at random no numbering is a narrow band. What is left out of one may be left out."""
    pairs = np.random.default_rng(0).integers(0, 1500, (3000, 2))
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    tied = [
        assemble([Term("ties", Distance(), Elastic(1.0, 1.0), pairs)], State(np.zeros((1500, 3)))) for _ in range(2)
    ]
    nets = [net(5, 4, closed=True, periodic=False, rng=np.random.default_rng(0)) for _ in range(2)]
    assert isinstance(plan(tied[0].pattern), Fronts)
    assert isinstance(plan(nets[0].pattern), Fronts)
    monkeypatch.setattr(fronts, "LOADED", None)
    assert isinstance(plan(tied[1].pattern), Unplanned)
    assert isinstance(plan(nets[1].pattern), Numbering)
