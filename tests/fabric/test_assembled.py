"""The assembled energy of whole fabrics: derivatives against differences, periods and tiny cells included."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.arrays import Floats, largest
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.build import (
    FLOAT,
    fabric_energy,
    fabric_terms,
    float_term,
    held_unknowns,
    start_of,
    table_terms,
)
from fabricsim.fabric.mesh import Mesh, build_mesh
from fabricsim.fabric.stiffness import Stiffness, default_stiffness
from fabricsim.mechanics.assemble import Energy, assemble
from fabricsim.mechanics.laws import Elastic, Taut
from fabricsim.mechanics.terms import Term
from tests.support.differences import jacobian, relative
from tests.support.meshes import HEIGHT, TIGHT_ROWS, WIDTH, WORSTED, grid_of, mesh_of, shaken
from tests.support.pulls import pulls

NOISE = 0.05 * WIDTH
CURLED = replace(WORSTED, curl_across=40.0, curl_up=-60.0)


def long_float_cell() -> Mesh:
    """A cell of 3 x 2 stitches under floats longer than itself: over 5, 7 and 9 stitches, both ways."""
    grid_ij = grid_of(("..#", "#.."))
    floats = tuple(
        Float(1, row, start, way, gap, (gap + 1) * WIDTH, slack, "repeat edge", 1, 3)
        for row, start, way, gap, slack in ((0, 0, -1, 4, -0.1), (1, 2, 1, 6, -0.2), (1, 0, -1, 8, -0.05))
    )
    return build_mesh(grid_ij, floats, "repeat", stitch_width=WIDTH, row_height=HEIGHT, thickness=WORSTED.thickness)


MESHES: dict[str, Mesh] = {
    "1x1 repeat": mesh_of((".",), "repeat"),
    "2x1 repeat": mesh_of((".#",), "repeat", -0.3),
    "1x2 repeat": mesh_of((".", "#"), "repeat"),
    "2x2 repeat": mesh_of((".#", "#."), "repeat", -0.1),
    "3x2 repeat": mesh_of(("..#", "#.."), "repeat", -0.1),
    "3x2 repeat, long floats": long_float_cell(),
    "repeat": mesh_of(TIGHT_ROWS, "repeat", -0.1),
    "swatch": mesh_of(TIGHT_ROWS, "swatch", -0.1),
    "round": mesh_of([2 * row for row in TIGHT_ROWS], "round", -0.5),
    "round of 3": mesh_of(("..#", "#.."), "round", -0.9),
}
# Floats inside a small tube are chords: they need to be this much shorter to be taut.
every_mesh = pytest.mark.parametrize("mesh", MESHES.values(), ids=list(MESHES))


def whole(mesh: Mesh, stiffness: Stiffness) -> Energy:
    """The energy with nothing held: every unknown is looked at."""
    terms = [*fabric_terms(mesh, stiffness, "test"), float_term(mesh, stiffness)]
    if mesh.case == "swatch":
        terms += table_terms(mesh, stiffness)
    return assemble(terms, start_of(mesh))


def test_the_long_floats_do_pass_whole_periods() -> None:
    mesh = MESHES["3x2 repeat, long floats"]
    assert sorted(mesh.floats.shift_f2[:, 0].tolist()) == [2, 3, 3]


@every_mesh
@pytest.mark.parametrize("seed", range(2))
def test_gradient_and_hessian_against_differences(mesh: Mesh, seed: int) -> None:
    # Differences of the five-point rule are good to 1e-11 or so; a period counted once too often or a missing
    # shift is an error of the order of one.
    rng = np.random.default_rng(seed)
    energy = whole(mesh, CURLED)
    q = shaken(energy, rng, NOISE)
    u, gradient, exact_eb = energy.hessian(q)
    hessian = energy.pattern.fill(exact_eb).toarray()
    assert u == energy.value(q) == energy.gradient(q)[0]
    np.testing.assert_array_equal(gradient, energy.gradient(q)[1])
    assert relative(jacobian(energy.value, q, NOISE), gradient) < 1e-8
    assert relative(jacobian(lambda p: energy.gradient(p)[1], q, NOISE), hessian) < 1e-8
    np.testing.assert_array_equal(hessian, hessian.T)
    if len(mesh.floats):
        assert (pulls(energy.term(FLOAT), energy.state(q)) > 0.0).any()


@every_mesh
def test_every_term_has_a_right_hessian_of_its_own(mesh: Mesh) -> None:
    """Term by term, so that a weak bend is not lost beside a stiff float."""
    for term in whole(mesh, CURLED).terms:  # those without elements are left out
        energy = assemble([term], start_of(mesh))
        q = shaken(energy, np.random.default_rng(5), NOISE)
        hessian = energy.pattern.fill(energy.hessian(q)[2]).toarray()
        by_differences = jacobian(lambda p, e=energy: e.gradient(p)[1], q, NOISE)
        # Against the single elements, as a row of one stitch has bends that cancel to nothing; a height has
        # no Hessian: there the scale is its force over a stitch width.
        at = energy.state(q)
        _, force_bq, exact_bqq = term.hessian(term.spans(at.x_nc, at.period_a))
        scale = max(np.abs(exact_bqq).max(), np.abs(force_bq).max() / WIDTH)
        assert np.abs(hessian - by_differences).max() < 1e-8 * scale, term.name


@every_mesh
def test_held_unknowns_stay_and_take_their_rows_with_them(mesh: Mesh) -> None:
    """Holding strikes out rows and columns of the full Hessian and leaves the others as they were."""
    free = whole(mesh, WORSTED)
    periods = [] if mesh.period_a is None else [free.pattern.free_f[-1]]  # hold the height of the cell too
    held = assemble(free.terms, free.start, [*held_unknowns(mesh), *periods])
    keep = held.pattern.free_f
    assert np.isin(keep, fabric_energy(mesh, WORSTED, "test").pattern.free_f).all()
    assert len(keep) == len(free.pattern.free_f) - len(held_unknowns(mesh)) - len(periods)
    rng = np.random.default_rng(2)
    q = free.free(free.start)
    q[keep] += NOISE * rng.normal(size=len(keep))
    u, gradient, exact_eb = free.hessian(q)
    u_held, gradient_held, exact_held_eb = held.hessian(q[keep])
    np.testing.assert_array_equal(held.state(q[keep]).to_vector(), q)
    assert u_held == u
    np.testing.assert_array_equal(gradient_held, gradient[keep])
    for of_all, of_held in ((exact_eb, exact_held_eb), (free.material(q), held.material(q[keep]))):
        block = free.pattern.fill(of_all).toarray()[np.ix_(keep, keep)]
        got = held.pattern.fill(of_held).toarray()
        assert np.abs(got - block).max() <= 1e-14 * np.abs(block).max()  # sums in another order


FABRICS = {
    "worsted": (WORSTED, WIDTH, HEIGHT),
    "fingering": (default_stiffness(30.0, 40.0, 240.0), 0.1 / 30.0, 0.1 / 40.0),
    "bulky": (default_stiffness(12.0, 16.0, 1100.0), 0.1 / 12.0, 0.1 / 16.0),
    "strong coupling": (replace(WORSTED, poisson_across=0.6, shear=2.0), WIDTH, HEIGHT),
    "negative coupling": (replace(WORSTED, poisson_across=0.0, shear=7.0), WIDTH, HEIGHT),
    "square, soft up": (replace(WORSTED, stretch_up=8.0, poisson_across=0.7, shear=3.0), WIDTH, WIDTH),
}


def material(energy: Energy, q: Floats) -> Floats:
    return energy.pattern.fill(energy.material(q)).toarray()


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
@pytest.mark.parametrize("fabric", FABRICS.values(), ids=list(FABRICS))
@pytest.mark.parametrize("noise", [0.02, 0.15, 0.4])
def test_the_material_part_of_a_fabric_has_no_negative_curvature(
    case: Case, fabric: tuple[Stiffness, float, float], noise: float
) -> None:
    """Crumpled as it may be, floats and table included: every term is positive, so is their sum."""
    stiffness, width, height = fabric
    mesh = mesh_of(TIGHT_ROWS, case, -0.1, width=width, height=height)
    energy = whole(mesh, stiffness)
    q = shaken(energy, np.random.default_rng(11), noise * width)
    eigenvalues = np.linalg.eigvalsh(material(energy, q))
    assert eigenvalues[0] >= -1e-13 * eigenvalues[-1]  # round-off of a symmetric eigenvalue solver
    if noise > 0.1:  # so that it is no matter of course
        exact = energy.pattern.fill(energy.hessian(q)[2]).toarray()
        assert np.linalg.eigvalsh(exact)[0] < -1e-3 * eigenvalues[-1]


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_at_rest_the_material_part_leaves_nothing_out(case: Case) -> None:
    """Without strain or moment there is no force to leave out, and the whole Hessian is left; but for the coupling,
    whose modulus stands where other terms have their force: it is out by its own Hessian, no more."""
    mesh = mesh_of(TIGHT_ROWS, case)
    terms = fabric_terms(mesh, WORSTED, "test")
    energy, coupling = (assemble([t for t in terms if t.name in names], start_of(mesh)) for names in split(terms))
    q = energy.free(energy.start)
    exact, coupled = (e.pattern.fill(e.hessian(q)[2]).toarray() for e in (energy, coupling))
    assert np.abs(exact - material(energy, q)).max() < 1e-12 * np.abs(exact).max()  # round-off of the strains
    whole_energy = assemble(terms, start_of(mesh))
    whole_exact = whole_energy.pattern.fill(whole_energy.hessian(q)[2]).toarray()
    assert np.abs(coupled).max() > 0.01 * np.abs(exact).max()
    left_out = whole_exact - material(whole_energy, q)
    assert np.abs(left_out - coupled).max() < 1e-12 * np.abs(exact).max()


def split(terms: list[Term]) -> tuple[set[str], set[str]]:
    """Return the names of all terms but the coupling, and that one's."""
    return {t.name for t in terms} - {"coupling"}, {"coupling"}


