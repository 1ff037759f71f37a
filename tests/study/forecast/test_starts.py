"""Which equilibrium is reported: the lowest of several ways in, and never a flatter one for tighter floats by luck."""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.forecast import starts as starts
from fabricsim.study.forecast import waves as waves
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


known = cache(found)
"""The same for whoever asks first, where nothing is made up."""


def pucker_of(one: Start) -> float:
    assert one.measures is not None
    return one.measures.pucker.peak_to_valley


def test_tighter_floats_never_look_flatter() -> None:
    """From a single start each, a model without contact came to 11.6 mm at -0.06 and 7.5 mm at -0.10."""
    heights = [pucker_of(known(slack).best) for slack in (-0.03, -0.06, -0.08, -0.10, -0.13)]
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
    assert every.rest.effort.energy <= min(energies) * (1.0 + waves.SAME)
    low, high = every.spread(lambda m: m.pucker.peak_to_valley)
    heights = [pucker_of(one) for one in every.starts]
    assert (low, high) == (min(heights), max(heights))


def test_the_branch_is_left_out_where_the_first_start_will_do(monkeypatch: pytest.MonkeyPatch) -> None:
    fast = found(-0.10, branch=False)
    assert [one.name for one in fast.starts] == ["plain fabric"]
    assert ways_in(fabric(-0.10), branch=False) == 1
    assert pucker_of(fast.best) == pytest.approx(pucker_of(known(-0.10).starts[0]), rel=1e-9)  # the same solve

    def lost(*_: object) -> Any:
        raise NoEquilibriumError("no rest")

    monkeypatch.setattr(starts, "_at_once", lost)
    assert [one.name for one in found(-0.10, branch=False).starts] == ["plain fabric", "from loose to tight"]


def test_loose_floats_have_one_way_in_and_no_shape_but_flat() -> None:
    every = known(0.05)
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
    assert [number for _, number in begun] == list(range(ways_in(fabric(-0.05), 2))) == [0, 1, 2, 3, 4]
    assert [name for name, _ in begun[3:]] == ["random start 2", "waves of several repeats"]
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
    base = known(0.05).rest

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


# ---- ways in, from made-up rests ------------------------------------------------------------------


def test_a_tube_is_thrown_out_of_its_wall_and_flat_fabric_out_of_its_plane() -> None:
    tube = fabric(-0.1, "round", [3 * row for row in LOZENGE] * 3).mesh
    outward_nc = starts._outward(tube)
    axis_nc = tube.rest_nc * [0.0, 1.0, 0.0]
    radius_n = np.linalg.norm(tube.rest_nc - axis_nc, axis=1)
    np.testing.assert_allclose(axis_nc + radius_n[:, None] * outward_nc, tube.rest_nc, atol=1e-12)
    flat = fabric(-0.1).mesh
    np.testing.assert_array_equal(starts._outward(flat), np.tile([0.0, 0.0, 1.0], (len(flat.rest_nc), 1)))


