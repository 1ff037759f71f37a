"""Integer programs against trying every choice, where the linear program is far from whole-numbered."""

from __future__ import annotations

from itertools import product
from time import monotonic

import numpy as np
import pytest

from fabricsim.design.catches.integer_program import Rules, minimum


@pytest.mark.parametrize("seed", range(60))
def test_none_of_all_choices_costs_less(seed: int) -> None:
    """Weighted choices that take two of every five at least: linear programs take parts of them."""
    rng = np.random.default_rng(seed)
    count = 9
    cost = rng.uniform(0.5, 12.0, count).tolist()
    sets = [rng.choice(count, 5, replace=False).tolist() for _ in range(8)]
    rules = Rules()
    for one in sets:
        rules.add(dict.fromkeys(one, 1.0), 2.0)
    rules.add({0: 3.0, 1: 2.0, 2: 2.0, 3: 3.0, 4: 2.0}, None, 6.0)
    good = [
        sum(cost[place] for place in range(count) if chosen[place])
        for chosen in product((False, True), repeat=count)
        if all(sum(chosen[place] for place in one) >= 2 for one in sets)
        and sum(weight * chosen[place] for place, weight in enumerate((3, 2, 2, 3, 2))) <= 6
    ]
    assert good
    for ceiling in (float("inf"), min(good), max(good)):
        found = minimum(cost, count, rules, monotonic() + 60.0, ceiling=ceiling)
        assert found.proven
        assert found.cost == pytest.approx(min(good))
        assert found.bound == pytest.approx(min(good))
    nothing = minimum(cost, count, rules, monotonic() + 60.0, ceiling=min(good) - 0.1)  # no answer, but a bound
    assert nothing.bound >= min(good) - 0.1 - 1e-6


def test_a_bound_is_told_though_the_time_is_up() -> None:
    """A hard cover: what is known to be had by then, if anything, is no better than the bound."""
    rng = np.random.default_rng(5)
    rules = Rules()
    for _ in range(400):
        rules.add(dict.fromkeys(rng.choice(200, 7, replace=False).tolist(), 1.0), 1.0)
    found = minimum([1.0] * 200, 200, rules, monotonic() + 0.5)
    assert 200 / 7 / 2 < found.bound <= (found.cost or 200.0)  # any cover needs more than half of 200 / 7
    assert not found.proven


def test_what_cannot_be_is_none() -> None:
    rules = Rules()
    rules.add({0: 1.0, 1: 1.0}, 1.0)
    rules.add({1: 1.0, 2: 1.0}, 1.0)
    rules.add({0: 1.0, 2: 1.0}, 1.0)
    rules.add({0: 1.0, 1: 1.0, 2: 1.0}, None, 1.5)  # halves would do
    assert minimum([1.0, 1.0, 1.0], 3, rules, monotonic() + 60.0) == (None, None, float("inf"))
