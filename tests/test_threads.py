"""Linear algebra is on one thread while a fabric comes to rest, and as before afterwards."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from threadpoolctl import threadpool_info, threadpool_limits

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.bloch import Blocks, blocks_of, softest_wave
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Stopping
from fabricsim.mechanics.terms import Term
from fabricsim.study.forecast.threads import side_by_side
from fabricsim.threads import one_thread


def threads() -> set[int]:
    """Return on how many threads the libraries of linear algebra work."""
    return {one["num_threads"] for one in threadpool_info() if one["user_api"] == "blas"}


@pytest.fixture(autouse=True)
def two() -> Iterator[None]:
    """A notebook's libraries work on as many threads as there are processors."""
    with threadpool_limits(2, user_api="blas"):
        yield


def test_one_thread_inside_and_as_before_after_it() -> None:
    assert threads() == {2}
    with one_thread(), one_thread():
        assert threads() == {1}
    assert threads() == {2}
    with pytest.raises(ValueError, match="mine"), one_thread():
        raise ValueError("mine")
    assert threads() == {2}


def test_solves_side_by_side_are_each_on_one_thread() -> None:
    def seen() -> set[int]:
        with one_thread():
            return threads()

    assert side_by_side([seen] * 4, 2) == [{1}] * 4
    assert threads() == {2}


def test_a_minimum_is_looked_for_on_one_thread() -> None:
    bar = Term("bar", Distance(), Elastic(10.0, 1.0), np.array([[0, 1]]))
    energy = assemble([bar], State(np.array([[0.0, 0.0, 0.0], [0.7, 0.2, 0.1]])), [0, 1, 2, 4, 5])
    seen: list[set[int]] = []
    minimise(energy, energy.free(energy.start), Stopping(1e-9), lambda _step, _force, _q_f: seen.append(threads()))
    assert seen
    assert all(one == {1} for one in seen)
    assert threads() == {2}


def test_the_softest_wave_is_looked_for_on_one_thread(monkeypatch: pytest.MonkeyPatch) -> None:
    """On two, held up by other work, it took three times the processor time."""
    seen: list[set[int]] = []
    at = Blocks.at

    def watched(blocks: Blocks, turn_a: Floats) -> object:
        seen.append(threads())
        return at(blocks, turn_a)

    node_bp, shift_bpa = np.zeros((2, 2), dtype=int), np.array([[[0, 0], [1, 0]], [[0, 0], [0, 1]]])
    bars = Term("bars", Distance(), Elastic(10.0, 0.9), node_bp, shift_bpa)
    energy = assemble([bars], State(np.zeros((1, 3)), np.ones(2)))
    blocks = blocks_of(energy, energy.start)
    monkeypatch.setattr(Blocks, "at", watched)
    softest_wave(blocks, blocks, np.array([0.5, 0.5]))
    assert seen == [{1}, {1}]
    assert threads() == {2}
