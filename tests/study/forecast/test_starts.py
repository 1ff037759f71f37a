"""Which equilibrium is reported: the lowest of several ways in, and never a flatter one for tighter floats by luck."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.forecast import starts as starts
from fabricsim.study.forecast.starts import BUMPS, STEEPEST, Found, Start, lowest_rest, random_state, ways_in
from fabricsim.study.forecast.threads import side_by_side
from tests.support.scenes import scene_of

LOZENGE = [
    "." * 12,
    ".....##.....",
    "....####....",
    "...######...",
    "..########..",
    "...######...",
    "....####....",
    "." * 12,
]
"""A lozenge motif of 12 by 8 stitches."""


def fabric(slack: float, case: Any = "repeat", rows: list[str] = LOZENGE, across: int = 1) -> Fabric:
    return set_up(scene_of(rows, slack, chart={"across": across}), case)


def found(slack: float, random_starts: int = 0, **more: Any) -> Found:
    return lowest_rest(fabric(slack), random_starts, begin=lambda *_: None, **more)


def pucker_of(one: Start) -> float:
    assert one.measures is not None
    return one.measures.pucker.peak_to_valley


def test_tighter_floats_never_look_flatter() -> None:
    """From a single start each, a model without contact came to 11.6 mm at -0.06 and 7.5 mm at -0.10."""
    heights = [pucker_of(found(slack).best) for slack in (-0.03, -0.06, -0.08, -0.10, -0.13)]
    assert all(looser <= tighter + 1e-6 for looser, tighter in pairwise(heights))
    assert heights[-1] > 3e-3


def test_the_lowest_is_shown_and_all_are_told() -> None:
    every = found(-0.10, 3)
    assert [one.name for one in every.starts] == [
        "plain fabric",
        "from loose to tight",
        "random 1",
        "random 2",
        "random 3",
    ]
    energies = [one.energy for one in every.starts if one.energy is not None]
    assert len(energies) == 5
    assert every.rest.effort.energy == every.best.energy
    assert every.rest.effort.energy <= min(energies) * (1.0 + starts.SAME)
    low, high = every.spread(lambda m: m.pucker.peak_to_valley)
    heights = [pucker_of(one) for one in every.starts]
    assert (low, high) == (min(heights), max(heights))


def test_the_branch_is_left_out_where_the_first_start_will_do(monkeypatch: pytest.MonkeyPatch) -> None:
    fast = found(-0.10, branch=False)
    assert [one.name for one in fast.starts] == ["plain fabric"]
    assert ways_in(fabric(-0.10), branch=False) == 1
    assert pucker_of(fast.best) == pytest.approx(pucker_of(found(-0.10).starts[0]), rel=1e-9)  # the same solve

    def lost(*_: object) -> Any:
        raise NoEquilibriumError("no rest")

    monkeypatch.setattr(starts, "_at_once", lost)
    assert [one.name for one in found(-0.10, branch=False).starts] == ["plain fabric", "from loose to tight"]


def test_loose_floats_have_one_way_in_and_no_shape_but_flat() -> None:
    every = found(0.05)
    assert [one.name for one in every.starts] == ["plain fabric"]
    assert every.shapes == ways_in(fabric(0.05)) == 1
    assert pucker_of(every.best) == 0.0


def test_there_are_as_many_ways_in_as_are_announced_each_as_it_begins() -> None:
    begun: list[tuple[str, int]] = []
    before: list[int] = []

    def begin(name: str, number: int) -> Any:
        begun.append((name, number))
        return lambda step, force: before.append(len(begun))

    lowest_rest(fabric(-0.05), 2, begin=begin)
    assert [number for _, number in begun] == list(range(ways_in(fabric(-0.05), 2))) == [0, 1, 2, 3]
    assert begun[3][0] == "random start 2"
    assert before[0] == 1  # while the first was under way the others had not begun


def test_the_same_seed_is_the_same_start_and_another_is_another() -> None:
    mesh = fabric(-0.1).mesh
    one, same, other = (random_state(mesh, np.random.default_rng(seed)).x_nc for seed in ([0, 1], [0, 1], [0, 2]))
    np.testing.assert_array_equal(one, same)
    assert np.abs(one - other).max() > 1e-3


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_random_start_is_smooth_and_as_steep_as_said(case: Any) -> None:
    """Root mean square slope over many: each wave has 1 / sqrt 2, so BUMPS of them have STEEPEST in all (but for the
    waves that happen to be flat)."""
    mesh: Mesh = fabric(-0.1, case, [3 * row for row in LOZENGE] * 3, 2).mesh
    slopes = []
    for seed in range(20):
        moved = random_state(mesh, np.random.default_rng(seed)).x_nc - mesh.rest_nc
        height_ij = (moved * starts._outward(mesh)).sum(axis=1).reshape(mesh.rows, mesh.stitches)
        across = np.diff(height_ij, axis=1) / mesh.stitch_width
        up = np.diff(height_ij, axis=0) / mesh.row_height
        slopes.append((across**2).mean() + (up**2).mean())
    assert float(np.mean(slopes)) ** 0.5 == pytest.approx(STEEPEST, rel=0.2)
    assert BUMPS > 1


def made_up(monkeypatch: pytest.MonkeyPatch, **energy: float | None) -> None:
    """Let ways in rest at these energies, or nowhere."""
    base = found(0.05).rest

    def going(energy: float | None) -> Any:
        if energy is None:
            raise NoEquilibriumError("no rest here")
        return replace(base, effort=replace(base.effort, energy=energy))

    for name, value in energy.items():
        monkeypatch.setattr(starts, name, lambda *_, value=value: going(value))


@pytest.mark.parametrize(
    ("plain", "branch", "random", "lowest"),
    [
        (2.0, 1.0, 3.0, 1),
        (1.0, 2.0, 3.0, 0),
        (1.0, 1.0 - 1e-6, 1.0, 0),  # equally low, but for what the contact's tolerance leaves: the first
        (None, 1.0, 1.0, 1),
        (1.0, None, None, 0),
        (3.0, 2.0, 1.0, 2),
        (None, None, 1.0, 2),
    ],
)
def test_the_least_energy_decides(
    monkeypatch: pytest.MonkeyPatch, plain: float | None, branch: float | None, random: float | None, lowest: int
) -> None:
    made_up(monkeypatch, _at_once=plain, _loose_to_tight=branch, _from_random=random)
    every = lowest_rest(fabric(-0.1), 1, begin=lambda *_: None)
    assert every.lowest == lowest
    assert every.rest.effort.energy == (plain, branch, random)[lowest]
    assert [one.energy for one in every.starts] == [plain, branch, random]
    assert [bool(one.said) for one in every.starts] == [energy is None for energy in (plain, branch, random)]


def test_none_at_rest_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up(monkeypatch, _at_once=None, _loose_to_tight=None)
    with pytest.raises(NoEquilibriumError, match="no rest here"):
        lowest_rest(fabric(-0.1), begin=lambda *_: None)


def test_side_by_side_or_one_after_the_other_is_the_same() -> None:
    alone, together = found(-0.1, 2), found(-0.1, 2, threads=2)
    np.testing.assert_array_equal(alone.rest.x_nc, together.rest.x_nc)
    assert [one.energy for one in alone.starts] == [one.energy for one in together.starts]
    assert side_by_side([], 2) == []
