"""Integer programs against trying every choice, where the linear program is far from whole-numbered."""

from __future__ import annotations

import os
from itertools import product
from time import monotonic
from types import SimpleNamespace

import numpy as np
import pytest

from fabricsim.design.catches.integer_program import Rules, minimum, unheard


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


def halves() -> Rules:
    """Three of which each two need one: the linear program takes half of each, 1.5 in all; two are needed."""
    rules = Rules()
    for one, other in ((0, 1), (1, 2), (0, 2)):
        rules.add({one: 1.0, other: 1.0}, 1.0)
    return rules


@pytest.mark.parametrize(
    ("answer", "cost", "bound"),
    [
        (SimpleNamespace(status=1, x=np.array([1.0, 1.0, 1.0]), fun=3.0, mip_dual_bound=1.75), 3.0, 1.75),
        (SimpleNamespace(status=1, x=None, fun=None, mip_dual_bound=None), None, 1.5),  # the linear program's
    ],
)
def test_when_the_time_is_up_the_best_known_and_a_bound_are_told(
    monkeypatch: pytest.MonkeyPatch, answer: SimpleNamespace, cost: float | None, bound: float
) -> None:
    monkeypatch.setattr("scipy.optimize.milp", lambda *_, **__: answer)
    found = minimum([1.0] * 3, 3, halves(), monotonic() + 60.0)
    assert (found.cost, found.proven) == (cost, False)
    assert found.bound == pytest.approx(bound, rel=1e-12)


def test_what_a_library_prints_past_its_options_is_not_heard(capfd: pytest.CaptureFixture[str]) -> None:
    with unheard():
        os.write(1, b"noise")
    print("heard")
    assert capfd.readouterr().out == "heard\n"


def test_what_cannot_be_is_none() -> None:
    rules = Rules()
    rules.add({0: 1.0, 1: 1.0}, 1.0)
    rules.add({1: 1.0, 2: 1.0}, 1.0)
    rules.add({0: 1.0, 2: 1.0}, 1.0)
    rules.add({0: 1.0, 1: 1.0, 2: 1.0}, None, 1.5)  # halves would do
    assert minimum([1.0, 1.0, 1.0], 3, rules, monotonic() + 60.0) == (None, None, float("inf"))
