"""The direction: material part first, kept factors, the exact Hessian, bold moves along negative curvature."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.mechanics.factors.bands import Banded
from fabricsim.mechanics.factors.fronts import Fronted
from fabricsim.mechanics.solver.direction import Direction
from tests.support.arches import REACH, SINGLE, arch, material_of, never, parts
from tests.support.matrices import blocks_of, full_pattern, with_spectrum


def test_the_first_step_is_that_of_springs_without_forces() -> None:
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, material = parts(energy)
    direction = Direction(energy.pattern, REACH)
    step = direction.step(gradient, exact_eb, material_of(energy))
    assert step is not None
    np.testing.assert_allclose(step, -np.linalg.solve(material, gradient), rtol=SINGLE)
    assert np.abs(step + np.linalg.solve(exact, gradient)).max() > 0.1 * np.abs(step).max()
    assert (direction.share, direction.factorisations) == (1.0, 1)


@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_the_first_step_descends_even_at_negative_curvature(noise: float) -> None:
    energy = arch(0.1, nudge=0.02 + noise)
    gradient, exact_eb, exact, _ = parts(energy)
    assert np.linalg.eigvalsh(exact)[0] < 0.0
    step = Direction(energy.pattern, REACH).step(gradient, exact_eb, material_of(energy))
    assert step is not None
    assert gradient @ step < 0.0


def test_the_exact_hessian_is_taken_whole_where_it_is_positive_definite() -> None:
    """Once no share of the material part is left: Newton's own step, and the material part isn't even made."""
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, _ = parts(energy)
    assert np.linalg.eigvalsh(exact)[0] > 0.0
    direction = Direction(energy.pattern, REACH, share=0.0)
    step = direction.step(gradient, exact_eb, never)
    assert step is not None
    np.testing.assert_allclose(step, -np.linalg.solve(exact, gradient), rtol=SINGLE)
    assert (direction.share, direction.factorisations) == (0.0, 1)


def test_at_negative_curvature_the_direction_goes_down_all_the_same() -> None:
    energy = arch(0.1, nudge=0.02)
    gradient, exact_eb, exact, material = parts(energy)
    assert np.linalg.eigvalsh(exact)[0] < 0.0
    direction = Direction(energy.pattern, REACH, share=0.0)
    step = direction.step(gradient, exact_eb, material_of(energy))
    assert step is not None
    assert gradient @ step < 0.0
    assert 0.0 < direction.share <= 1.0
    assert direction.factorisations > 1
    blended = exact + direction.share * (material - exact)
    assert direction.share == 1.0 or np.linalg.eigvalsh(blended)[0] > 0.0


@pytest.mark.parametrize("kept", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_negative_curvature_is_followed_boldly(kept: bool, seed: int) -> None:
    """As far as ``reach`` says at the node that moves most, downhill, along the negative curvature that was met; the
    rest of the step doesn't depend on the reach. With fresh factors of a blend, and with kept ones."""
    rng = np.random.default_rng(seed)
    pattern, size = full_pattern(8), 24
    sizes = rng.uniform(1.0, 10.0, size)
    positive, modes = with_spectrum(sizes, rng)
    indefinite = positive - 1.5 * sizes[0] * np.outer(modes[:, 0], modes[:, 0])
    force = rng.normal(size=size) + 5.0 * modes[:, 0]  # enough that way to be met before the rest is solved
    steps = []
    for reach in (REACH, 3.0 * REACH):
        direction = Direction(pattern, reach, share=0.0)
        if kept:
            direction.step(force, blocks_of(positive), never)
        step = direction.step(force, blocks_of(indefinite), partial(blocks_of, positive))
        assert step is not None
        assert (direction.factorisations == 1) == kept
        steps.append(step)
    along = steps[1] - steps[0]
    assert np.abs(along).max() == pytest.approx(2.0 * REACH, rel=1e-9)
    assert along @ indefinite @ along < 0.0
    assert force @ along < 0.0
    assert force @ (steps[0] - 0.5 * along) <= 1e-12  # what is left without the bold move: a descent, or nothing


def test_factors_serve_again_after_a_good_step_and_never_after_another() -> None:
    """The kept ones, of the material part, lead to the step of the exact Hessian."""
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, exact, _ = parts(energy)
    direction = Direction(energy.pattern, REACH)
    direction.step(gradient, exact_eb, material_of(energy))
    direction.judge(full=True, good=True)
    # With a 1e-12th of the first force left the equation is solved to a 1e-6th.
    again = direction.step(1e-12 * gradient, exact_eb, never)
    assert direction.factorisations == 1
    assert again is not None
    np.testing.assert_allclose(again, -1e-12 * np.linalg.solve(exact, gradient), rtol=SINGLE)
    for number, (full, good) in enumerate([(True, False), (False, True), (False, False)], 2):
        direction.judge(full=full, good=good)
        direction.step(gradient, exact_eb, material_of(energy))
        assert direction.factorisations == number


