"""Bringing a scene to rest: overrides, ramps, failures, forecasts and their bands."""

from __future__ import annotations

import gc

import numpy as np
import pytest

from fabricsim.arrays import largest
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric import relax as relax_module
from fabricsim.fabric.behind import PRESSED_IN, Tracks
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.measures import measure
from fabricsim.fabric.mesh import RIGHT
from fabricsim.fabric.relax import RAMPS, TOLERANCE, Patience, come_to_rest, force_scale, normals, relax
from fabricsim.fabric.setup import OVERRIDES, set_up
from fabricsim.mechanics.assemble import Energy, State, assemble
from fabricsim.mechanics.pattern import Pattern
from fabricsim.mechanics.solver.minimise import Minimum, minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping
from fabricsim.study.forecast.threads import side_by_side

DIAMOND = ["....B....", "...BBB...", "..BBBBB..", ".BBBBBBB.", "..BBBBB..", "...BBB...", "....B....", "........."]


def _scene(rows: list[str] | None = None, slack: float = -0.05, **more: object) -> Scene:
    rows = rows or [row + "..." for row in ("....B....", "...B.B...", "..B...B..", "...B.B...", "....B....")]
    return Scene.model_validate(
        {
            "title": "small",
            "worked": "round",
            "chart": {"rows": rows, "across": 2},
            "yarns": [
                {"symbol": ".", "name": "a", "colour": "#dddddd", "tex": 500},
                {"symbol": "B", "name": "b", "colour": "#333333", "tex": 500},
            ],
            "gauge": {"stitches": 19, "rows": 25.5},
            "floats": {"slack": slack},
            **more,
        }
    )


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_no_force_is_left_not_even_where_the_fabric_is_held(case: Case) -> None:
    """What is held only stops the fabric from moving as a whole, so it must carry no force at rest."""
    fabric = set_up(_scene(), case, slack=-0.12)
    rest = come_to_rest(fabric)
    held = rest.contact.energy
    free = assemble(held.terms, held.start)
    assert rest.contact.wrapped_f.any() == (case != "round")
    left = largest(free.gradient(free.free(rest.state))[1])
    # Forces at the held unknowns are sums over the whole fabric: allow the tolerance for each of its
    # unknowns.
    assert left <= TOLERANCE * force_scale(fabric.stiffness, fabric.mesh) * rest.x_nc.size
    assert rest.effort.steps > 0


def test_tighter_floats_draw_in_more_and_slack_ones_not_at_all() -> None:
    loss = [measure(relax(_scene(), "repeat", slack=s)).widths.overall for s in (-0.09, -0.06, -0.03, 0.0, 0.05)]
    assert loss[0] > loss[1] > loss[2] > 0.0
    assert loss[3] == 0.0
    assert loss[4] == 0.0


def test_a_tube_draws_in_less_than_the_flat_repeat_and_less_again_worked_inside_out() -> None:
    tight = _scene(slack=-0.15, chart={"rows": [row * 4 for row in ("..B", ".B.", "B..", ".B.")], "across": 4})
    flat, tube = (measure(relax(tight, case)).widths.overall for case in ("repeat", "round"))
    inside_out = measure(relax(tight, "round", inside_out=True)).widths.overall
    assert flat > tube > inside_out > 0.0


def test_every_override_reaches_the_fabric_in_si() -> None:
    by_default = set_up(_scene()).stiffness
    for key, (field, factor) in OVERRIDES.items():
        value = 1.1 * getattr(by_default, field) / factor or 3.0
        changed = set_up(_scene(fabric={key: value})).stiffness
        assert getattr(changed, field) == pytest.approx(value * factor, rel=1e-12), key


def test_what_follows_from_an_override_follows_it_and_its_owner_stays_true() -> None:
    by_default = set_up(_scene()).stiffness
    softer = set_up(_scene(fabric={"stretch_across_N_per_m": 0.5 * by_default.stretch_across})).stiffness
    for name in ("stretch_up", "shear"):
        assert getattr(softer, name) == pytest.approx(0.5 * getattr(by_default, name), rel=1e-12)
    bent = set_up(_scene(fabric={"bending_across_uNm": 200.0, "bending_up_uNm": 288.0, "lock_ratio": 3.0})).stiffness
    assert bent.twist == pytest.approx(240e-6, rel=1e-12)  # sqrt(200 x 288) by hand
    assert bent.jam_ratio == 3.0
    kept = set_up(_scene(fabric={"bending_across_uNm": 200.0, "twist_uNm": 10.0, "shear_N_per_m": 5.0})).stiffness
    assert kept.twist == pytest.approx(10e-6, rel=1e-12)
    assert kept.shear == 5.0


