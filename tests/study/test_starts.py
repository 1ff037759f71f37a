"""Which equilibrium is reported: the lowest of several ways in, and never a flatter one for tighter floats by luck."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

import fabricsim.study.starts as starts
from fabricsim.design.scene import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.starts import BUMPS, STEEPEST, Found, Start, lowest_rest, random_state, ways_in
from fabricsim.study.threads import side_by_side

LOZENGE = [
    "." * 12,
    ".....xx.....",
    "....xxxx....",
    "...xxxxxx...",
    "..xxxxxxxx..",
    "...xxxxxx...",
    "....xxxx....",
    "." * 12,
]
"""A lozenge motif of 12 by 8 stitches."""


def fabric(slack: float, case: Any = "repeat", rows: list[str] = LOZENGE, across: int = 1) -> Fabric:
    scene = Scene.model_validate(
        {
            "title": "lozenge",
            "worked": "round",
            "chart": {"rows": rows, "across": across},
            "yarns": [
                {"symbol": ".", "name": "oat", "colour": "#e9dfc8", "tex": 500},
                {"symbol": "x", "name": "pine", "colour": "#2f5d50", "tex": 500},
            ],
            "gauge": {"stitches": 19, "rows": 25.5},
            "floats": {"slack": slack},
        }
    )
    return set_up(scene, case)


def found(slack: float, random_starts: int = 0, **more: Any) -> Found:
    return lowest_rest(fabric(slack), random_starts, begin=lambda _: None, **more)


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
    energies = [one.rest.effort.energy for one in every.starts if one.rest is not None]
    assert len(energies) == 5
    assert every.best.rest is not None
    assert every.best.rest.effort.energy <= min(energies) * (1.0 + starts.SAME)
    low, high = every.spread(lambda m: m.pucker.peak_to_valley)
    heights = [pucker_of(one) for one in every.starts]
    assert (low, high) == (min(heights), max(heights))


def test_loose_floats_have_one_way_in_and_no_shape_but_flat() -> None:
    every = found(0.05)
    assert [one.name for one in every.starts] == ["plain fabric"]
    assert every.shapes == ways_in(fabric(0.05)) == 1
    assert pucker_of(every.best) == 0.0


def test_there_are_as_many_ways_in_as_are_announced() -> None:
    begun: list[str] = []

    def begin(name: str) -> None:
        begun.append(name)

    lowest_rest(fabric(-0.05), 2, begin=begin)
    assert len(begun) == ways_in(fabric(-0.05), 2) == 4


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


def given(energy: float | None) -> Any:
    """A way in that rests at an energy, or nowhere."""
    base = found(0.05).best
    assert base.rest is not None
    if energy is None:
        return lambda *_: Start("lost", None, said="no rest here")
    rest = replace(base.rest, effort=replace(base.rest.effort, energy=energy))
    return lambda *_: Start("made up", rest, base.measures)


@pytest.mark.parametrize(
    ("plain", "branch", "lowest"),
    [
        (2.0, 1.0, 1),
        (1.0, 2.0, 0),
        (1.0, 1.0 - 1e-6, 0),  # equally low, but for what the contact's tolerance leaves: the first
        (None, 1.0, 1),
        (1.0, None, 0),
    ],
)
def test_the_least_energy_decides(
    monkeypatch: pytest.MonkeyPatch, plain: float | None, branch: float | None, lowest: int
) -> None:
    first, second = given(plain), given(branch)
    monkeypatch.setattr(starts, "_start", first)
    monkeypatch.setattr(starts, "_loose_to_tight", second)
    assert lowest_rest(fabric(-0.1), begin=lambda _: None).lowest == lowest


def test_none_at_rest_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    nowhere = given(None)
    monkeypatch.setattr(starts, "_start", nowhere)
    monkeypatch.setattr(starts, "_loose_to_tight", nowhere)
    with pytest.raises(NoEquilibriumError, match="no rest here"):
        lowest_rest(fabric(-0.1), begin=lambda _: None)


def test_side_by_side_or_one_after_the_other_is_the_same() -> None:
    alone, together = found(-0.1, 2), found(-0.1, 2, threads=2)
    for one, other in zip(alone.starts, together.starts, strict=True):
        assert one.rest is not None
        assert other.rest is not None
        np.testing.assert_array_equal(one.rest.x_nc, other.rest.x_nc)
    assert side_by_side([], 2) == []
