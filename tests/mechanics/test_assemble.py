"""Forces at all unknowns, those that are held too; and what a minimum says it took."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.mechanics.assemble import Energy, assemble
from fabricsim.mechanics.solver.direction import LOWER, Direction
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Stopping
from tests.support.arches import REACH, arch


def test_what_holds_the_held_unknowns_pulls_with_the_force_of_the_same_energy_set_free() -> None:
    energy = arch(0.5, nudge=0.05)
    free = assemble(energy.terms, energy.start)
    q_f = energy.free(energy.start)
    every_k = energy.forces(q_f)
    np.testing.assert_allclose(every_k, free.gradient(free.free(energy.start))[1], rtol=1e-12)
    at_joint = np.isin(np.arange(9), [3, 5])
    np.testing.assert_allclose(every_k[at_joint], energy.gradient(q_f)[1], rtol=1e-12)
    assert np.abs(every_k[~at_joint]).max() > 0.1  # the pins carry the arch
    np.testing.assert_allclose(every_k.reshape(3, 3).sum(axis=0), 0.0, atol=1e-12)  # action and reaction


def test_every_value_of_the_energy_that_was_asked_for_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[float] = []
    of = Energy.value
    monkeypatch.setattr(Energy, "value", lambda self, q_f: asked.append(0.0) or of(self, q_f))
    energy = arch(0.1, nudge=0.3)
    found = minimise(energy, energy.free(energy.start), Stopping(1e-10))
    assert found.status.at_rest
    values = found.evaluations - (found.steps + 1)  # beside one Hessian a step, the last one to see that it rests
    assert values == len(asked)
    assert len(asked) > found.steps  # some were cut short


@pytest.mark.parametrize(("share", "after"), [(1.0, LOWER), (0.3, 0.3), (0.0, 0.0)])
def test_after_a_step_that_was_not_good_less_of_the_material_part_is_taken_only_where_it_was_all(
    share: float, after: float
) -> None:
    for full, good in ((True, False), (False, True), (False, False)):
        direction = Direction(arch(0.5).pattern, REACH, share=share)
        direction.judge(full=full, good=good)
        assert direction.share == after
    kept = Direction(arch(0.5).pattern, REACH, share=share)
    kept.judge(full=True, good=True)
    assert kept.share == share
