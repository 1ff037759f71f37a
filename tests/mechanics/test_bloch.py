"""Waves longer than a cell: blocks of an endless sheet against the Hessian of its tiles, and against closed forms."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from fabricsim.arrays import Floats
from fabricsim.fabric.build import cloth_terms, start_of
from fabricsim.fabric.cell import copied
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import relax
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import without_floats
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.bloch import Blocks, blocks_of, grows, softest_wave
from fabricsim.mechanics.energies.height import Height
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.terms import Term
from tests.support.meshes import WORSTED
from tests.support.scenes import scene_of

ROWS = ["..###.", "......", ".#...#"]


@cache
def tight() -> Equilibrium:
    """A cell of 6 x 3 stitches at rest under short floats, some of which lie on its back."""
    return relax(scene_of(ROWS, -0.12), "repeat")


def hessian(energy: Energy, state: State) -> Floats:
    """Return the assembled Hessian of all stitches, none held but the sizes of the cell."""
    free = assemble(energy.terms, state, range(state.x_nc.size, state.x_nc.size + 2))
    return np.asarray(free.pattern.fill(free.hessian(free.free(state))[2]).toarray())


def tiled(rest: Equilibrium, across: int, up: int) -> tuple[Energy, State]:
    """Return the terms of a tile, each element as often as there are cells, and its cell's rest all over it."""
    fabric = rest.contact.fabric
    cell, tile = fabric.mesh, copied(fabric, up * fabric.mesh.rows, across * fabric.mesh.stitches)
    lift_n, row_n = divmod(tile.mesh.row_n, cell.rows)
    turn_n, column_n = divmod(tile.mesh.column_n, cell.stitches)
    assert rest.period_a is not None
    x_nc = rest.x_nc[row_n * cell.stitches + column_n]
    x_nc[:, :2] += np.stack([turn_n, lift_n], axis=1) * rest.period_a
    state = State(x_nc, rest.period_a * [across, up])
    terms = [_copies(term, cell, tile.mesh) for term in rest.contact.energy.terms]
    return assemble(terms, state), state


