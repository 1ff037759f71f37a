"""A small fixed part of the 200 trials."""

from __future__ import annotations

from tests.recovery.trials import MORE, trial


def test_the_truth_lies_inside_as_a_rule() -> None:
    found = [trial(seed, MORE) for seed in range(5)]
    assert sum(one.held for one in found) >= 4  # fewer than 4 of 5 by chance: 23 in 1000 (binomial, 0.95)
    assert max(one.width for one in found) < 0.12
    assert all(abs(one.value - one.slack) < 0.06 for one in found)
