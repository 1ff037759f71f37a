"""The least cell of an endless fabric: the same however it is typed, and written back where it was typed."""

from __future__ import annotations

from functools import cache, partial

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.fabric import relax as relaxing
from fabricsim.fabric.behind import Tracks
from fabricsim.fabric.build import cloth_terms, float_law, float_term, held_unknowns, start_of
from fabricsim.fabric.cell import Cut, copied, cut_out, least_cut, repeats, state_in, whole_cut, written_out
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import TOLERANCE, come_to_rest, force_scale
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import load_of, pulled, relaxed_of, strain_of
from fabricsim.mechanics.assemble import State, assemble
from tests.support.scenes import scene_of

ROWS = ["..###.", "......", ".#...#", "##.#.."]
"""Alike neither to its mirror images nor to itself shifted."""
TYPED = {
    "as it is": ROWS,
    "twice across": [row * 2 for row in ROWS],
    "twice up": ROWS * 2,
    "three times each way": [row * 3 for row in ROWS] * 3,
    "begun elsewhere": [row[4:] + row[:4] for row in ROWS[1:] + ROWS[:1]],
    "mirrored": [row[::-1] for row in ROWS],
    "upside down": ROWS[::-1],
    "turned": [row[::-1] * 2 for row in ROWS[::-1]],
}


@cache
def typed(how: str, slack: float = -0.1) -> Fabric:
    return set_up(scene_of(TYPED[how], slack), "repeat")


def table(fabric: Fabric) -> list[Floats]:
    floats = fabric.mesh.floats
    return [floats.node_f2, floats.shift_f2, floats.gap_f, floats.span_f, floats.length_f]


@pytest.mark.parametrize("how", list(TYPED))
def test_the_least_cell_is_the_same_however_it_is_typed(how: str) -> None:
    known, other = (cut_out(fabric, least_cut(fabric)) for fabric in (typed("as it is"), typed(how)))
    assert (other.mesh.rows, other.mesh.stitches) == (4, 6)
    for one, two in zip(table(known), table(other), strict=True):
        np.testing.assert_array_equal(one, two)  # to the last bit, so what is solved is the same too


@pytest.mark.parametrize("how", list(TYPED))
def test_what_is_written_out_rests_where_it_was_typed(how: str) -> None:
    """Put to the fabric as it was typed, with its own elements, the answer leaves no force; and its floats lie as the
    fabric's own tracks find them."""
    fabric = typed(how)
    cut = least_cut(fabric)
    rest = written_out(come_to_rest(cut_out(fabric, cut)), fabric, cut)
    assert rest.mesh.rows == fabric.mesh.rows
    np.testing.assert_array_equal(rest.mesh.floats.node_f2, fabric.mesh.floats.node_f2)
    np.testing.assert_array_equal(rest.mesh.yarn_n, fabric.mesh.yarn_n)
    np.testing.assert_array_equal(rest.x_nc[0], fabric.mesh.rest_nc[0])
    mesh, stiffness, tracks = fabric.mesh, fabric.stiffness, Tracks(fabric.mesh)
    bent_f = np.abs(rest.way_f - rest.chord_f) > 1e-12
    assert bent_f.any()
    floats = [float_term(mesh, stiffness, ~bent_f), *tracks.wrapped(bent_f, partial(float_law, mesh, stiffness))]
    energy = assemble([*cloth_terms(mesh, stiffness, "test"), *floats], start_of(mesh), held_unknowns(mesh))
    value, force_f = energy.gradient(energy.free(rest.state))
    # the size of the cell is pulled by every row of it
    assert np.abs(force_f).max() <= mesh.rows * TOLERANCE * force_scale(stiffness, mesh)
    assert value == pytest.approx(rest.effort.energy, rel=1e-9)
    way = tracks.at(rest.state)
    pulling_f = rest.tension_f > 0.0
    assert pulling_f.any()
    for f in np.flatnonzero(pulling_f).tolist():
        if rest.pressed[f]:
            assert way.pressed[f] == rest.pressed[f]
            assert way.length_f[f] == pytest.approx(rest.way_f[f], rel=1e-9)
    assert measure(rest).pull.taut == len(fabric.mesh.rest_nc) // 24 * measure(rest.solved or rest).pull.taut