def _copies(term: Term, cell: Mesh, tile: Mesh) -> Term:
    """Return a term of a cell on every cell of a tile, by counting rows and stitches."""
    row_bp, column_bp = divmod(term.node_bp, cell.stitches)
    shift_bpa = np.zeros((*term.node_bp.shape, 2), dtype=np.intp) if term.shift_bpa is None else term.shift_bpa
    nodes, shifts = [], []
    for up in range(tile.rows // cell.rows):
        for across in range(tile.stitches // cell.stitches):
            lift, row = divmod(row_bp + (shift_bpa[..., 1] + up) * cell.rows, tile.rows)
            turn, column = divmod(column_bp + (shift_bpa[..., 0] + across) * cell.stitches, tile.stitches)
            nodes.append(row * tile.stitches + column)
            shifts.append(np.stack([turn, lift], axis=-1))
    copies = len(nodes)
    law = type(term.law)(**{k: np.tile(v, copies) if np.ndim(v) else v for k, v in vars(term.law).items()})
    return Term(term.name, term.geometry, law, np.concatenate(nodes), np.concatenate(shifts))


@pytest.mark.parametrize(("across", "up"), [(3, 2), (4, 1), (1, 5)])
def test_the_waves_that_fit_a_tile_are_all_that_its_own_hessian_knows(across: int, up: int) -> None:
    """Bloch's theorem: exact linear algebra, so to round-off. The tile's Hessian goes by another way: the one pattern
    that the solver fills, with shifts as periods."""
    rest = tight()
    assert rest.contact.wrapped_f.any()  # what lies on the back takes part
    blocks = blocks_of(rest.contact.energy, rest.state)
    by_wave = [
        np.linalg.eigvalsh(blocks.at(np.array([i / across, j / up])).toarray())
        for i in range(across)
        for j in range(up)
    ]
    whole = np.linalg.eigvalsh(hessian(*tiled(rest, across, up)))
    np.testing.assert_allclose(np.sort(np.concatenate(by_wave)), whole, rtol=0, atol=1e-9 * whole.max())


def test_blocks_of_a_tile_are_its_hessian() -> None:
    """Copy by copy where the mesh goes row by row, so the same numbers in another order."""
    rest = tight()
    blocks = blocks_of(rest.contact.energy, rest.state).tiled(3, 2)
    whole = np.linalg.eigvalsh(hessian(*tiled(rest, 3, 2)))
    np.testing.assert_allclose(np.linalg.eigvalsh(blocks.at(np.zeros(2)).toarray()), whole, atol=1e-9 * whole.max())
    once = blocks_of(rest.contact.energy, rest.state)
    half = np.linalg.eigvalsh(blocks.at(np.array([0.5, 0.0])).toarray())
    sixths = [np.linalg.eigvalsh(once.at(np.array([(0.5 + i) / 3, j / 2])).toarray()) for i in range(3) for j in (0, 1)]
    np.testing.assert_allclose(np.sort(np.concatenate(sixths)), half, atol=1e-9 * whole.max())


@pytest.mark.parametrize(("shift", "columns", "shifts"), [
    ((1, 0), [1, 2, 0, 4, 5, 3], [[0, 0], [0, 0], [1, 0]] * 2),
    ((-2, 1), [4, 5, 3, 1, 2, 0], [[-1, 0], [-1, 0], [0, 0], [-1, 1], [-1, 1], [0, 1]]),
    ((4, -1), [4, 5, 3, 1, 2, 0], [[1, -1], [1, -1], [2, -1], [1, 0], [1, 0], [2, 0]]),
])  # fmt: skip
def test_what_lies_some_cells_away_lies_in_its_own_copy_of_a_tile(
    shift: tuple[int, int], columns: list[int], shifts: list[list[int]]
) -> None:
    """Of three cells across and two up, the one that is so many cells to the right and above each."""
    one = Blocks(np.array([2]), np.array([5]), np.array([shift]), np.array([7.0]), 6)
    tile = one.tiled(3, 2)
    assert tile.row_k.tolist() == [2, 8, 14, 20, 26, 32]
    assert tile.column_k.tolist() == [6 * cell + 5 for cell in columns]
    assert tile.shift_k2.tolist() == shifts
    assert tile.value_k.tolist() == [7.0] * 6
    assert tile.size == 36


def test_a_wave_runs_the_way_it_says() -> None:
    """The tile's Hessian on the wave, cell by cell, is what the cell's matrix makes of its mode."""
    rest = tight()
    turn_a = np.array([1 / 3, -1 / 4])  # slanting: the other slant is another wave
    blocks = blocks_of(rest.contact.energy, rest.state)
    rng = np.random.default_rng(1)
    mode_k = rng.standard_normal(blocks.size) + 1j * rng.standard_normal(blocks.size)
    energy, state = tiled(rest, 3, 4)
    mesh = rest.mesh
    row_n, column_n = divmod(np.arange(len(state.x_nc)), 3 * mesh.stitches)
    (lift_n, row_n), (turn_n, column_n) = divmod(row_n, mesh.rows), divmod(column_n, mesh.stitches)
    cell_n = row_n * mesh.stitches + column_n
    phase_n = np.exp(2j * np.pi * (turn_n * turn_a[0] + lift_n * turn_a[1]))

    def on_tile(vector_k: np.ndarray) -> Floats:
        return np.asarray(np.real(phase_n[:, None] * vector_k.reshape(-1, 3)[cell_n])).ravel()

    found, wanted = hessian(energy, state) @ on_tile(mode_k), on_tile(blocks.at(turn_a) @ mode_k)
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-9 * np.abs(wanted).max())


def test_matrices_of_waves_are_hermitian_and_a_wave_is_the_same_run_backwards() -> None:
    blocks = blocks_of(tight().contact.energy, tight().state)
    turn_a = np.array([0.3, -0.2])
    one, other = blocks.at(turn_a).toarray(), blocks.at(-turn_a).toarray()
    scale = np.abs(one).max()
    np.testing.assert_allclose(one, one.conj().T, rtol=0, atol=1e-12 * scale)
    np.testing.assert_allclose(other, one.conj(), rtol=0, atol=1e-12 * scale)
    # Against its neighbours, or with them, a cell has no other phase to be in, which spares half the work.
    real = [np.isrealobj(blocks.at(np.array(turn)).data) for turn in ((0.5, 0.0), (-0.5, 1.0), (0.5, 0.25))]
    assert real == [True, True, False]


def test_iterating_finds_the_same_as_solving_all_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    rest = tight()
    blocks = blocks_of(rest.contact.energy, rest.state)
    plain = plain_sheet(rest.contact.fabric)
    others = blocks_of(plain, plain.start).tiled(6, 3)
    for turn in ((0.25, 0.0), (0.5, 0.5), (0.2, -0.4)):
        dense = softest_wave(blocks, others, np.array(turn))
        with monkeypatch.context() as patch:
            patch.setattr("fabricsim.mechanics.bloch.DENSE", 0)
            found = softest_wave(blocks, others, np.array(turn))
            deep = softest_wave(less(blocks, 7.0, others), others, np.array(turn))  # from above it at first
        assert found.softness == pytest.approx(dense.softness, rel=1e-8)
        # Less by a hair more than its softness a wave grows, less by a hair less it doesn't.
        hair = [grows(less(blocks, dense.softness + by, others), np.array(turn)) for by in (1e-6, -1e-6)]
        assert hair == [True, False]
        assert deep.softness == pytest.approx(dense.softness - 7.0, rel=1e-8)
        unit = np.linalg.norm(dense.mode_nc) * np.linalg.norm(found.mode_nc)
        assert abs(np.vdot(dense.mode_nc, found.mode_nc)) == pytest.approx(unit, rel=1e-6)
        one, other = blocks.at(dense.turn_a), others.at(dense.turn_a)
        left = one @ dense.mode_nc.ravel() - dense.softness * (other @ dense.mode_nc.ravel())
        assert np.abs(left).max() <= 1e-9 * np.abs(one @ dense.mode_nc.ravel()).max()


def less(blocks: Blocks, by: float, others: Blocks) -> Blocks:
    """Return ``blocks`` less ``by`` times others."""
    joined = (np.concatenate([getattr(one, name) for one in (blocks, others)]) for name in ("row_k", "column_k"))
    shift_k2 = np.concatenate([blocks.shift_k2, others.shift_k2])
    return Blocks(*joined, shift_k2, np.concatenate([blocks.value_k, -by * others.value_k]), blocks.size)


# Closed forms, on a sheet of one stitch that is copied without end.


def plain_sheet(fabric: Fabric) -> Energy:
    one = without_floats(fabric)
    return assemble(cloth_terms(one.mesh, one.stiffness, one.where), start_of(one.mesh))


def sheet(shorter: float = 0.0, ground: float = 0.0) -> tuple[Blocks, float]:
    """Return the blocks of a plain sheet of worsted held shorter by a share across, the other way as it is, on elastic
    ground (N/m3); and the force that presses on it, N per m of height."""
    fabric = set_up(scene_of(["...", "..."], 0.0), "repeat")
    one = without_floats(fabric).mesh
    w, c = one.stitch_width, one.row_height
    terms = cloth_terms(one, WORSTED, "test")
    if ground:
        terms.append(Term("ground", Height(), Elastic(ground * w * c), np.zeros((1, 1), dtype=np.intp)))
    assert one.period_a is not None
    state = State(one.rest_nc, one.period_a * [1.0 - shorter, 1.0])
    energy = assemble(terms, state)
    return blocks_of(energy, state), -float(energy.forces(energy.free(state))[3]) / c


def bowed(blocks: Blocks, turn: float) -> float:
    """Return the stiffness of a stitch to a wave across that moves out of the plane alone, N/m."""
    matrix = blocks.at(np.array([turn, 0.0])).toarray()
    assert np.abs(matrix[:2, 2]).max() <= 1e-12 * np.abs(matrix).max()  # flat: in and out of the plane keep apart
    return float(matrix[2, 2].real)


def test_a_plain_sheet_is_as_stiff_to_a_wave_as_its_bending_says() -> None:
    """D q^4 of a plate in cylindrical bending, q of a row of stitches: 2 sin(k w / 2) / w (derived, exact)."""
    blocks, force = sheet()
    fabric = set_up(scene_of(["...", "..."], 0.0), "repeat").mesh
    w, c = fabric.stitch_width, fabric.row_height
    assert force == pytest.approx(0.0, abs=1e-12)
    for turn in (0.5, 0.25, 0.1, 0.01):
        q = 2.0 * np.sin(np.pi * turn) / w
        assert bowed(blocks, turn) == pytest.approx(WORSTED.bend_across * q**4 * w * c, rel=1e-8)
        assert softest_wave(blocks, blocks, np.array([turn, 0.0])).softness == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("stitches", [16, 32])
def test_a_sheet_buckles_under_the_euler_load(stitches: int) -> None:
    """pi^2 D / L^2 for a half wave of length L (Euler; Timoshenko and Gere, Theory of Elastic Stability, 2.1, memory).

    The shortening at which the wave of so many stitches loses its stiffness, times the sheet's own force there; what is
    left is of the square of stitch over wave, and of the shortening itself, by which the wave is shorter.
    """
    w = set_up(scene_of(["...", "..."], 0.0), "repeat").mesh.stitch_width

    def left(shorter: float) -> float:
        return bowed(sheet(shorter)[0], 1.0 / stitches)

    low, high = 0.0, 0.05
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if left(middle) > 0.0 else (low, middle)
    euler = np.pi**2 * WORSTED.bend_across / (0.5 * stitches * w) ** 2
    assert sheet(low)[1] == pytest.approx(euler, rel=(np.pi / stitches) ** 2 + 4.0 * low)


def test_a_sheet_on_elastic_ground_chooses_its_wave() -> None:
    """N = 2 sqrt(ground D) in waves of 2 pi (D / ground)^(1/4): a beam on an elastic foundation, endlessly long
    (Timoshenko and Gere, Theory of Elastic Stability, 2.10, memory).

    The ground is chosen for a wave of 20 stitches. Of a row of stitches 2 sin(k w / 2) / w stands for k: exact for the
    force where nothing is shortened; by so much as it is, the rest differs.
    """
    w = set_up(scene_of(["...", "..."], 0.0), "repeat").mesh.stitch_width
    wanted = 1.0 / 20.0
    q = 2.0 * np.sin(np.pi * wanted) / w
    ground = WORSTED.bend_across * q**4

    def least(shorter: float) -> tuple[float, float]:
        blocks, _ = sheet(shorter, ground)
        found = minimize_scalar(lambda turn: bowed(blocks, turn), bounds=(0.005, 0.2), method="bounded")
        return float(found.fun), float(found.x)

    low, high = 0.0, 0.2
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if least(middle)[0] > 0.0 else (low, middle)
    assert low < 0.05
    assert sheet(low, ground)[1] == pytest.approx(2.0 * np.sqrt(ground * WORSTED.bend_across), rel=4.0 * low)
    assert least(low)[1] == pytest.approx(wanted, rel=2.0 * low)
