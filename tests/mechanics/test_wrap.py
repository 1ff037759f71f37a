"""How long a taut line behind stitches is: on circles and helices, against a hull, and where it leaves a stitch."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from fabricsim.arrays import Floats
from fabricsim.fabric.behind import Paths, Tracks
from fabricsim.fabric.build import float_term
from fabricsim.fabric.mesh import Mesh, inside_out_factor, spiral_radius
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.wrap import WrappedDistance
from fabricsim.mechanics.laws import Elastic, Proportional
from fabricsim.mechanics.terms import Term
from tests.support.differences import relative
from tests.support.meshes import HEIGHT, TIGHT_ROWS, WIDTH, WORSTED, mesh_of
from tests.support.tubes import level_tube, turned_out

THICK = WORSTED.thickness
N = 20


def paths(mesh: Mesh) -> Paths:
    """Return how the floats run in plain fabric."""
    return Tracks(mesh).at(State(mesh.rest_nc, mesh.period_a))


@pytest.mark.parametrize("gap", [1, 2, 5, 9, 13, 18])
def test_a_float_outside_a_tube_runs_round_it(gap: int) -> None:
    """(g + 1) 2 (R + t/2) sin(pi/n), exact: from the back of one stitch to that of the next, past half a turn too. What
    is left is the round-off of some tens of sums."""
    mesh = level_tube(3, N, gap)
    found = paths(mesh)
    radius = WIDTH / (2.0 * np.sin(np.pi / N))
    step = 2.0 * (radius + 0.5 * THICK) * np.sin(np.pi / N)
    np.testing.assert_allclose(found.length_f, (gap + 1) * step, rtol=1e-13)
    assert set(found.pressed) == {tuple(range(1, gap + 1))}
    chord_f = float_term(mesh, WORSTED).measures(mesh.rest_nc)
    np.testing.assert_allclose(chord_f, 2.0 * (radius + 0.5 * THICK) * np.sin(np.pi * (gap + 1) / N), rtol=1e-12)
    if 2 * (gap + 1) <= N:  # the straight way cuts in by the sagitta at its middle stitch, or at the two beside it
        middle = 0.0 if gap % 2 else np.pi / N
        sagitta = (radius + 0.5 * THICK) * (np.cos(middle) - np.cos(np.pi * (gap + 1) / N))
        np.testing.assert_allclose(found.depth_f, sagitta, rtol=1e-12)


@pytest.mark.parametrize("gap", [1, 2, 5, 8])
def test_a_float_inside_a_tube_runs_straight(gap: int) -> None:
    """2 (R - t/2) sin(pi (g + 1)/n), exact."""
    found = paths(level_tube(3, N, gap, outside=False))
    radius = WIDTH / (2.0 * np.sin(np.pi / N))
    chord = 2.0 * (radius - 0.5 * THICK) * np.sin(np.pi * (gap + 1) / N)
    np.testing.assert_allclose(found.length_f, chord, rtol=1e-12)
    assert set(found.pressed) == {()}
    assert found.depth_f.max() == 0.0


@pytest.mark.parametrize("gap", [0, 2])
def test_floats_outside_a_smooth_tube_are_longer_by_two_pi_thicknesses_a_turn(gap: int) -> None:
    """The plain rule for work done inside out, 1 + 2 pi t / circumference, is what floats outside and inside differ by
    in the limit of fine stitches: the error falls with the square of their number."""
    radius, errors = 0.05, []
    for stitches in (40, 80, 160):
        width = 2.0 * radius * np.sin(np.pi / stitches)
        outside, inside = (
            paths(level_tube(2, stitches, gap, outside=out, width=width)).length_f for out in (True, False)
        )
        per_turn = (outside.mean() - inside.mean()) * stitches / (gap + 1)
        around = stitches * width
        rule = around * (inside_out_factor("round", stitches, width, THICK, True) - 1.0)
        errors.append(per_turn / rule - 1.0)
        assert rule == pytest.approx(2.0 * np.pi * THICK, rel=1e-12)
    # The next order is (pi (g + 1)/n)^2 of it, some 1 %: the ratio of 4 to within a few of those.
    assert [one / next_one for one, next_one in pairwise(errors)] == pytest.approx([4.0, 4.0], rel=0.05)
    assert abs(errors[-1]) < 0.1


def test_a_float_that_climbs_round_a_tube_is_a_helix() -> None:
    """s^2 = p^2 + h^2 on the true spiral turned inside out: unrolled, the line is straight."""
    mesh = turned_out(mesh_of(("#....#..#....", ".....#.......") * 2, "round"))
    stitches, table = mesh.stitches, mesh.floats
    found = paths(mesh)
    row_f2 = mesh.row_n[table.node_f2]
    free = np.flatnonzero((row_f2.min(axis=1) > 0) & (row_f2.max(axis=1) < mesh.rows - 1))  # off the strand's two ends
    assert len(free) > 5
    assert np.ptp(row_f2[free], axis=1).max() == 1  # one of them passes the join of two rounds
    steps = table.gap_f[free] + 1.0
    radius = spiral_radius(stitches, WIDTH, HEIGHT) + 0.5 * THICK
    planar, rise = steps * 2.0 * radius * np.sin(np.pi / stitches), steps * HEIGHT / stitches
    np.testing.assert_allclose(found.length_f[free], np.hypot(planar, rise), rtol=1e-13)


def row_of_anchors(place_kc: Floats, normal_kc: Floats, offset: float) -> tuple[Term, Floats]:
    """Return a line behind nodes with chosen normals, square to y, and all its points (five a node, none shared).

    The neighbours left and right of a node lie along y x n, those down and up along y.
    """
    up_c = np.array([0.0, 0.8, 0.0])
    along_kc = np.cross(up_c, normal_kc)
    around = np.stack([np.zeros_like(along_kc), -along_kc, along_kc, 0.0 * along_kc - up_c, 0.0 * along_kc + up_c])
    x_nc = (place_kc + around).transpose(1, 0, 2).reshape(-1, 3)
    count = len(place_kc)
    return Term("line", WrappedDistance(count, offset), Proportional(1.0), np.arange(5 * count)[None]), x_nc


def lower_chain(point_k2: Floats) -> Floats:
    """Return the corners of the lower hull from the first to the last of points that run to the right.

    One more point, far above the middle, takes all that is not below out of the hull.
    """
    top = [0.5 * (point_k2[0, 0] + point_k2[-1, 0]), 1000.0]
    corner = ConvexHull(np.vstack([point_k2, top])).vertices
    return point_k2[np.sort(corner[corner < len(point_k2)])]


@given(
    first=st.integers(0, 2**32 - 1),
    z=st.lists(st.floats(-1.0, 1.0), min_size=3, max_size=9),
    slope=st.floats(-1.0, 1.0),
    wild=st.floats(0.0, 0.4),
    round_=st.sampled_from([-0.3, 0.0, 0.3]),
)
def test_the_shortest_way_is_the_hull_of_the_backs(
    first: int, z: list[float], slope: float, wild: float, round_: float
) -> None:
    """Rows of any shape, hollow or bulged, of uneven steps and normals, climbing along the rulings, turned anyhow: seen
    along the rulings the line is the lower hull of the anchors, and unrolled it is straight. Round-off alone is left,
    some ten sums of numbers of order 1."""
    rng = np.random.default_rng(first)
    count, offset = len(z), 0.2
    x = np.cumsum(rng.uniform(0.6, 1.0, count))
    place_kc = np.column_stack([x, slope * x + wild * rng.normal(size=count), z + round_ * (x - x.mean()) ** 2])
    tilt = rng.uniform(-0.5, 0.5, count)
    normal_kc = np.column_stack([np.sin(tilt), np.zeros(count), np.cos(tilt)])
    anchor_kc = place_kc - offset * normal_kc  # steps of 0.6 and tilts of 0.5: they still run to the right
    assert np.diff(anchor_kc[:, 0]).min() > 0.0
    chain = lower_chain(anchor_kc[:, [0, 2]])
    planar = np.hypot(*np.diff(chain, axis=0).T).sum()
    want = np.hypot(planar, anchor_kc[-1, 1] - anchor_kc[0, 1])
    chord = anchor_kc[-1, [0, 2]] - anchor_kc[0, [0, 2]]
    from_first = anchor_kc[:, [0, 2]] - anchor_kc[0, [0, 2]]
    behind = (chord[1] * from_first[:, 0] - chord[0] * from_first[:, 1]) / np.hypot(*chord)
    term, x_nc = row_of_anchors(place_kc, normal_kc, offset)
    turned = Rotation.random(rng=rng).as_matrix()
    geometry = term.geometry
    assert isinstance(geometry, WrappedDistance)
    spans = term.spans(x_nc @ turned.T + rng.normal(size=3), None)
    length, depth, kept = geometry.course(spans)
    assert length[0] == pytest.approx(want, rel=1e-13)
    assert geometry.measure(spans, 0).s_b[0] == length[0]
    assert geometry.measure(spans, 2).s_b[0] == length[0]
    assert depth[0] == pytest.approx(max(behind.max(), 0.0), abs=1e-13 * max(1.0, np.abs(place_kc).max()))
    shown = anchor_kc[kept[0]][:, [0, 2]]  # the anchors it turns about make up that very length
    assert np.hypot(*np.diff(shown, axis=0).T).sum() == pytest.approx(planar, rel=1e-13)


@pytest.mark.parametrize("rise", [0.0, 0.7])
def test_length_and_pull_are_continuous_where_a_stitch_comes_into_the_way(rise: float) -> None:
    """The middle of three anchors moves through the line by e to either side. Behind it s grows by 2 e^2/s and its
    slope is 4 e/s; before it both are nought; so the curvature jumps, by 4/s (derived: s^2 = p^2 + h^2, p p'' = 4)."""
    small, offset = 1e-6, 0.2
    normal_kc = np.tile([0.0, 0.0, 1.0], (3, 1))
    measured = {}
    for side in (-small, small):
        place_kc = np.array([[0.0, 0.0, 0.0], [1.0, 0.5 * rise, side], [2.0, rise, 0.0]])
        term, x_nc = row_of_anchors(place_kc, normal_kc, offset)
        energy = assemble([term], State(x_nc))
        q_f = energy.free(energy.start)
        value, gradient_f, exact_eb = energy.hessian(q_f)
        measured[side] = value, gradient_f, energy.pattern.fill(exact_eb).toarray()
    (s_behind, pull_behind, stiff_behind), (s_before, pull_before, stiff_before) = measured.values()
    s = np.hypot(2.0, rise)
    up = np.zeros(len(pull_before))
    up[3 * np.arange(5, 10) + 2] = 1.0  # the stitch with its neighbours, so that its normal stays
    assert s_before == pytest.approx(s, rel=1e-15)
    assert s_behind - s_before == pytest.approx(2.0 * small**2 / s, rel=1e-3)  # of 1e-12, round-off is a thousandth
    assert np.abs(pull_behind - pull_before).max() <= 4.0 * small / s * (1.0 + 1e-6)
    assert pull_before @ up == pytest.approx(0.0, abs=1e-15)
    assert pull_behind @ up == pytest.approx(-4.0 * small / s, rel=1e-9)
    # Next order: e^2 of it. Round-off: 1e-16 over lengths of 1.
    assert up @ stiff_before @ up == pytest.approx(0.0, abs=1e-13)
    assert up @ stiff_behind @ up == pytest.approx(4.0 / s, rel=1e-10)


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_with_nothing_in_the_way_a_line_is_a_tie(case: str) -> None:
    """Value, gradient and Hessian of the straight float, to round-off: what the ruling has to do with it cancels."""
    mesh = mesh_of(tuple(row * 2 for row in TIGHT_ROWS), case)  # type: ignore[arg-type]
    rng = np.random.default_rng(5)
    moved_nc = mesh.rest_nc + 0.15 * WIDTH * rng.normal(size=mesh.rest_nc.shape)
    state = State(moved_nc, None if mesh.period_a is None else mesh.period_a * [0.93, 1.04])
    tracks = Tracks(mesh)
    open_f = (tracks.at(state).depth_f == 0.0) & (mesh.floats.gap_f > 0)
    assert open_f.sum() > 4
    assert mesh.floats.gap_f[open_f].max() > 1
    law_f = 100.0 + 10.0 * rng.normal(size=len(mesh.floats))
    straight = float_term(mesh, WORSTED, open_f)
    straight = Term("tie", straight.geometry, Elastic(law_f[open_f], 0.004), straight.node_bp, straight.shift_bpa)
    wrapped = tracks.wrapped(open_f, lambda float_b: Elastic(law_f[float_b], 0.004))
    one, other = (assemble(terms, state) for terms in ([straight], wrapped))
    value, gradient_f, exact_eb = one.hessian(one.free(state))
    value_too, gradient_too_f, exact_too_eb = other.hessian(other.free(state))
    assert value_too == pytest.approx(value, rel=1e-13)
    assert relative(gradient_too_f, gradient_f) < 1e-13
    assert relative(other.pattern.fill(exact_too_eb).toarray(), one.pattern.fill(exact_eb).toarray()) < 1e-12
