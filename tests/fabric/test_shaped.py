"""Shaped fabric rests without stress, moves without cost, and is plain fabric where nothing is shaped."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fabricsim.design.rows.shaped import ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.fabric.build import fabric_terms
from fabricsim.fabric.curving import angle_defects
from fabricsim.fabric.found_rest import drawn_together, stood_up
from fabricsim.fabric.giving import given_and_taken, ruffle
from fabricsim.fabric.mesh import Mesh, build_mesh
from fabricsim.fabric.standing import standing_of
from fabricsim.mechanics.assemble import Energy, State, assemble
from tests.support.meshes import HEIGHT, WIDTH, WORSTED
from tests.support.shapes import crown_rows, mesh_of_rows, plain_rows, random_rows

CURLED = replace(WORSTED, curl_across=30.0, curl_up=-50.0)


def energy_of(mesh: Mesh) -> Energy:
    return assemble(fabric_terms(mesh, WORSTED, "test"), State(mesh.rest_nc))


def crown(wedges: int, wedge: int, every: int) -> tuple[Mesh, float]:
    """Return a crown, and the angle of the cone that it makes, over a full turn, from angles about its stitches alone:
    the mean over its middle part."""
    mesh = mesh_of_rows(crown_rows(wedges, wedge, every, below=6))
    defect_n = angle_defects(mesh, mesh.rest_nc)
    crown_rounds = range(6 + (mesh.rows - 6) // 3, 6 + 2 * (mesh.rows - 6) // 3)
    above = [np.nansum(defect_n[mesh.row_n > row]) for row in crown_rounds]
    return mesh, 1.0 - float(np.mean(above)) / (2.0 * np.pi)


@pytest.fixture(scope="module")
def small() -> Mesh:
    return mesh_of_rows(crown_rows(6, 5, 2, below=3))


def test_shaped_fabric_is_at_rest_to_round_off(small: Mesh) -> None:
    energy = energy_of(small)
    u, force_f = energy.gradient(energy.free(energy.start))
    assert abs(u) < 1e-25  # J; a stitch stretched by a hundredth holds 1e-8
    assert np.abs(force_f).max() < 1e-12  # N, of about 0.1 that double a stitch's width


def test_shaped_fabric_moves_and_turns_without_cost_or_force(small: Mesh) -> None:
    energy = energy_of(small)
    turned = np.asarray(Rotation.from_rotvec([0.3, -1.1, 0.7]).apply(small.rest_nc)) + np.array([0.4, -0.2, 0.1])
    u, force_f = energy.gradient(energy.free(State(turned)))
    assert abs(u) < 1e-22
    assert np.abs(force_f).max() < 1e-10


def test_shaped_fabric_resists_all_else(small: Mesh) -> None:
    energy = energy_of(small)
    q_f = energy.free(energy.start)
    count, step = len(q_f), 1e-7
    hessian = np.empty((count, count))
    for k in range(count):
        ahead, behind = q_f.copy(), q_f.copy()
        ahead[k] += step
        behind[k] -= step
        hessian[k] = (energy.gradient(ahead)[1] - energy.gradient(behind)[1]) / (2.0 * step)
    value_k = np.linalg.eigvalsh(0.5 * (hessian + hessian.T))
    assert np.abs(value_k[:6]).max() < 1e-6  # N/m: six ways to move as a whole
    assert value_k[6] > 1e-4  # and none more


def test_stitches_worked_together_have_less_room() -> None:
    made: list[Made] = ["k", "k2tog", "m1l", "cdd", "ssk", "k"]
    rows = (knitted("row 1", ["k"] * 9, 0), knitted("row 2", made, 0))
    share_n = drawn_together(standing_of(ShapedRows(rows, tube=False)))
    two, three = (1.0 + 1.0 / 2.0) / 2.0, (1.0 + 1.0 / 3.0) / 2.0
    below = [1.0, two, two, three, three, three, two, two, 1.0]  # from the right
    assert share_n == pytest.approx([*below[::-1], *[1.0] * 6])
    crown = standing_of(crown_rows(6, 2, 1))
    assert drawn_together(crown)[crown.row_n == crown.row_n.max() - 1] == pytest.approx(0.75)  # drawn up to a half


@pytest.mark.parametrize("tube", [True, False])
def test_unshaped_rows_have_the_energy_of_plain_fabric(tube: bool) -> None:
    rows, stitches = 5, 9
    grid = np.zeros((rows, stitches), dtype=np.intp)
    case = "round" if tube else "swatch"
    plain = build_mesh(grid, (), case, stitch_width=WIDTH, row_height=HEIGHT, thickness=WORSTED.thickness)
    shaped = replace(plain, standing=standing_of(ShapedRows(tuple(plain_rows(stitches, rows)), tube=tube)))
    shaken = plain.rest_nc + np.random.default_rng(3).normal(scale=2e-4, size=plain.rest_nc.shape)
    curled = replace(CURLED, curl_depth=1.5 * WIDTH)  # one stitch in from an edge wants half of it
    one, other = ({t.name: t for t in fabric_terms(mesh, curled, "test")} for mesh in (plain, shaped))
    assert one.keys() == other.keys()
    for name in one:
        energy, again = (t.energy(t.spans(shaken, None)) for t in (one[name], other[name]))
        assert again == pytest.approx(energy, rel=1e-9), name


def test_a_plain_tube_is_found_where_it_is_known_to_rest() -> None:
    rows, stitches = 12, 40
    grid = np.zeros((rows, stitches), dtype=np.intp)
    plain = build_mesh(grid, (), "round", stitch_width=WIDTH, row_height=HEIGHT, thickness=WORSTED.thickness)
    found = mesh_of_rows(ShapedRows(tuple(plain_rows(stitches, rows)), tube=True))
    for way in (0, 3):
        there = plain.neighbour_n4[:, way] >= 0
        beside = plain.neighbour_n4[there, way]
        known, now = (np.linalg.norm(m.rest_nc[beside] - m.rest_nc[there], axis=1) for m in (plain, found))
        assert now == pytest.approx(known, rel=2e-3)  # a spiral is laid out as if it were level rings


@pytest.mark.parametrize(("wedges", "wedge", "every"), [(4, 20, 1), (7, 15, 2), (6, 12, 3)])
def test_a_crown_has_the_angle_that_the_gauge_gives(wedges: int, wedge: int, every: int) -> None:
    # A round at s from the top is theta s long; each round takes wedges w / every off it, over a way of c (derived).
    _, share = crown(wedges, wedge, every)
    assert share == pytest.approx(wedges * WIDTH / (2.0 * np.pi * every * HEIGHT), rel=0.02)


@pytest.mark.parametrize(("wedges", "wedge", "every"), [(4, 20, 1), (5, 14, 2), (6, 12, 3)])
def test_a_cone_has_the_slope_of_its_angle(wedges: int, wedge: int, every: int) -> None:
    mesh, share = crown(wedges, wedge, every)
    rows = range(6 + (mesh.rows - 6) // 3, 6 + 2 * (mesh.rows - 6) // 3 + 1)
    ring = [mesh.rest_nc[mesh.row_n == row] for row in (rows[0], rows[-1])]
    radius = [np.hypot(*(one[:, [0, 2]] - one[:, [0, 2]].mean(axis=0)).T).mean() for one in ring]
    slope = (radius[0] - radius[1]) / np.linalg.norm(
        [radius[0] - radius[1], np.ptp([one[:, 1].mean() for one in ring])]
    )
    assert slope == pytest.approx(wedges * WIDTH / (2.0 * np.pi * every * HEIGHT), rel=0.02)
    assert slope == pytest.approx(share, rel=0.02)  # sin of half the angle at the tip is theta / 2 pi (derived)


def test_decreases_too_slow_make_a_point_and_too_fast_ruffle() -> None:
    """Seen from the top: counts that grow too slowly outwards cup the disc, too fast ruffle it (Gauss and Bonnet)."""
    for wedges, every, sign in ((6, 2, 1.0), (8, 1, -1.0)):
        mesh, share = crown(wedges, 12, every)
        assert np.sign(1.0 - share) == sign
        # what ruffles is pressed together too
        assert share == pytest.approx(wedges * WIDTH / (2.0 * np.pi * every * HEIGHT), rel=0.1)
        defect_n = angle_defects(mesh, mesh.rest_nc)
        assert np.sign(np.nansum(defect_n[mesh.row_n > mesh.rows // 2])) == sign


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("tube", [True, False])
def test_random_shapes_are_found_at_rest(seed: int, tube: bool) -> None:
    mesh = mesh_of_rows(random_rows(seed, tube))
    energy = energy_of(mesh)
    assert np.abs(energy.gradient(energy.free(energy.start))[1]).max() < 1e-12
    assert np.isfinite(mesh.rest_nc).all()


def test_a_yoke_lies_smooth_where_its_rounds_of_decreases_are_no_more_than_a_disc_takes() -> None:
    """Three rounds in which one in so many goes, eight rounds apart: on the average 0.94 of what a flat disc
    loses, so every round is a circle, though no surface could follow each of the three at once."""
    rows = plain_rows(180, 12)
    for number, (every, left) in enumerate(((5, 144), (4, 108), (3, 72))):
        made: list[Made] = [*["k"] * (every - 2), "k2tog"]  # type: ignore[list-item]
        rows += [knitted(f"d{number}", made * 36, 0), *plain_rows(left, 7)]
    mesh = mesh_of_rows(ShapedRows(tuple(rows), tube=True))
    for row in range(mesh.rows):
        ring = mesh.rest_nc[mesh.row_n == row]
        out = np.hypot(*(ring[:, [0, 2]] - ring[:, [0, 2]].mean(axis=0)).T)
        assert np.ptp(out) < 0.1 * out.mean()  # it spirals, by less than a row height a round
        assert np.ptp(ring[:, 1]) < 2.0 * HEIGHT  # a saddle of that girth would rise and fall by many
    girth_i = np.array([np.hypot(*mesh.rest_nc[mesh.row_n == row][:, [0, 2]].T).mean() for row in range(10, 34)])
    assert (np.diff(girth_i) < 0.0).all()


def test_rounds_that_change_faster_than_a_flat_disc_are_told() -> None:
    """A flat disc loses 2 pi c / w = 4.77 stitches a round: eight wedges in every round ruffle, four don't, nor do
    eight in every other; and a collar that gains so many turns the other way."""
    for wedges, every, most in ((8, 1, 8.0), (4, 1, None), (8, 2, None)):
        found = ruffle(mesh_of_rows(crown_rows(wedges, 14, every, below=12)))
        assert (found is None) == (most is None)
        if found is not None:
            assert found.fewer
            assert found.most == pytest.approx(most)
            assert found.loses == pytest.approx(2.0 * np.pi * HEIGHT / WIDTH)
            assert 8 <= found.first <= 14  # the crown begins in row 13; its change is felt some rounds before
            assert found.last == 24  # its last round
    rows = plain_rows(40, 10)
    for number in range(9):
        made: list[Made] = [*["k"] * (4 + number), "m1"]  # type: ignore[list-item]
        rows.append(knitted(f"i{number}", made * 10, 0))
    gained = ruffle(mesh_of_rows(ShapedRows(tuple(rows), tube=True)))
    assert gained is not None
    assert not gained.fewer
    assert ruffle(mesh_of_rows(ShapedRows(tuple(rows), tube=False))) is None


def test_rows_give_and_take_where_counts_change_at_a_stroke_and_nowhere_else() -> None:
    at_once = ShapedRows((*plain_rows(48, 8), knitted("d", ["k", "k2tog"] * 16, 0), *plain_rows(32, 8)), tube=True)
    standing = standing_of(at_once)
    share_i = np.array([given_and_taken(standing, 6.0)[standing.row_n == row].mean() for row in range(17)])
    girth_i = share_i * standing.count_i
    assert share_i[:4] == pytest.approx(np.ones(4))
    assert share_i[-4:] == pytest.approx(np.ones(4))
    assert (np.diff(girth_i[4:12]) < -0.9).all()
    assert np.abs(np.diff(girth_i)).max() < 5.0  # of 16 at once
    assert girth_i.sum() == pytest.approx(standing.count_i.sum())  # what one gives another takes
    farther_n = given_and_taken(standing, 3.0)  # a surface that follows less: over more rounds
    farther_i = np.array([farther_n[standing.row_n == row].mean() for row in range(17)]) * standing.count_i
    assert 2.0 < np.abs(np.diff(farther_i)).max() <= 3.0
    assert given_and_taken(standing, 0.5) == pytest.approx(share_i[standing.row_n])  # none could: over the fewest
    even = standing_of(crown_rows(6, 12, 1, below=1))
    inner = (even.row_n > 3) & (even.row_n < 8)
    assert given_and_taken(even, 6.0)[inner] == pytest.approx(np.ones(inner.sum()))  # evenly: nothing is given


@pytest.mark.parametrize(("rows", "turned"), [(60, True), (6, False)])
def test_a_tall_tube_is_stood_up_and_a_low_one_stays(rows: int, turned: bool) -> None:
    mesh = mesh_of_rows(ShapedRows(tuple(plain_rows(20, rows)), tube=True))
    aslant_nc = Rotation.from_euler("xz", [8.0, -12.0], degrees=True).apply(mesh.rest_nc)
    found_nc = stood_up(mesh, aslant_nc)
    np.testing.assert_allclose(found_nc[0], aslant_nc[0], atol=1e-12)
    middle_ic = np.array([found_nc[mesh.row_n == row].mean(axis=0) for row in range(rows)])
    lean = np.hypot(*np.ptp(middle_ic, axis=0)[[0, 2]]) / np.ptp(middle_ic[:, 1])
    assert (lean < 1e-3) == turned
    if not turned:
        np.testing.assert_array_equal(found_nc, aslant_nc)