@every_mesh
def test_in_the_end_the_exact_hessian_differs_by_forces_only(mesh: Mesh) -> None:
    """The two parts come from one pattern and one state: their difference vanishes with the forces, in proportion."""
    rng = np.random.default_rng(3)
    energy = assemble([t for t in fabric_terms(mesh, WORSTED, "test") if t.name != "coupling"], start_of(mesh))
    rest_f = energy.free(energy.start)
    away_f = shaken(energy, rng, NOISE) - rest_f
    apart = [
        np.abs(energy.hessian(q)[2] - energy.material(q)).max() / largest(energy.gradient(q)[1])
        for q in (rest_f + t * away_f for t in (1e-3, 1e-4))
    ]
    assert apart[0] == pytest.approx(apart[1], rel=0.05)  # the next order: a share of the thousandth, times noise/width


def test_another_law_on_the_same_pattern() -> None:
    mesh = MESHES["repeat"]
    energy = fabric_energy(mesh, WORSTED, "test")
    law = energy.term(FLOAT).law
    assert isinstance(law, Taut)
    softer = energy.with_law(FLOAT, replace(law, stiffness=0.5 * np.asarray(law.stiffness)))
    q = shaken(energy, np.random.default_rng(0), NOISE)
    without = assemble([t for t in energy.terms if t.name != FLOAT], energy.start, held_unknowns(mesh))
    assert softer.pattern is energy.pattern
    # Halving the stiffness halves the floats' share of the energy (1e-11: round-off of the differences).
    floats, soft_floats = energy.value(q) - without.value(q), softer.value(q) - without.value(q)
    assert floats == pytest.approx(2.0 * soft_floats, rel=1e-11)
    assert floats > 0.0
    with pytest.raises(KeyError):
        energy.term("pompon")