def test_bold_moves_go_ever_further_until_one_is_cut_short() -> None:
    """Twice as far after each that could be taken in full, good or not, with nothing in its way; steps that aren't bold
    change nothing."""
    rng = np.random.default_rng(0)
    positive, modes = with_spectrum(np.linspace(1.0, 10.0, 24), rng)
    indefinite = positive - 1.5 * np.outer(modes[:, 0], modes[:, 0])
    force = rng.normal(size=24) + 5.0 * modes[:, 0]

    def move(reach: float, full: list[bool], free: bool = True) -> Floats:
        direction = Direction(full_pattern(8), reach, share=0.0)
        for one in full:
            direction.step(force, blocks_of(positive), never)
            direction.judge(full=True, good=True)
            direction.step(force, blocks_of(indefinite), partial(blocks_of, positive))
            direction.judge(full=one, good=True, free=free)
            direction.renew(full_pattern(8))
            direction.share = 0.0
        direction.step(force, blocks_of(positive), never)
        step = direction.step(force, blocks_of(indefinite), partial(blocks_of, positive))
        assert step is not None
        return step

    for full, further in (([], 1.0), ([True], 2.0), ([True, True, True], 8.0), ([True, True, False], 1.0)):
        along = move(2.0 * REACH, full) - move(REACH, full)
        assert np.abs(along).max() == pytest.approx(further * REACH, rel=1e-9)
    in_the_way = move(2.0 * REACH, [True, True], free=False) - move(REACH, [True, True], free=False)
    assert np.abs(in_the_way).max() == pytest.approx(REACH, rel=1e-9)


@pytest.mark.parametrize("left", [1.0, 1e-2, 1e-6, 1e-10])
def test_the_newton_equation_is_solved_ever_better_towards_rest(left: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the square root of the share of the first force that is left, and no better than to a tenth far off."""
    for kind in (Banded, Fronted):
        monkeypatch.setattr(kind, "patience", 25)
    rng = np.random.default_rng(1)
    pattern = full_pattern(20)
    matrix, modes = with_spectrum(np.geomspace(1.0, 100.0, 60), rng)
    other = matrix + (modes * rng.uniform(0.0, 20.0, 60)) @ modes.T
    force = rng.normal(size=60)
    direction = Direction(pattern, REACH, share=0.0)
    direction.step(force, blocks_of(other), never)
    step = direction.step(left * force, blocks_of(matrix), never)
    assert step is not None
    assert direction.factorisations == 1

    def size(residual: Floats) -> float:  # as conjugate gradients measure it, in the norm of the factors
        return float(np.sqrt(residual @ np.linalg.solve(other, residual)))

    off = size(matrix @ step + left * force) / size(left * force)
    assert off < 1.001 * min(0.1, left**0.5)
    assert off > 1e-3 * min(0.1, left**0.5)


def test_the_share_of_the_material_part_falls_when_new_factors_are_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, _, _ = parts(energy)
    direction = Direction(energy.pattern, REACH)
    shares = [direction.share]
    for kind in (Banded, Fronted):
        monkeypatch.setattr(kind, "patience", 0)
    direction.step(gradient, exact_eb, material_of(energy))
    for number in range(5):
        direction.step(gradient, exact_eb, material_of(energy))
        assert direction.factorisations == number + 2
        shares.append(direction.share)
    assert shares == sorted(shares, reverse=True)
    assert shares[1] == pytest.approx(0.2)
    assert shares[-1] == 0.0


@pytest.mark.parametrize(("left", "share"), [(1.0, 0.2), (1e-2, 0.2), (1e-4, 0.0)])
def test_close_to_rest_new_factors_are_those_of_the_exact_hessian(
    left: float, share: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``left``: of the first force. They then serve to the end; of what bends the other way, blends still stand in."""
    energy = arch(0.5, nudge=0.05)
    gradient, exact_eb, _, _ = parts(energy)
    direction = Direction(energy.pattern, REACH)
    for kind in (Banded, Fronted):
        monkeypatch.setattr(kind, "patience", 0)
    direction.step(gradient, exact_eb, material_of(energy))
    direction.step(left * gradient, exact_eb, material_of(energy))
    assert direction.share == pytest.approx(share)