def test_a_chart_typed_over_and_over_is_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    solved: list[int] = []
    inner = relaxing._brought_to_rest

    def watched(fabric: Fabric, *more: object) -> Equilibrium:
        solved.append(len(fabric.mesh.rest_nc))
        return inner(fabric, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(relaxing, "_brought_to_rest", watched)
    once, nine = (come_to_rest(typed(how)) for how in ("as it is", "three times each way"))
    assert solved == [24, 24]
    assert len(nine.x_nc) == 216
    assert once.effort.energy == pytest.approx(nine.effort.energy / 9, rel=1e-12)
    np.testing.assert_allclose(nine.x_nc.reshape(12, 18, 3)[:4, :6], once.x_nc.reshape(4, 6, 3), rtol=0, atol=1e-12)
    # from there on to another slack, the same part of it again, its contacts too
    come_to_rest(typed("three times each way").with_slack_shifted(-0.01), nine)
    assert solved[2:] == [24]
    # and from a state that is not the same in all cells, all of it
    crooked = nine.x_nc.copy()
    crooked[100, 2] += 1e-3
    assert not repeats(Cut(4, 6), State(crooked, nine.period_a), 12, 18)
    assert repeats(Cut(4, 6), nine.state, 12, 18)
    come_to_rest(typed("three times each way"), nine.state)
    come_to_rest(typed("three times each way"), State(crooked, nine.period_a))
    assert solved[3:] == [24, 216]


def test_uneven_floats_have_no_smaller_cell() -> None:
    fabric = typed("twice across")
    uneven = fabric.with_slack_of(np.linspace(-0.1, 0.0, len(fabric.mesh.floats)))
    assert whole_cut(uneven) == Cut(4, 12)
    assert (least_cut(uneven).rows, least_cut(uneven).stitches) == (4, 12)
    # begun from a rest of the even fabric's cell it is solved whole
    rest = come_to_rest(uneven, come_to_rest(fabric))
    assert rest.mesh.stitches == 12
    assert np.ptp(rest.tension_f) > 0.1 * rest.tension_f.max()


def test_colours_do_not_make_a_cell_larger() -> None:
    """Two yarns in turn, each as slack as the other: their floats repeat after two stitches, three times as often as
    four yarns' colours would."""
    one = set_up(scene_of(["#.#.#.", ".#.#.#"], -0.05), "repeat")
    assert whole_cut(one) == Cut(1, 1)
    rest = come_to_rest(one)
    np.testing.assert_array_equal(rest.mesh.yarn_n, one.mesh.yarn_n)


def test_copies_of_a_fabric_are_what_its_chart_typed_so_often_would_be() -> None:
    made, wanted = copied(typed("as it is"), 8, 18), set_up(scene_of([row * 3 for row in ROWS] * 2, -0.1), "repeat")
    key = [np.lexsort((one.mesh.floats.yarn_f, *one.mesh.floats.node_f2.T[::-1])) for one in (made, wanted)]
    for one, two in zip(table(made), table(wanted), strict=True):
        np.testing.assert_array_equal(one[key[0]], two[key[1]])
    np.testing.assert_array_equal(made.mesh.neighbour_n4, wanted.mesh.neighbour_n4)
    np.testing.assert_array_equal(made.mesh.rest_nc, wanted.mesh.rest_nc)
    np.testing.assert_array_equal(made.mesh.yarn_n, wanted.mesh.yarn_n)
    assert copied(made, 8, 18) is made


def test_a_cut_takes_what_it_wrote_out() -> None:
    fabric = typed("turned")
    cut = least_cut(fabric)
    cell = come_to_rest(cut_out(fabric, cut))
    whole = written_out(cell, fabric, cut)
    again = state_in(cut, whole.state, whole.mesh.rows, whole.mesh.stitches)
    np.testing.assert_allclose(again.x_nc, cell.x_nc - cell.x_nc[0], rtol=0, atol=1e-15)
    np.testing.assert_allclose(again.period_a, cell.period_a, rtol=1e-15)


def test_pulled_it_stretches_the_same_however_often_it_is_typed() -> None:
    one, four = typed("as it is", 0.02), typed("turned", 0.02)
    there = [pulled(fabric, "across", 8.0) for fabric in (one, four)]
    assert strain_of(there[0], "across") == pytest.approx(strain_of(there[1], "across"), rel=1e-8)
    for fabric, rest in zip((one, four), there, strict=True):
        assert load_of(rest, "across") == pytest.approx(8.0, rel=1e-6)
        assert relaxed_of(rest)[0] == pytest.approx(fabric.mesh.stitches * fabric.mesh.stitch_width, rel=0.05)
        assert rest.mesh.stitches == fabric.mesh.stitches


def test_seen_in_a_mirror_a_float_lies_on_the_same_stitches_counted_from_its_other_end() -> None:
    """Of floats that lie on more stitches towards one of their ends; each way against the fabric's own tracks."""
    rows = [".###......", ".#.#.#..#.", "##........", "..#..#...."]
    lopsided = set()
    for typed_rows in (rows, [row[::-1] for row in rows]):
        fabric = set_up(scene_of(typed_rows, -0.12), "repeat")
        cut = least_cut(fabric)
        rest = written_out(come_to_rest(cut_out(fabric, cut)), fabric, cut)
        own = Tracks(fabric.mesh).at(rest.state).pressed
        for f in np.flatnonzero(rest.tension_f > 0.0).tolist():
            if rest.pressed[f]:
                assert rest.pressed[f] == own[f]
                gap = int(fabric.mesh.floats.gap_f[f])
                turned = tuple(gap + 1 - step for step in reversed(own[f]))
                lopsided |= {cut.mirrored} if turned != own[f] else set()
    assert lopsided == {False, True}