@pytest.mark.parametrize("rows", [11.5, 16.0, 25.5, 34.0, 56.5])
def test_the_defaults_hold_together_at_every_shape_of_stitch(rows: float) -> None:
    rest = relax(_scene(gauge={"stitches": 19, "rows": rows}), "repeat")
    assert measure(rest).widths.overall > 0.0


def test_a_float_that_would_cut_through_a_bulge_is_told() -> None:
    """The chord over a stitch that bulges to the back by h comes h before its back surface, and goes round it."""
    mesh = set_up(_scene(), "repeat").mesh
    tracks, table = Tracks(mesh), mesh.floats
    plain = tracks.at(State(mesh.rest_nc, mesh.period_a))
    assert plain.depth_f.max() < 1e-15
    assert not plain.bent_f.any()
    widest = int(np.where(table.node_f2[:, 0] != table.node_f2[:, 1], table.gap_f, 0).argmax())  # no ring
    assert table.gap_f[widest] >= 4  # so that the ends, two stitches away, keep their normals
    middle = mesh.neighbour_n4[mesh.neighbour_n4[table.node_f2[widest, 0], RIGHT], RIGHT]
    x_nc = mesh.rest_nc.copy()
    x_nc[middle, 2] -= 0.003
    bulged = tracks.at(State(x_nc, mesh.period_a))
    assert bulged.depth_f[widest] == pytest.approx(0.003, rel=1e-12)
    assert 2 in bulged.pressed[widest]
    assert bulged.bent_f[widest]
    # No shorter than two straight lines to the back of the bulge, no longer than over its neighbours at the level.
    span, step = table.span_f[widest], mesh.stitch_width
    assert bulged.length_f[widest] >= np.hypot(2.0 * step, 0.003) + np.hypot(span - 2.0 * step, 0.003) - 1e-15
    assert bulged.length_f[widest] <= span + 2.0 * 0.003
    x_nc[middle, 2] += 0.006  # a bulge to the face is in no float's way
    assert tracks.at(State(x_nc, mesh.period_a)).depth_f[widest] < 1e-15


def test_a_swatch_let_go_above_the_table_comes_down_flat() -> None:
    """In the air nothing holds it up, down or level: the solver must do with a stiffness that is truly singular."""
    fabric = set_up(_scene(slack=0.1), "swatch")
    plain = come_to_rest(fabric)
    dropped = come_to_rest(fabric, State(plain.x_nc + np.array([0.0, 0.0, 0.01])))
    # The weight of a stitch sinks it in by 13 um at rest, so a billionth of the force scale is 3e-11 m.
    np.testing.assert_allclose(dropped.x_nc[:, 2], plain.x_nc[:, 2], atol=1e-9)


def test_an_unknown_case_is_refused() -> None:
    with pytest.raises(InputError, match="repeat, swatch, round"):
        relax(_scene(), "sideways")  # type: ignore[arg-type]


def test_the_areal_mass_counts_loops_and_floats() -> None:
    """The yarn of a loop (Munden 1959), and here, with a float behind every stitch, another (1 + slack) w each: 1.24
    times plain at no slack (derived)."""
    both = ["AB" * 6]
    scene = _scene(rows=[row.replace("A", ".") for row in both], slack=0.0)
    plain = _scene(rows=["." * 12], slack=0.0)
    ratio = set_up(scene, "repeat").stiffness.areal_mass / set_up(plain, "repeat").stiffness.areal_mass
    # half a stitch of a float's way at each of its ends lies in the loop there
    assert ratio == pytest.approx(1.0 + scene.gauge.stitch_width / scene.gauge.loop_length, rel=1e-12)
    assert ratio == pytest.approx(1.24, abs=0.005)


def test_a_solve_that_fails_is_ramped_in_and_then_said_loudly() -> None:
    parts: list[int] = []
    fabric = set_up(_scene(rows=DIAMOND, slack=-0.15), "repeat")
    with pytest.raises(NoEquilibriumError, match=r"used up its steps") as caught:
        come_to_rest(fabric, progress=lambda step, force: parts.append(step), patience=Patience(steps=2))
    assert caught.value.exit_status == 3
    assert "small" in str(caught.value)
    assert parts.count(0) == len(RAMPS)  # each ramp began afresh, and none got past its first part


