"""The lattice of bars, diagonals and couplings has the plane moduli that it was built from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.errors import InputError
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.build import fabric_terms, start_of
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.stiffness import Stiffness, default_stiffness, plane_moduli
from fabricsim.mechanics.assemble import State, assemble
from tests.support.meshes import HEIGHT, WIDTH, WORSTED, mesh_of, rest
from tests.support.pulls import pulls

PLAIN = ("......",) * 4
FABRICS: dict[str, tuple[Stiffness, float, float]] = {
    "worsted": (WORSTED, WIDTH, HEIGHT),
    "fingering": (default_stiffness(30.0, 40.0, 240.0), 0.1 / 30.0, 0.1 / 40.0),
    "isotropic": (replace(WORSTED, stretch_up=15.0, poisson_across=0.3, shear=15.0 / 2.6), WIDTH, WIDTH),
    "no Poisson": (replace(WORSTED, poisson_across=0.0), WIDTH, HEIGHT),
}
every_fabric = pytest.mark.parametrize(("stiffness", "width", "height"), FABRICS.values(), ids=list(FABRICS))
INPUT = {"worsted": (15.0, 30.0, 6.0, 0.35), "isotropic": (15.0, 15.0, 15.0 / 2.6, 0.3)}


def plain(stiffness: Stiffness, width: float, height: float, case: str = "repeat") -> Mesh:
    return mesh_of(PLAIN, case, width=width, height=height, thickness=stiffness.thickness)  # type: ignore[arg-type]


@every_fabric
def test_moduli_of_a_swatch_under_uniform_strain(stiffness: Stiffness, width: float, height: float) -> None:
    """C = v' H v / area for displacements v of unit strain: exact, edges counting half (so the area is the
    cells')."""
    mesh = plain(stiffness, width, height, "swatch")
    energy = assemble(fabric_terms(mesh, stiffness, "test"), start_of(mesh))
    q = energy.free(energy.start)
    hessian = energy.pattern.fill(energy.hessian(q)[2])
    x, y, zero = mesh.rest_nc[:, 0], mesh.rest_nc[:, 1], np.zeros(len(mesh.rest_nc))
    strains = [np.column_stack(v).ravel() for v in ((x, zero, zero), (zero, y, zero), (0.5 * y, 0.5 * x, zero))]
    area = (mesh.stitches - 1) * (mesh.rows - 1) * width * height
    got = np.array([[a @ (hessian @ b) for b in strains] for a in strains]) / area
    c11, c22, c12 = plane_moduli(stiffness)
    want = np.array([[c11, c12, 0.0], [c12, c22, 0.0], [0.0, 0.0, stiffness.shear]])
    np.testing.assert_allclose(got, want, rtol=0, atol=1e-12 * c22)  # round-off of sums
    e_x, e_y, nu = stiffness.stretch_across, stiffness.stretch_up, stiffness.poisson_across
    # The textbook inverse: compliance 1/E_x, 1/E_y, -nu_xy/E_x, 1/G.
    compliance = np.array([[1.0 / e_x, -nu / e_x, 0.0], [-nu / e_x, 1.0 / e_y, 0.0], [0, 0, 1.0 / stiffness.shear]])
    np.testing.assert_allclose(np.linalg.inv(want), compliance, rtol=1e-12, atol=1e-15)
    rotated = np.column_stack([-y, x, zero]).ravel()
    assert abs(rotated @ (hessian @ rotated)) < 1e-12 * c22 * area