def test_terms_at_rest_cost_nothing_and_edges_count_half() -> None:
    """Half along a free edge: the course bars of r rows add up to r - 1 rows of whole ones."""
    for mesh in MESHES.values():
        terms = {t.name: t for t in fabric_terms(mesh, WORSTED, "test")}
        for term in terms.values():
            # Nothing to the last digit: round-off of a bar is 15 N/m x 5e-3 m x 2e-16 = 1.5e-17 N.
            span_bmc = term.spans(mesh.rest_nc, mesh.period_a)
            force_bq = term.gradient(span_bmc)[1]
            assert np.abs(force_bq).max(initial=0.0) < 1e-15, term.name
            assert abs(term.energy(span_bmc)) < 1e-30, term.name
    mesh = MESHES["swatch"]
    rows, stitches = mesh.rows, mesh.stitches
    terms = {t.name: t for t in fabric_terms(mesh, WORSTED, "test")}
    course, wale = terms["course"].law.stiffness, terms["wale"].law.stiffness  # type: ignore[attr-defined]
    assert course.sum() == pytest.approx(course.max() * (rows - 1) * (stitches - 1), rel=1e-14)
    assert wale.sum() == pytest.approx(wale.max() * (rows - 1) * (stitches - 1), rel=1e-14)
    bends = {"bend across": (rows - 1) * (stitches - 2), "bend up": (rows - 2) * (stitches - 1)}
    for name, lines in bends.items():
        law = terms[name].law
        assert isinstance(law, Elastic)
        stiffness = np.asarray(law.stiffness)
        assert stiffness.sum() == pytest.approx(stiffness.max() * lines, rel=1e-14)


@every_mesh
def test_what_is_held_stops_every_rigid_motion_and_no_more(mesh: Mesh) -> None:
    """Statically determinate: as many held unknowns as free rigid motions, and these seen by those."""
    x_nc = start_of(mesh).x_nc
    slides = [np.broadcast_to(e, x_nc.shape) for e in np.eye(3)]
    turns = [np.cross(e, x_nc - x_nc.mean(axis=0)) / WIDTH for e in np.eye(3)]
    motions = {"repeat": slides, "swatch": [*slides[:2], turns[2]], "round": [*slides, *turns]}[mesh.case]
    held = held_unknowns(mesh)
    seen = np.array([m.ravel()[held] for m in motions])
    assert seen.shape == (len(motions), len(motions))
    assert np.linalg.cond(seen) < 1e3  # stitches of a tube of twelve are four stitch widths apart