@pytest.mark.parametrize(("case", "slack"), [("round", -0.12), ("repeat", -0.06)])
def test_a_ramp_comes_to_the_same_rest(case: Case, slack: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """To a ten-millionth of a stitch; but where a float may or may not have met a bulge on the way, and so minds it or
    lets it cut in, to the hundredth of a thickness by which one may."""
    fabric = set_up(_scene(slack=slack), case)
    at_once = come_to_rest(fabric)
    given: list[np.ndarray] = []

    def minimised(energy: Energy, q_f: np.ndarray, stopping: Stopping, watch: object, contact: Contact) -> Minimum:
        given.append(contact.fabric.mesh.floats.length_f)
        return minimise(energy, q_f, stopping, watch, contact)

    monkeypatch.setattr(relax_module, "minimise", minimised)
    eased = come_to_rest(fabric, patience=Patience(ramps=(4,)))
    assert eased.effort.ramp_parts == 4
    # each part lets in a quarter more of what tight floats lack of their way in plain fabric
    length_f, plain_f = fabric.mesh.floats.length_f, at_once.contact.fabric.mesh.floats.span_f
    if case == "repeat":
        for part, length in enumerate(given, 1):
            np.testing.assert_allclose(length, plain_f + part / 4 * (length_f - plain_f), rtol=1e-12)
    assert len(given) == 4
    np.testing.assert_array_equal(given[-1], length_f)
    met = at_once.contact.wrapped_f.any()
    assert met == (case == "repeat")
    within = PRESSED_IN * fabric.mesh.thickness if met else 1e-7 * fabric.mesh.stitch_width
    assert np.abs(eased.x_nc - at_once.x_nc).max() < within


def test_too_small_pieces_and_impossible_slack_are_refused() -> None:
    with pytest.raises(InputError, match="at least 2 rows and 6 stitches"):
        set_up(_scene(rows=[".B.."]), "round")
    with pytest.raises(InputError, match="above -1"):
        set_up(_scene(), "repeat", slack=-1.0)
    with pytest.raises(InputError, match="above -1"):
        set_up(_scene(), "repeat", slack=float("nan"))


def test_side_by_side_keeps_order_and_raises_the_first_error() -> None:
    assert side_by_side([lambda n=n: n * n for n in range(7)], 3) == [0, 1, 4, 9, 16, 25, 36]

    def bad() -> int:
        raise ValueError("mine")

    for threads in (1, 3):
        with pytest.raises(ValueError, match="mine"):
            side_by_side([lambda: 1, bad, lambda: 2], threads)


# ---- what is told on the way and at its end, from made-up minima ---------------------------------------


def minima(monkeypatch: pytest.MonkeyPatch, *ends: Status) -> list[tuple[float, np.ndarray]]:
    """Let the solver end so, one time after the other, each with 3 steps, 2 factorisations and 5 evaluations; return
    where it began, and the yarn in the floats."""
    began: list[tuple[float, np.ndarray]] = []

    def minimised(energy: Energy, q_f: np.ndarray, stopping: Stopping, watch: object, contact: Contact) -> Minimum:
        status = ends[len(began)]
        began.append((float(q_f[-1]), contact.fabric.mesh.floats.length_f))
        assert callable(watch)
        watch(7, 0.25 * force_scale(contact.fabric.stiffness, contact.fabric.mesh), q_f)
        return Minimum(q_f + 1e-5, status, 0.5, 1e-4 * len(began), 3, 2, 5)

    monkeypatch.setattr(relax_module, "minimise", minimised)
    return began


def test_what_it_took_is_that_of_all_tries_together_and_force_is_told_as_a_share(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lost, found = Status.NO_LOWER_ENERGY, Status.AT_REST
    began = minima(monkeypatch, lost, found, found, lost, *[found] * 16)
    fabric = set_up(_scene(), "repeat")
    told: list[tuple[int, float]] = []
    rest = come_to_rest(fabric, progress=lambda step, force: told.append((step, force)))
    effort = rest.effort
    # at once: lost; of four parts the third is lost, so the fourth is not tried; all of sixteen
    assert len(began) == 1 + 3 + 16
    assert (effort.steps, effort.factorisations, effort.evaluations) == (20 * 3, 20 * 2, 20 * 5)
    assert (effort.status, effort.energy, effort.ramp_parts) == (found, 0.5, 16)
    assert effort.residual == pytest.approx(20e-4 / force_scale(fabric.stiffness, fabric.mesh))
    assert told == [(7, pytest.approx(0.25))] * 20
    # each part goes on from the one before, and each ramp begins afresh
    first = began[0][0]
    shifts = [round((at - first) / 1e-5) for at, _ in began]
    assert shifts == [0, 0, 1, 2, *range(16)]
    assert rest.period_a is not None
    assert rest.period_a[1] == pytest.approx(first + 16e-5)
    # each time evenly more of what tight floats lack of their way in plain fabric, their span
    table = fabric.mesh.floats
    let_in = [((table.span_f - length_f) / (table.span_f - table.length_f)).mean() for _, length_f in began]
    assert let_in == pytest.approx([1.0, 1 / 4, 2 / 4, 3 / 4, *(part / 16 for part in range(1, 17))])


def test_where_there_is_no_rest_it_is_said_how_it_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    minima(monkeypatch, *[Status.NO_LOWER_ENERGY] * 3)
    fabric = set_up(_scene(), "repeat")
    with pytest.raises(NoEquilibriumError) as why:
        come_to_rest(fabric)
    left = 3e-4 / force_scale(fabric.stiffness, fabric.mesh)
    assert str(why.value) == (
        f"small: no equilibrium found: {Status.NO_LOWER_ENERGY.text}; try a looser slack, another case, or stiffness "
        f"nearer the defaults (after 9 steps {left:.1e} of the force that doubles a stitch's width is left)"
    )


def test_the_force_scale_doubles_the_width_of_one_stitch() -> None:
    fabric = set_up(_scene(), "repeat")
    assert force_scale(fabric.stiffness, fabric.mesh) == pytest.approx(15.0 * 0.1 / 19)


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_normals_stand_on_the_fabric_out_of_its_face(case: Case) -> None:
    fabric = set_up(_scene(), case)
    mesh = fabric.mesh
    plain = State(mesh.rest_nc, mesh.period_a)
    normal_nc = normals(fabric, plain)
    np.testing.assert_allclose(np.linalg.norm(normal_nc, axis=1), 1.0)
    if case == "round":
        out_nc = mesh.rest_nc * [1.0, 0.0, 1.0]
        along_n = (normal_nc * out_nc).sum(axis=1) / np.linalg.norm(out_nc, axis=1)
        assert along_n.min() > 0.8  # it leans where the spiral begins and ends
        return
    np.testing.assert_allclose(normal_nc, np.tile([0.0, 0.0, 1.0], (len(mesh.rest_nc), 1)), atol=1e-12)
    if case == "swatch":  # tilted up to the right
        tilted = State(mesh.rest_nc + mesh.rest_nc[:, :1] * [0.0, 0.0, 0.5])
        want = np.array([-0.5, 0.0, 1.0]) / np.hypot(0.5, 1.0)
        np.testing.assert_allclose(normals(fabric, tilted), np.tile(want, (len(mesh.rest_nc), 1)), atol=1e-12)


def test_ways_are_chords_but_of_floats_that_lie_on_stitches() -> None:
    """And their pull is that of their way: a wrapped float that nothing bulges into is as if it were straight."""
    tight = set_up(_scene(slack=-0.12), "repeat")
    slack_f = np.where(np.arange(len(tight.floats)) % 2, -0.12, 0.3)
    rest = come_to_rest(tight.with_slack_of(slack_f))
    wrapped_f, way = rest.contact.wrapped_f, rest.contact.tracks.at(rest.state)
    assert wrapped_f.any()
    assert not wrapped_f.all()
    np.testing.assert_array_equal(rest.way_f, np.where(wrapped_f, way.length_f, rest.chord_f))
    assert (rest.way_f >= rest.chord_f - 1e-12).all()
    for number, steps in enumerate(rest.pressed):
        assert steps == (way.pressed[number] if wrapped_f[number] else ())
    table = rest.mesh.floats
    strip_f = 100.0 * rest.stiffness.stretch_across * rest.mesh.row_height / table.span_f
    np.testing.assert_allclose(rest.tension_f, strip_f * np.maximum(rest.way_f - table.length_f, 0.0), atol=1e-12)


def test_patterns_that_are_left_on_the_way_are_given_back() -> None:
    """A Hessian's pattern takes most of the memory: of those before floats came to lie on the back none is kept."""
    tight = set_up(_scene(DIAMOND, slack=-0.12), "swatch")
    gc.collect()

    def patterns() -> int:
        return sum(isinstance(one, Pattern) for one in gc.get_objects())

    before, counts = patterns(), list[int]()
    rest = come_to_rest(tight, progress=lambda *_: counts.append(patterns() - before))
    assert rest.contact.wrapped_f.any()
    assert set(counts) == {1}
