"""How near strands come to each other: no yarn runs through another, on flat, puckered and tube fabrics at rest."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.spatial import cKDTree

from fabricsim.breaks import broken_off_when
from fabricsim.errors import StoppedError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.yarn.clearance import _in_reach, _Pairs, _Segments, closest, keep_apart
from fabricsim.render.yarn.loop_form import YARN_THICKNESS
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.tiling import Tiling, tiled
from tests.render import rests
from tests.render.fabrics import CHECK, MOTIF, ONE_WAY, PLAIN, THREE, fabric

STEP = 0.1
"""Distance of the points that are compared, thicknesses; what lies between two of them is nearer by up to 0.005."""
ALONG = 3.0
"""Yarn between two points of one strand that counts as another strand, thicknesses: half a tight turn."""
LOOPS = 0.60
"""Heads and legs of drawn loops, thicknesses: 0.247 w of 0.40 w, which is the most that such a loop can do."""
SQUEEZED_LOOPS = 0.53
"""The same where floats have drawn stitches in by up to a tenth: in proportion, by a little more at folds."""
CARRIED = 0.63
"""Carried yarn of one or two colours to any other yarn: a third is pressed flat where strands cross."""
CROWDED = 0.55
"""Three and more colours, whose floats have not all room behind one row: nearly half is pressed flat."""


def dense(strands: Strands) -> tuple[np.ndarray, ...]:
    """Return points at even steps along all strands: where, whose, how far along, whether carried, its stitch."""
    found = []
    for s, (first, stop) in enumerate(zip(strands.first_s[:-1], strands.first_s[1:], strict=True)):
        x_pc = strands.x_pc[first:stop]
        along_p = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(x_pc, axis=0), axis=1))])
        at_d = np.arange(0.0, along_p[-1], STEP * strands.thickness)
        nearest = first + np.clip(np.searchsorted(along_p, at_d), 0, len(x_pc) - 1)
        x_dc = np.stack([np.interp(at_d, along_p, x_p) for x_p in x_pc.T], axis=1)
        found.append((x_dc, np.full(len(at_d), s), at_d, strands.loose_p[nearest]))
    return tuple(np.concatenate(part) for part in zip(*found, strict=True))


def clearances(tiling: Tiling, strands: Strands) -> tuple[float, float]:
    """Return the least distance of loops from loops, and of carried yarn from any, in thicknesses."""
    x_dc, whose_d, at_d, carried_d = dense(strands)
    shown_d = tiling.shows(x_dc)  # beyond the window of a repeat its neighbours are missing
    x_dc, whose_d, at_d, carried_d = x_dc[shown_d], whose_d[shown_d], at_d[shown_d], carried_d[shown_d]
    one, other = cKDTree(x_dc).query_pairs(0.8 * strands.thickness, output_type="ndarray").T
    apart = (whose_d[one] != whose_d[other]) | (np.abs(at_d[one] - at_d[other]) > ALONG * strands.thickness)
    # a strand that goes on as another is the same yarn
    ends = np.concatenate([strands.first_s[:-1], strands.first_s[1:] - 1])
    joints = strands.x_pc[ends[cKDTree(strands.x_pc[ends]).query_pairs(1e-9, output_type="ndarray")[:, 0]]]
    if len(joints):
        joined_d = cKDTree(joints).query(x_dc)[0] < ALONG * strands.thickness
        apart &= ~(joined_d[one] & joined_d[other])
    far = np.linalg.norm(x_dc[one] - x_dc[other], axis=1) / strands.thickness
    carried = carried_d[one] | carried_d[other]
    return float(far[apart & ~carried].min(initial=0.8)), float(far[apart & carried].min(initial=0.8))


def drawn(equilibrium: Equilibrium, steps: int = 40) -> tuple[float, float]:
    tiling = tiled(equilibrium)
    return clearances(tiling, yarn_paths(tiling, steps))


MADE_UP: dict[str, tuple[Callable[[], Equilibrium], float]] = {
    "plain": (lambda: fabric(PLAIN), CARRIED),
    "two colours, taut": (lambda: fabric(MOTIF, slack=0.0), CARRIED),
    "two colours, loose": (lambda: fabric(MOTIF, slack=0.2), CARRIED),
    "a swatch": (lambda: fabric(MOTIF, "swatch", across=2, slack=0.0), CARRIED),
    "carried up its edges": (lambda: fabric(ONE_WAY, "swatch", across=2, slack=0.05), CARRIED),
    "a tube": (lambda: fabric(MOTIF, "round", across=4, slack=0.05), CARRIED),
    "a tube of small checks": (lambda: fabric(CHECK, "round", across=8, slack=0.05), CARRIED),
    "three colours, taut": (lambda: fabric(THREE, slack=0.0), CROWDED),
    "three colours, loose": (lambda: fabric(THREE, slack=0.1), CROWDED),
    "three colours, a swatch": (lambda: fabric(THREE, "swatch", across=3, slack=0.05), CROWDED),
    "three colours, a tube": (lambda: fabric(THREE, "round", across=6, slack=0.05), CROWDED),
    "four colours": (lambda: fabric(("aabbccdd", "bccddaab", "ddaabbcc"), slack=0.05), CROWDED),
}


@pytest.mark.parametrize("name", MADE_UP)
def test_no_yarn_runs_through_another_in_fabric_as_knitted(name: str) -> None:
    made, room = MADE_UP[name]
    loops, carried = drawn(made())
    assert loops > LOOPS
    assert carried > room


@pytest.mark.parametrize(
    ("at_rest", "room"),
    [(rests.stars, CARRIED), (rests.three_colours, CROWDED), (rests.swatch, CARRIED), (rests.band, CARRIED)],
    ids=lambda given: getattr(given, "__name__", ""),
)
def test_no_yarn_runs_through_another_at_rest(at_rest: Callable[[], Equilibrium], room: float) -> None:
    loops, carried = drawn(at_rest())
    assert loops > SQUEEZED_LOOPS
    assert carried > room


def test_nor_where_tight_floats_fold_it() -> None:
    loops, carried = drawn(rests.folded())
    assert loops > 0.4
    assert carried > 0.5


def test_what_has_room_stays_where_it_is() -> None:
    x_pc = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [0, 1, 0], [1, 1, 0], [2, 1, 0]])
    moved = keep_apart(x_pc, np.array([0, 3, 6]), np.ones(6, dtype=bool), upwards, 1.0)
    assert np.array_equal(moved, x_pc)


def test_strands_that_cross_give_way_off_the_back_and_not_to_the_face() -> None:
    # two strands that cross a hundredth apart, the one nearer the back below
    along = np.linspace(-3.0, 3.0, 25)
    none = np.zeros_like(along)
    x_pc = np.concatenate([np.stack([along, none, none], 1), np.stack([none, along, none - 0.01], 1)])
    moved = keep_apart(x_pc, np.array([0, 25, 50]), np.ones(50, dtype=bool), upwards, 1.0)
    assert (moved[:, 2] <= x_pc[:, 2]).all()
    tree = cKDTree(moved[:25])
    assert tree.query(moved[25:])[0].min() > 0.6
    assert np.array_equal(moved[[0, 24, 25, 49]], x_pc[[0, 24, 25, 49]])


@pytest.mark.parametrize(("apart", "together"), [(0.0, True), (1e-6, False)], ids=["one yarn", "two yarns"])
def test_yarn_that_goes_on_as_another_strand_keeps_no_distance_from_itself(apart: float, together: bool) -> None:
    # two strands that meet at an angle of 30 degrees, and come as near as 0.7 where 3 of yarn lies between them
    along = np.linspace(0.0, 6.0, 61)
    here, there = (np.stack([along * np.cos(turn), along * np.sin(turn), 0.0 * along], 1) for turn in (0.0, np.pi / 6))
    x_pc = np.concatenate([here[::-1], there + np.array([0.0, apart, 0.0])])
    moved = keep_apart(x_pc, np.array([0, 61, 122]), np.ones(122, dtype=bool), upwards, 1.0)
    assert np.array_equal(moved, x_pc) == together
    assert np.array_equal(moved[[60, 61]], x_pc[[60, 61]])  # where they meet they meet for good


def upwards(x_pc: np.ndarray) -> np.ndarray:
    return np.broadcast_to([0.0, 0.0, 1.0], x_pc.shape)


@pytest.mark.parametrize("long", [0.2, 0.8, 3.0])
def test_all_pairs_of_lines_that_come_near_each_other_are_found(long: float) -> None:
    """As by a look at every pair, of lines short and long against the distance; each once, and no yarn near itself."""
    rng = np.random.default_rng(4)
    x_pc = np.concatenate([rng.uniform(-4.0, 4.0, 3) + long * rng.normal(size=(25, 3)).cumsum(axis=0) for _ in "12345"])
    first_s, own, within = 25 * np.arange(6), 2.0 * long, 0.9
    segments = _Segments(x_pc, first_s, own)
    line_q = np.setdiff1d(np.arange(len(x_pc) - 1), first_s[1:-1] - 1)
    some, others = line_q[line_q % 3 > 0], line_q[line_q % 3 == 0]

    def want(one_q: np.ndarray, other_q: np.ndarray) -> set[tuple[int, int]]:
        one, other = (a.ravel() for a in np.meshgrid(one_q, other_q))
        near = np.linalg.norm(closest(x_pc, one, other)[2], axis=1) < within
        middle_p = 0.5 * (segments.along_p[:-1] + segments.along_p[1:])
        same = one // 25 == other // 25
        near &= ~same | (np.abs(middle_p[one] - middle_p[other]) > own)
        return set(zip(one[near].tolist(), other[near].tolist(), strict=True))

    def pairs(found: tuple[np.ndarray, np.ndarray]) -> list[tuple[int, int]]:
        return list(zip(*(a.tolist() for a in found), strict=True))

    each_other = pairs(segments.near_each_other(some, within))
    assert len(each_other) == len(set(each_other)) >= 10
    assert set(each_other) == {(one, other) for one, other in want(some, some) if one < other}
    of_two = pairs(segments.near(some, others, within))
    assert len(of_two) == len(set(of_two)) >= 10
    assert set(of_two) == want(some, others)


def test_the_nearest_points_of_two_lines() -> None:
    rng = np.random.default_rng(3)
    x_pc = rng.normal(size=(400, 3))
    x_pc[2:6] = [[0, 0, 0], [1, 0, 0], [0.5, 1, 0], [2.5, 1, 0]]  # side by side, from 0.5 to 1
    one = np.arange(0, 200, 2)
    other = one + 2
    place, there, off = closest(x_pc, one, other)
    share = np.linspace(0.0, 1.0, 201)
    for m in range(len(one)):
        on_one = x_pc[one[m]] + share[:, None] * (x_pc[one[m] + 1] - x_pc[one[m]])
        on_other = x_pc[other[m]] + share[:, None] * (x_pc[other[m] + 1] - x_pc[other[m]])
        least = cKDTree(on_one).query(on_other)[0].min()
        assert np.linalg.norm(off[m]) <= least + 1e-12
        assert np.linalg.norm(off[m]) == pytest.approx(least, abs=0.03)
    assert (place[1], there[1]) == (0.75, 0.125)
    assert YARN_THICKNESS == 0.40  # what the distances above are shares of


def test_pairs_that_cannot_have_come_near_are_left_out_and_change_nothing() -> None:
    """To the last bit: pairs kept through many moves, small and large, push as pairs that are all measured anew."""
    rng = np.random.default_rng(5)
    x_kc = rng.uniform(-2.0, 2.0, (60, 3))
    one, other = (index.ravel() for index in np.triu_indices(59, 2))
    kept, pushed = _Pairs(x_kc, one, other, 0.5), 0
    for size in [0.0, *[0.02] * 20, 0.6, *[0.02] * 10]:
        x_kc = x_kc + size * rng.normal(size=x_kc.shape)
        push_kc, anew_kc = kept.pushes(x_kc), _Pairs(x_kc, one, other, 0.5).pushes(x_kc)
        assert push_kc is not None
        assert anew_kc is not None
        assert np.array_equal(push_kc, anew_kc)
        pushed += int((anew_kc != 0.0).any(axis=1).sum())
    assert pushed > 500


def test_drawing_may_be_broken_off_all_along() -> None:
    """Whoever draws under a hand does not wait until yarn that nobody will see is out of the way of other yarn."""
    tiling = tiled(fabric(THREE, "swatch", across=2, slack=0.0))
    questions = 0

    def no() -> bool:
        nonlocal questions
        questions += 1
        return False

    with broken_off_when(no):
        whole = yarn_paths(tiling, 12)
    assert questions > 10  # not only between paths and clearance, but between the rounds of it
    assert np.array_equal(whole.x_pc, yarn_paths(tiling, 12).x_pc)
    for last in [*range(12), *range(12, questions, 4)]:  # first between all parts, then between rounds of one
        left = iter(range(last))
        with broken_off_when(lambda left=left: next(left, None) is None), pytest.raises(StoppedError):  # type: ignore[misc]
            yarn_paths(tiling, 12)


def test_whoever_is_within_reach_is_found_and_nobody_far_away() -> None:
    dice = np.random.default_rng(4)
    of_kc, reach = dice.random((40, 3)), 0.08
    x_kc = dice.random((4000, 3)) * 1.4 - 0.2
    far_k = cKDTree(of_kc).query(x_kc)[0]
    found_k = _in_reach(x_kc, of_kc, reach)
    assert found_k[far_k <= reach].all()
    assert (far_k <= reach).sum() > 100
    assert not found_k[far_k > 2.0 * np.sqrt(3.0) * reach].any()  # the far corners of neighbouring cubes
