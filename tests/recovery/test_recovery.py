"""A small fixed part of the 200 trials."""

from __future__ import annotations

from tests.recovery.trials import MORE, trial


def test_the_truth_lies_inside_as_a_rule() -> None:
    found = [trial(seed, MORE) for seed in range(8)]
    assert sum(one.held for one in found) >= 6  # fewer than 6 of 8 by chance: 6 in 1000 (binomial, 0.95)
    assert max(one.width for one in found) < 0.12
    assert all(abs(one.value - one.slack) < 0.06 for one in found)
