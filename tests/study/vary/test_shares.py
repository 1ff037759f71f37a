"""Shares of the variance, against functions whose shares are known exactly."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.stats import qmc

from fabricsim.arrays import Floats
from fabricsim.fabric.setup import set_up
from fabricsim.study.hands.hand import INPUTS, SINGLE, child, drawn
from fabricsim.study.hands.prior import EVEN, Hands
from fabricsim.study.vary.shares import HandPairs, indices, varying
from tests.support.scenes import scene_of


def values_of(function: Callable[[Floats], Floats], inputs: int, pairs: int, seed: int = 0) -> Floats:
    """Return what comes of A, B and A with each input of B (pairs, 2 + inputs, 1), for inputs even in 0 to 1."""
    even = qmc.Sobol(2 * inputs, rng=np.random.default_rng(seed)).random(pairs)
    one, other = even[:, :inputs], even[:, inputs:]
    columns = [function(one), function(other)]
    for number in range(inputs):
        mixed = one.copy()
        mixed[:, number] = other[:, number]
        columns.append(function(mixed))
    return np.stack(columns, axis=1)[:, :, None]


def ishigami(even: Floats, a: float = 7.0, b: float = 0.1) -> Floats:
    x, y, z = (2.0 * np.pi * even - np.pi).T
    return np.asarray(np.sin(x) + a * np.sin(y) ** 2 + b * z**4 * np.sin(x))


def test_the_ishigami_function() -> None:
    """Ishigami & Homma 1990: with a = 7, b = 0.1 the shares are S1 = 0.3139, S2 = 0.4424, S3 = 0, T1 = 0.5576, T3 =
    0.2437. From V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = 8 b^2 pi^8/225 (derived)."""
    a, b = 7.0, 0.1
    v1, v2, v13 = 0.5 * (1.0 + b * np.pi**4 / 5.0) ** 2, a * a / 8.0, 8.0 * b * b * np.pi**8 / 225.0
    exact_alone = np.array([v1, v2, 0.0]) / (v1 + v2 + v13)
    exact_whole = np.array([v1 + v13, v2, v13]) / (v1 + v2 + v13)
    np.testing.assert_allclose(exact_alone, [0.3139, 0.4424, 0.0], atol=5e-5)
    np.testing.assert_allclose(exact_whole, [0.5576, 0.4424, 0.2437], atol=5e-5)
    alone, whole, alone_error, whole_error = indices(values_of(ishigami, 3, 4096))
    assert (np.abs(alone[0] - exact_alone) < 4.0 * alone_error[0]).all()
    assert (np.abs(whole[0] - exact_whole) < 4.0 * whole_error[0]).all()
    np.testing.assert_allclose(alone[0], exact_alone, atol=0.02)
    np.testing.assert_allclose(whole[0], exact_whole, atol=0.02)


def test_the_error_is_how_far_other_seeds_come_out() -> None:
    found = [indices(values_of(ishigami, 3, 64, seed)) for seed in range(20)]
    alone, _, said, _ = (np.array(each)[:, 0] for each in zip(*found, strict=True))
    # Sobol's sequence does better than the plain sample that the bootstrap takes it for, never much worse
    assert (alone.std(axis=0) < 1.3 * said.mean(axis=0)).all()
    assert (alone.std(axis=0) > 0.2 * said.mean(axis=0)).all()


def test_what_does_nothing_or_everything_comes_out_exactly_from_two_pairs() -> None:
    values = values_of(lambda even: even[:, 1] ** 2, 3, 2)
    alone, whole, _, _ = indices(np.concatenate([values, np.full_like(values, 3.5)], axis=2))
    np.testing.assert_allclose(alone[0], [0.0, 1.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(whole[0], [0.0, 1.0, 0.0], atol=1e-12)
    assert not alone[1].any()
    assert not whole[1].any()


def test_what_acts_only_together_has_no_share_alone() -> None:
    """(u - 1/2)(v - 1/2): no share by itself, all of it together (derived)."""
    product = values_of(lambda even: (even[:, 0] - 0.5) * (even[:, 1] - 0.5), 2, 1024)
    alone, whole, _, _ = indices(product)
    np.testing.assert_allclose(alone, 0.0, atol=0.1)
    np.testing.assert_allclose(whole, 1.0, atol=0.1)


def test_a_single_input() -> None:
    alone, whole, alone_error, _ = indices(np.repeat(values_of(lambda even: even[:, 0], 1, 8), 2, axis=2))
    np.testing.assert_allclose([alone, whole], 1.0, atol=1e-12)
    assert alone_error.shape == (2, 1)


def test_pairs_are_the_same_however_many_and_mixed_one_input_at_a_time() -> None:
    fabric = set_up(scene_of(("#.....", "......", "..#..."), -0.05), "repeat")
    few, many = HandPairs(fabric, 3, 8), HandPairs(fabric, 3, 64)
    for number in (0, 5):
        one, other = few.pair(number)
        assert one.slack == many.pair(number)[0].slack
        np.testing.assert_array_equal(one.floats, many.pair(number)[0].floats)
        for which, name in enumerate(INPUTS, start=2):
            mixed = few.hand(number, which, INPUTS)
            for each in INPUTS:
                want = other if each == name else one
                np.testing.assert_array_equal(getattr(mixed, each), getattr(want, each))
    assert set(SINGLE) | {"rows", "floats"} == set(INPUTS)
    assert varying(Hands(0.01, 0.0, 0.01, 0.0, 1.0)) == ("slack", "floats")


def test_single_numbers_are_spread_as_evenly_as_sobols_sequence_has_them() -> None:
    """Of the first eight pairs one lies in every eighth of what is possible, for each number of A and of B."""
    pairs = HandPairs(set_up(scene_of(("#.....", "......", "..#..."), -0.05), "repeat"), 3, 64)
    for which in (0, 1):
        for name in SINGLE:
            deviate_k = np.array([getattr(pairs.pair(number)[which], name) for number in range(8)])
            share_k = 0.5 * (deviate_k * EVEN + 1.0)
            assert sorted((8.0 * share_k).astype(int).tolist()) == list(range(8)), (which, name)
        # what there is one of for every float comes from children of the seed, those of the pieces' stream aside
        seeds = child(3, 1, 5 + 1).spawn(2)
        assert pairs.pair(5)[which].floats.tolist() == drawn(pairs._fabric, seeds[which]).floats.tolist()
    other = HandPairs(set_up(scene_of(("#.....", "......", "..#..."), -0.05), "repeat"), 4, 64)
    assert other.pair(0)[0].slack != pairs.pair(0)[0].slack
    assert other.pair(0)[0].floats.tolist() != pairs.pair(0)[0].floats.tolist()