@every_fabric
def test_pulling_a_periodic_cell(stiffness: Stiffness, width: float, height: float) -> None:
    """Uniaxial stretch of a cell with the other period free: E and nu, and the contraction across it."""
    mesh = plain(stiffness, width, height)
    assert mesh.period_a is not None
    nodes = mesh.rest_nc.size
    e_x, e_y, nu = stiffness.stretch_across, stiffness.stretch_up, stiffness.poisson_across
    area = float(np.prod(mesh.period_a))
    for along, modulus, contraction in ((0, e_x, nu), (1, e_y, nu * e_y / e_x)):
        other, got = 1 - along, []
        for strain in (1e-4, -1e-4):
            period_a = mesh.period_a.copy()
            period_a[along] *= 1.0 + strain
            start = State(mesh.rest_nc, period_a)
            energy = assemble(fabric_terms(mesh, stiffness, "test"), start, [0, 1, 2, nodes + along])
            # Flat it must stay: out of plane a squeezed cell is free to buckle, so start and stay in the
            # plane.
            # less is not reached where the two Poisson ratios make nearly 1 together
            found = rest(energy, tolerance=3e-11)
            state = energy.state(found.q_f)
            free = assemble(energy.terms, state)
            pull = free.gradient(free.free(state))[1][nodes + along] / (area / mesh.period_a[along])
            assert state.period_a is not None
            sideways = state.period_a[other] / mesh.period_a[other] - 1.0
            got.append((pull / strain, -sideways / strain, np.abs(state.x_nc[:, 2]).max()))
        # Means of a pull and a push: what is left is of the second order in strain, 1e-8, times the geometry.
        assert np.mean([g[0] for g in got]) == pytest.approx(modulus, rel=1e-6)
        assert np.mean([g[1] for g in got]) == pytest.approx(contraction, rel=1e-6, abs=1e-7)  # of the force left
        assert got[0][2] == got[1][2] == 0.0


@pytest.mark.parametrize("name", list(INPUT))
def test_the_fabrics_above_are_those_by_name(name: str) -> None:
    stiffness = FABRICS[name][0]
    got = (stiffness.stretch_across, stiffness.stretch_up, stiffness.shear, stiffness.poisson_across)
    assert got == pytest.approx(INPUT[name], rel=1e-12)


@every_fabric
def test_bars_of_inverts_the_formulas(stiffness: Stiffness, width: float, height: float) -> None:
    """C11 = k_x w/c + 2 k_d w^3/(c (w^2 + c^2))."""
    w, c, bars = width, height, bars_of(stiffness, width, height, "test")
    diagonal = 2.0 * bars.diagonal / (w * w + c * c)
    c11, c22, c12 = plane_moduli(stiffness)
    assert bars.course * w / c + diagonal * w**3 / c == pytest.approx(c11, rel=1e-12)
    assert bars.wale * c / w + diagonal * c**3 / w == pytest.approx(c22, rel=1e-12)
    assert diagonal * w * c == pytest.approx(stiffness.shear, rel=1e-12)
    assert bars.coupling + stiffness.shear == pytest.approx(c12, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"poisson_across": 0.75}, "fabric.poisson_across"),
        ({"stretch_up": 130.0}, "fabric.poisson_across"),
        ({"shear": 12.0}, "fabric.shear_N_per_m"),
        ({"shear": 9.0, "poisson_across": 0.0}, "fabric.shear_N_per_m"),
    ],
)
def test_what_is_not_positive_definite_is_refused_by_its_key(change: dict[str, float], key: str) -> None:
    stiffness = replace(WORSTED, **change)
    with pytest.raises(InputError) as caught:
        bars_of(stiffness, WIDTH, HEIGHT, "hat.toml")
    assert caught.value.where == f"hat.toml: {key}"
    assert "\n" not in str(caught.value)
    for value in change.values():
        assert f"{value:g}" in caught.value.given


def test_the_refusal_begins_where_the_lattice_loses_its_hold() -> None:
    """Just inside the bounds that bars_of draws the flat fabric is stable; it refuses nothing that it need not.

    Poisson's bound is exact, nu^2 < E_x/E_y. The bound on shear is where the first bar vanishes: diagonals carry what
    is left of the even strains, but what turns a cell into a trapeze is held by its bars alone.
    """
    nu = np.sqrt(0.5)
    soft = replace(WORSTED, shear=1.0)
    bars_of(replace(soft, poisson_across=nu * (1.0 - 1e-9)), WIDTH, HEIGHT, "test")
    with pytest.raises(InputError, match="poisson_across"):
        bars_of(replace(soft, poisson_across=nu * (1.0 + 1e-9)), WIDTH, HEIGHT, "test")
    low, high = 0.0, 50.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        try:
            bars_of(replace(WORSTED, shear=middle), WIDTH, HEIGHT, "test")
            low = middle
        except InputError:
            high = middle
    bars = bars_of(replace(WORSTED, shear=low), WIDTH, HEIGHT, "test")
    assert 0.0 < min(bars.course, bars.wale) < 1e-9 * max(bars.course, bars.wale)
    just_inside = replace(WORSTED, shear=0.99 * low)
    for case in ("swatch", "repeat"):
        mesh = plain(just_inside, WIDTH, HEIGHT, case)
        energy = assemble(fabric_terms(mesh, just_inside, "test"), start_of(mesh))
        lowest = np.linalg.eigvalsh(energy.pattern.fill(energy.hessian(energy.free(energy.start))[2]).toarray())
        assert lowest[0] > -1e-10 * lowest[-1]  # moved or turned as a whole it costs nothing


