"""A caught float is two floats: each ties its own stitches and pulls for itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.mesh import FloatTable
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from tests.support.meshes import WIDTH
from tests.support.scenes import scene_of

LOPSIDED = (
    "............",
    "#..........#",
    "#..#..#....#",
    "............",
)
"""Row 2 from the bottom has short floats behind its left half only, so that its neighbour is drawn in there."""

SLACK: dict[Case, float] = {"repeat": -0.08, "swatch": -0.08, "round": -0.2}
"""Inside a tube floats are chords and pull late."""
ROW, FIRST, CATCH, LAST = 2, 0, 4, 11
"""The float caught: in row 3 from stitch 12, counted from the right, to stitch 1, behind ten, at stitch 8."""


def fabrics(case: Case) -> tuple[Fabric, Fabric]:
    """Return the fabric with nothing caught and with the long float caught."""
    worked = "flat" if case == "swatch" else "round"
    chart = {"across": {"repeat": 1, "swatch": 1, "round": 3}[case]}
    none, listed = (
        set_up(scene_of(LOPSIDED, SLACK[case], worked=worked, chart=chart, floats={"catches": catches}), case)
        for catches in ([], [{"row": ROW + 1, "stitch": 12 - CATCH}])
    )
    return none, listed


def by_hand(table: FloatTable, node: int) -> FloatTable:
    """Return the table with every float that passes stitch ``node`` of a row cut in two there, each with its share."""
    order = {name: list(getattr(table, name)) for name in FloatTable.__dataclass_fields__}
    for f in range(len(table) - 1, -1, -1):
        left, right = (int(n) for n in table.node_f2[f])
        if not (left < node < right == left + int(table.gap_f[f]) + 1):
            continue
        share = (node - left) / (right - left)
        for name, values in order.items():
            values.insert(f + 1, values[f])
            if name in ("span_f", "length_f"):
                values[f], values[f + 1] = share * values[f], (1.0 - share) * values[f + 1]
        order["gap_f"][f], order["gap_f"][f + 1] = node - left - 1, right - node - 1
        order["node_f2"][f], order["node_f2"][f + 1] = np.array([left, node]), np.array([node, right])
    return FloatTable(**{name: np.array(values) for name, values in order.items()})


def pieces(fabric: Fabric) -> dict[tuple[int, int], int]:
    """Return the number of the float between any two stitches, left and right."""
    return {(int(left), int(right)): f for f, (left, right) in enumerate(fabric.mesh.floats.node_f2)}


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_catch_makes_two_floats_each_with_its_share(case: Case) -> None:
    open_, caught = fabrics(case)
    row = ROW * caught.mesh.stitches
    whole = pieces(open_)[row + FIRST, row + LAST]
    left, right = pieces(caught)[row + FIRST, row + CATCH], pieces(caught)[row + CATCH, row + LAST]
    assert (row + FIRST, row + LAST) not in pieces(caught)
    table = caught.mesh.floats
    assert table.gap_f[[left, right]].tolist() == [CATCH - FIRST - 1, LAST - CATCH - 1]
    np.testing.assert_allclose(table.span_f[[left, right]], [4 * WIDTH, 7 * WIDTH], rtol=1e-14)
    assert table.slack_f[[left, right]].tolist() == [SLACK[case]] * 2
    assert table.length_f[[left, right]].sum() == pytest.approx(open_.mesh.floats.length_f[whole], rel=1e-14)


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_catch_holds(case: Case) -> None:
    """At rest as with the same two floats put in by hand, and not as with none caught. The piece beside the short
    floats pulls otherwise than the piece beside none: the catch takes the difference and the yarn doesn't slide."""
    open_, caught = fabrics(case)
    table = open_.mesh.floats
    for column in range(CATCH, open_.mesh.stitches, 12):
        table = by_hand(table, ROW * open_.mesh.stitches + column)
    assert len(table) == len(caught.mesh.floats) > len(open_.mesh.floats)
    rest = come_to_rest(caught)
    hand = come_to_rest(replace(open_, mesh=replace(open_.mesh, floats=table), stiffness=caught.stiffness))
    # Both are at rest to 1e-9 of the force that doubles a stitch's width; soft modes move by a thousand times that.
    np.testing.assert_allclose(hand.x_nc, rest.x_nc, atol=1e-6 * WIDTH)
    np.testing.assert_allclose(np.sort(hand.tension_f), np.sort(rest.tension_f), atol=1e-6 * rest.tension_f.max())
    row = ROW * caught.mesh.stitches
    left, right = (float(rest.tension_f[pieces(caught)[row + a, row + b]]) for a, b in ((FIRST, CATCH), (CATCH, LAST)))
    assert min(left, right) > 0.0
    assert abs(left - right) > 0.05 * max(left, right)
    uncaught = come_to_rest(open_)
    assert np.abs(uncaught.x_nc - rest.x_nc).max() > 0.003 * WIDTH  # it makes a difference
