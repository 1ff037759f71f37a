"""Floats round the corners of the needles: shorter, over the same stitches in every round, and a line comes of it."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.floats.corners import corners
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.corner_columns import corner_columns
from fabricsim.fabric.corner_line import corner_line, inside_out, turned_out
from fabricsim.fabric.measures import measure
from fabricsim.fabric.mesh import UP
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import at_corners, set_up
from fabricsim.fabric.whole import set_up_whole
from tests.support.scenes import scene_of

RINGS = ("..#...", ".#...#", "#..#..", "......")


def tube(needles: str | None, slack: float = 0.02, **floats: object) -> Scene:
    told = {} if needles is None else {"needles": needles}
    return scene_of(RINGS, slack, chart={"across": 8, "up": 3}, floats={**told, **floats})


@pytest.mark.parametrize("needles", ["double-pointed", "magic loop", "two circulars"])
def test_floats_round_a_corner_are_shorter_and_all_others_as_they_were(needles: str) -> None:
    plain, bent = set_up(tube(None)), set_up(tube(needles))
    short_f = at_corners(bent)
    ratio_f = bent.mesh.floats.length_f / plain.mesh.floats.length_f
    np.testing.assert_allclose(ratio_f, np.where(short_f, 0.9, 1.0), rtol=1e-12)
    assert 0 < short_f.sum() < len(short_f)
    # Over the same stitches in every round: each of them has a corner within it.
    table, at = bent.mesh.floats, corners(48, needles)  # type: ignore[arg-type]
    left_f = bent.mesh.column_n[table.node_f2[short_f, 0]]
    apart_fk = (np.array(at) - left_f[:, None]) % 48
    assert (((apart_fk >= 1) & (apart_fk <= table.gap_f[short_f, None] + 1)).any(axis=1)).all()
    assert not at_corners(plain).any()


def test_inside_out_or_no_tube_none_is() -> None:
    scene = tube("double-pointed")
    for fabric in (set_up(scene, inside_out=True), set_up(scene, "repeat"), set_up(scene, "swatch")):
        assert not at_corners(fabric).any()
    none = set_up(tube(None), inside_out=True).mesh.floats.length_f
    assert np.array_equal(set_up(scene, inside_out=True).mesh.floats.length_f, none)


def test_inside_out_the_same_hands_carry_the_same_floats() -> None:
    """All as slack as they were carried, none shorter, each longer by what lies outside: 2 pi t over the girth."""
    rest = come_to_rest(set_up(tube("magic loop", 0.3)).with_slack_shifted(0.05))
    other = inside_out(rest)
    plain = set_up(tube(None, 0.3), inside_out=True)
    carried_f = np.where(at_corners(rest.contact.fabric), 0.3 + 0.05 / 0.9, 0.35)
    np.testing.assert_allclose(other.mesh.floats.slack_f, carried_f, rtol=1e-12)
    np.testing.assert_allclose(
        other.mesh.floats.length_f, plain.mesh.floats.length_f * (1.0 + carried_f) / 1.3, rtol=1e-12
    )


def test_other_slacks_keep_the_corners() -> None:
    fabric = set_up(tube("magic loop", corner_shorter=0.2))
    short_f = at_corners(fabric)
    other = fabric.with_slack_of_yarns([0.1, 0.1])
    np.testing.assert_allclose(
        other.mesh.floats.length_f / other.mesh.floats.span_f, np.where(short_f, 0.88, 1.1), rtol=1e-12
    )


def test_a_line_of_narrower_stitches_climbs_the_tube_where_the_corners_were() -> None:
    """Slack all round, tight at the corners alone: what is narrower there is narrower than anywhere else."""
    rest = come_to_rest(set_up(tube("double-pointed")))
    line = corner_line(rest)
    assert line is not None
    assert line.taut > 0
    assert 0.002 < line.narrower < 0.1
    assert line.ridge > 1e-4  # tight inside, the tube bends there: a line of puckers, and four of them make it square
    assert line.rows == len(line.row_r) == 9  # three of the four rows of the chart, three times up
    # Inside out the same hands leave none.
    turned = turned_out(rest, line)
    assert abs(turned.narrower) < 0.2 * line.narrower
    assert turned.measures.widths.overall < 0.5 * measure(rest).widths.overall
    assert line.floats == at_corners(set_up(tube("double-pointed"))).sum()
    # The line is where the corners are, and not a quarter of the way on between two of them.
    mesh = rest.mesh
    right_n = mesh.neighbour_n4[:, 1]
    step_n = np.linalg.norm(rest.x_nc[right_n] - rest.x_nc, axis=1)
    step_n[right_n < 0] = mesh.stitch_width  # the end of the spiral
    of_column = np.bincount(mesh.column_n, step_n) / mesh.rows
    at = np.array(line.column_k)
    assert of_column[(at - 1) % 48].max() < of_column[(at + 5) % 48].min()


def test_loose_floats_leave_no_line_and_no_needles_none_at_all() -> None:
    loose = corner_line(come_to_rest(set_up(tube("double-pointed", 0.3))))
    assert loose is not None
    assert (loose.taut, loose.narrower) == (0, pytest.approx(0.0, abs=1e-9))
    assert corner_line(come_to_rest(set_up(tube(None, 0.3)))) is None


def sleeve() -> Scene:
    return scene_of(
        RINGS,
        0.02,
        item="sleeves",
        chart={"across": 8, "up": 5},
        floats={"needles": "double-pointed"},
        shaping={"increase_every": 3, "first_row": 3, "increases": 5},
        sizes={"rib_cm": 2.0},
    )


def test_in_shaped_rounds_a_corner_stays_over_the_same_stitches() -> None:
    """What stands on the two stitches beside it has it between them again, though the rounds grow from 48 to 58."""
    fabric = set_up_whole(sleeve()).fabric
    mesh, s = fabric.mesh, fabric.mesh.standing
    assert s is not None
    at_ik = corner_columns(mesh, "double-pointed")
    assert at_ik[0].tolist() == [0, 36, 24, 12]
    assert at_ik[-1].tolist() == [0, 41, 29, 17]  # five more on the first needle, five on the last
    places = zip(s.row_n.tolist(), s.column_n.tolist(), strict=True)
    node_ij = {place: n for n, place in enumerate(places)}
    for row in range(len(s.count_i) - 1):
        for now, above in zip(at_ik[row][1:].tolist(), at_ik[row + 1][1:].tolist(), strict=True):
            for beside in (-1, 0):
                up = mesh.neighbour_n4[node_ij[row, now + beside], UP]
                assert (s.row_n[up], s.column_n[up]) == (row + 1, above + beside)
    table, short_f = mesh.floats, at_corners(fabric)
    np.testing.assert_allclose(1.0 + table.slack_f, np.where(short_f, 0.9 * 1.02, 1.02), rtol=1e-12)
    left_f, count_f = table.node_f2[:, 0], s.count_i[s.row_n[table.node_f2[:, 0]]]
    apart_fk = (at_ik[s.row_n[left_f]] - s.column_n[left_f, None]) % count_f[:, None]
    assert np.array_equal(short_f, ((apart_fk >= 1) & (apart_fk <= table.gap_f[:, None] + 1)).any(axis=1))


def test_a_line_climbs_a_shaped_tube_too_and_none_one_sewn_up() -> None:
    rest = come_to_rest(set_up_whole(sleeve()).fabric)
    line = corner_line(rest)
    assert line is not None
    assert line.taut > 0
    assert 0.002 < line.narrower < 0.1
    assert line.ridge > 5e-5  # less than up a plain tube: what is made lies beside one of its lines
    assert line.column_k.tolist() == corner_columns(rest.mesh, "double-pointed")[line.row_r[0]].tolist()
    turned = turned_out(rest, line)
    assert abs(turned.narrower) < 0.2 * line.narrower
    flat = scene_of(
        RINGS, worked="flat", item="hat", chart={"across": 8}, floats={"needles": "magic loop"}, sizes={"rib_cm": 2.0}
    )
    sewn_up = set_up_whole(flat).fabric
    assert sewn_up.mesh.case == "round"
    assert not at_corners(sewn_up).any()
