"""How wide rounds open, against what is plain to see, and which of them doesn't pass."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from fabricsim.design.sizes.going_on import BEYOND_SLACK, PLAIN_MOST
from fabricsim.fabric.form import shapes
from fabricsim.fabric.form.passing import opens, way_on
from tests.support.meshes import WIDTH, mesh_of
from tests.support.scenes import fabric_of
from tests.support.shapes import crown_rows, mesh_of_rows
from tests.support.tubes import level_tube


def test_plain_rounds_open_as_far_as_plain_fabric_stretches() -> None:
    np.testing.assert_allclose(opens(mesh_of(("." * 12,) * 4, "round")), (1.0 + PLAIN_MOST) * 12 * WIDTH, rtol=1e-9)


@pytest.mark.parametrize(("gap", "slack"), [(1, -0.05), (3, 0.1), (2, 0.3), (2, 0.9)])
def test_floats_all_round_open_as_far_as_their_yarn(gap: int, slack: float) -> None:
    """Every step lies under as many floats as each bridges: the sum over all is that of their yarn (derived)."""
    least = min((1.0 + slack) * (1.0 + BEYOND_SLACK), 1.0 + PLAIN_MOST)
    np.testing.assert_allclose(opens(level_tube(3, 24, gap, slack)), least * 24 * WIDTH, rtol=1e-6)


def test_one_float_holds_what_it_bridges_and_no_more() -> None:
    mesh = mesh_of(("............", "#....#......"), "round", slack=-0.1)
    lone = replace(mesh.floats, **{n: a[:1] for n, a in vars(mesh.floats).items()})
    mesh = replace(mesh, floats=lone)
    row, steps = int(mesh.row_n[lone.node_f2[0, 0]]), int(lone.gap_f[0]) + 1
    held = steps * WIDTH * 0.9 * (1.0 + BEYOND_SLACK)
    expected = held + (12 - steps) * WIDTH * (1.0 + PLAIN_MOST)
    found_i = opens(mesh)
    assert found_i[row] == pytest.approx(expected, rel=1e-6)
    assert found_i[1 - row] == pytest.approx(12 * WIDTH * (1.0 + PLAIN_MOST), rel=1e-9)


def test_of_floats_that_lie_anyhow_no_way_is_wider() -> None:
    """Against the same rule written down anew, float by float, in a dense table."""
    rng = np.random.default_rng(5)
    rows = tuple("".join(rng.choice(list("..#"), 18)) for _ in range(3))
    mesh = mesh_of(rows, "round", slack=[0.05, -0.08])
    table = mesh.floats
    for row, found in enumerate(opens(mesh)):
        under, most = [], []
        for (left, _), gap, yarn in zip(table.node_f2, table.gap_f, table.length_f, strict=True):
            if left // 18 != row:
                continue
            under.append([sum((left + k) % 18 == column for k in range(gap + 1)) for column in range(18)])
            most.append(1.05 * yarn)
        limits = [LinearConstraint(np.array(under), ub=np.array(most))] if under else []
        best = milp(-np.ones(18), constraints=limits, bounds=Bounds(0.0, 1.5 * WIDTH))
        assert found == pytest.approx(-best.fun, rel=1e-7)


def test_the_round_that_does_not_pass_is_named() -> None:
    """A tube whose floats let it open by a twentieth less than a head is round: nothing passes, the rim first."""
    mesh = level_tube(6, 60, 2, -0.05)
    opens_to = 60 * WIDTH * 0.95 * 1.05
    laid_nc = mesh.rest_nc - [0.0, 0.01, 0.0]
    tight = way_on(mesh, shapes.head(opens_to * 1.05), laid_nc)
    assert not tight.goes_on
    assert tight.tightest == tight.first == 0
    wide = way_on(mesh, shapes.head(opens_to * 0.95 - np.pi * mesh.thickness), laid_nc)
    assert wide.goes_on
    sleeve = way_on(mesh, shapes.arm(opens_to * 0.9, 1.2 * opens_to), mesh.rest_nc)
    assert (sleeve.goes_on, sleeve.first, sleeve.tightest) == (False, 5, 5)


def test_a_drawn_up_top_need_pass_nothing() -> None:
    mesh = fabric_of(mesh_of_rows(crown_rows(6, 8, 2, below=4))).mesh
    way = way_on(mesh, shapes.head(0.3), mesh.rest_nc)
    assert way.needed_i[-1] == 0.0
    assert (way.needed_i[:-1] >= np.pi * mesh.thickness).all()