@every_fabric
def test_bending_and_twisting_rigidity_of_a_flat_swatch(stiffness: Stiffness, width: float, height: float) -> None:
    """Energy per area B_x/2 for z = x^2/2, B_y/2 for z = y^2/2, and B_t for z = x y, as in a plate.

    A plate without Poisson coupling has (B_x k_x^2 + B_y k_y^2 + 2 B_t k_xy^2)/2 (Timoshenko & Woinowsky-Krieger 1959,
    with nu = 0, memory). Bends sit at nodes, so the two edge columns (rows) have none, and those along an edge half.
    """
    mesh = plain(stiffness, width, height, "swatch")
    energy = assemble(fabric_terms(mesh, stiffness, "test"), start_of(mesh))
    hessian = energy.pattern.fill(energy.hessian(energy.free(energy.start))[2])
    x, y, zero = mesh.rest_nc[:, 0], mesh.rest_nc[:, 1], np.zeros(len(mesh.rest_nc))
    shapes = [np.column_stack([zero, zero, z]).ravel() for z in (0.5 * x * x, 0.5 * y * y, x * y)]
    got = np.array([[a @ (hessian @ b) for b in shapes] for a in shapes]) / (width * height)
    columns, rows = mesh.stitches - 1, mesh.rows - 1
    want = np.diag(
        [
            stiffness.bend_across * (columns - 1) * rows,
            stiffness.bend_up * columns * (rows - 1),
            2.0 * stiffness.twist * columns * rows,
        ]
    )
    np.testing.assert_allclose(got, want, rtol=0, atol=1e-11 * want.max())  # round-off of second differences


def test_which_way_a_curvature_is_positive() -> None:
    """Positive where the fabric bulges to the back: a bowl with its edges up, towards the face; across and up alike.

    On z = a (x^2 + y^2)/2 both are a, to the square of a slope of at most 0.03; on a tube with its face outside the
    curvature across is minus one over the radius.
    """
    a = 1.0
    mesh = plain(WORSTED, WIDTH, HEIGHT, "swatch")
    bowl_nc = mesh.rest_nc.copy()
    bowl_nc[:, 2] = 0.5 * a * ((mesh.rest_nc - mesh.rest_nc.mean(axis=0))[:, :2] ** 2).sum(axis=1)
    terms = {t.name: t for t in fabric_terms(mesh, WORSTED, "test")}
    for name in ("bend across", "bend up"):
        np.testing.assert_allclose(terms[name].measures(bowl_nc), a, rtol=2e-3)
    tube = mesh_of(("." * 60,) * 4, "round")
    across = next(t for t in fabric_terms(tube, WORSTED, "test") if t.name == "bend across")
    radius = 60 * WIDTH / (2.0 * np.pi)
    np.testing.assert_allclose(across.measures(tube.rest_nc), -1.0 / radius, rtol=2e-3)


def test_rest_curvature_across_and_up_curl_alike() -> None:
    """A curl is the curvature at which a bend is at rest, in both directions: the bowl above costs least there."""
    mesh = plain(WORSTED, WIDTH, HEIGHT, "swatch")
    curled = fabric_terms(mesh, replace(WORSTED, curl_across=3.0, curl_up=-2.0), "test")
    for name, curl in (("bend across", 3.0), ("bend up", -2.0)):
        term = next(t for t in curled if t.name == name)
        slope = term.law(np.full(len(term.node_bp), curl))[1]
        np.testing.assert_allclose(slope, 0.0, atol=1e-20)
        assert (pulls(term, State(mesh.rest_nc)) * curl < 0.0).all()