@pytest.mark.parametrize("case", ["repeat", "swatch"])
def test_a_random_start_moves_nothing_within_the_plane_and_a_repeat_closes_on_itself(case: Any) -> None:
    mesh: Mesh = fabric(-0.1, case, [3 * row for row in LOZENGE] * 3).mesh
    for seed in range(5):
        state = random_state(mesh, np.random.default_rng(seed))
        np.testing.assert_array_equal(state.x_nc[:, :2], mesh.rest_nc[:, :2])
        assert state.period_a is mesh.period_a
        height_ij = state.x_nc[:, 2].reshape(mesh.rows, mesh.stitches)
        for axis, size in ((0, mesh.row_height), (1, mesh.stitch_width)):
            steps = np.abs(np.diff(height_ij, axis=axis)) / size
            assert steps.max() < 6.0 * STEEPEST  # smooth: no step is a jump
            if case == "repeat":
                over_the_edge = np.abs(height_ij.take(0, axis=axis) - height_ij.take(-1, axis=axis)) / size
                assert over_the_edge.max() < 6.0 * STEEPEST
            spectrum = np.abs(np.fft.rfft(height_ij, axis=axis)).max(axis=1 - axis)
            if case == "repeat":  # no wave is shorter than four stitches
                assert spectrum[height_ij.shape[axis] // 4 + 1 :].max() < 1e-9 * spectrum.max()


@dataclass
class Let:
    """A made-up rest: the fabric that was let go, and from where."""

    fabric: Fabric
    start: Any


def test_slack_is_let_in_evenly_from_where_no_float_is_short(monkeypatch: pytest.MonkeyPatch) -> None:
    gone: list[Let] = []

    def come_to_rest(one: Fabric, start: Any = None, progress: Any = None) -> Let:
        gone.append(Let(one, start))
        return gone[-1]

    monkeypatch.setattr(starts, "come_to_rest", come_to_rest)
    tight = set_up(scene_of(LOZENGE, floats={"slack_by_yarn": {"#": -0.08, ".": -0.02}}), "repeat")
    passed: list[Any] = []
    assert starts._loose_to_tight(tight, passed, None) is gone[-1]  # type: ignore[comparison-overlap]
    assert passed == gone[:-1]
    tightest = [float(one.fabric.mesh.floats.slack_f.min()) for one in gone]
    assert tightest == pytest.approx([-0.02, -0.04, -0.06, -0.08])
    assert gone[-1].fabric is tight
    for one in gone:  # all alike, so that what is tighter stays so
        moved_f = one.fabric.mesh.floats.slack_f - tight.mesh.floats.slack_f
        assert np.ptp(moved_f) < 1e-12
    assert [one.start for one in gone] == [None, *gone[:-1]]


def test_random_ways_in_are_numbered_seeded_and_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    loose = fabric(0.05)
    seeds: list[tuple[int, int]] = []
    monkeypatch.setattr(starts, "_from_random", lambda one, seed, progress: seeds.append(seed))
    ways = starts._ways(loose, 2, 7, branch=True)
    assert [(one.name, one.said, one.keep) for one in ways] == [
        ("plain fabric", "forecast", True),
        ("random 1", "random start 1", False),
        ("random 2", "random start 2", False),
    ]
    for one in ways[1:]:
        one.go(None)
    assert seeds == [(7, 0), (7, 1)]
    tight = starts._ways(fabric(-0.05), 0, branch=True)
    assert [(one.name, one.said, one.keep) for one in tight][1:] == [
        ("from loose to tight", "from loose to tight", True)
    ]


@pytest.mark.parametrize(
    ("narrower", "higher", "shapes"), [(0.0009, 0.00009, 1), (0.0011, 0.0, 2), (0.0, 0.00011, 2), (-0.0011, 0.0, 2)]
)
def test_shapes_are_different_where_what_is_printed_is(narrower: float, higher: float, shapes: int) -> None:
    def measured(overall: float, pucker: float) -> Any:
        return SimpleNamespace(widths=SimpleNamespace(overall=overall), pucker=SimpleNamespace(peak_to_valley=pucker))

    one, other = measured(0.05, 0.002), measured(0.05 + narrower, 0.002 + higher)
    tried = (Start("a", 1.0, one), Start("b", said="no rest"), Start("c", 1.0, other), Start("d", 1.0, one))
    every = Found(tried, 0, Any)  # type: ignore[arg-type]
    assert every.shapes == shapes
    assert every.spread(lambda m: m.widths.overall) == (min(0.05, 0.05 + narrower), max(0.05, 0.05 + narrower))


def test_a_way_that_is_lowest_but_was_not_kept_is_gone_again(monkeypatch: pytest.MonkeyPatch) -> None:
    made_up(monkeypatch, _at_once=2.0, _loose_to_tight=2.0, _from_random=1.0)
    begun: list[str] = []
    every = lowest_rest(fabric(-0.1), 1, begin=lambda name, number: begun.append(name))
    assert every.rest.effort.energy == 1.0
    # silently the second time
    assert begun == ["forecast", "from loose to tight", "random start 1", "waves of several repeats"]


def test_where_several_find_no_rest_the_first_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("_at_once", "_loose_to_tight"):

        def lost(*_: object, name: str = name) -> Any:
            raise NoEquilibriumError(f"no rest {name}")

        monkeypatch.setattr(starts, name, lost)
    with pytest.raises(NoEquilibriumError, match=r"^no rest _at_once$"):
        lowest_rest(fabric(-0.1), begin=lambda *_: None)
    with pytest.raises(NoEquilibriumError, match=r"^no rest _at_once$"):
        lowest_rest(fabric(-0.1), branch=False, begin=lambda *_: None)


def test_threads_do_as_many_at_once_as_there_are_and_the_first_to_fail_ends_it() -> None:
    meet = threading.Barrier(2)
    assert side_by_side([meet.wait, meet.wait], 2) is not None  # two that wait for each other
    assert side_by_side([lambda: 1, lambda: 2, lambda: 3], 2) == [1, 2, 3]
    here = threading.get_ident()
    assert side_by_side([threading.get_ident] * 2, 1) == side_by_side([threading.get_ident] * 1, 9) * 2 == [here] * 2

    def failing() -> int:
        raise ArithmeticError("the first")

    def failing_too() -> int:
        raise ArithmeticError("the second")

    for threads in (1, 2):
        with pytest.raises(ArithmeticError, match="the first"):
            side_by_side([failing, failing_too], threads)
