"""From a scene to a fabric: units of what it overrides, slacks and gauges put in its place, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.carried import whole_floats
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.relax import relax
from fabricsim.fabric.setup import case_floats, set_up
from fabricsim.fabric.stiffness import OWNERS, Stiffness, default_stiffness
from fabricsim.fabric.stretching import pulled, stretched
from fabricsim.units import GRAVITY
from tests.support.meshes import GAUGE, WORSTED, mesh_of
from tests.support.scenes import fabric_of, scene_of

CHART = ("#.....", "..#...", "......")


def scene(**more: Any) -> Scene:
    return scene_of(CHART, -0.05, chart={"across": 2, "up": 2}, **more)


WRITTEN: dict[str, tuple[float, str, float]] = {
    "thickness_mm": (2.0, "thickness", 0.002),
    "areal_mass_g_per_m2": (400.0, "areal_mass", 0.4),
    "stretch_across_N_per_m": (14.0, "stretch_across", 14.0),
    "stretch_up_N_per_m": (28.0, "stretch_up", 28.0),
    "shear_N_per_m": (5.0, "shear", 5.0),
    "poisson_across": (0.3, "poisson_across", 0.3),
    "bending_across_uNm": (60.0, "bend_across", 60e-6),
    "bending_up_uNm": (70.0, "bend_up", 70e-6),
    "twist_uNm": (55.0, "twist", 55e-6),
    "lock_strain_across": (0.5, "lock_across", 0.5),
    "lock_strain_up": (0.3, "lock_up", 0.3),
    "lock_ratio": (8.0, "lock_ratio", 8.0),
    "jam_strain": (0.15, "jam", 0.15),
    "jam_ratio": (6.0, "jam_ratio", 6.0),
    "float_ratio": (50.0, "float_ratio", 50.0),
    "edge_curl_across_per_m": (30.0, "curl_across", 30.0),
    "edge_curl_up_per_m": (-20.0, "curl_up", -20.0),
}
"""What is written under [fabric], the field that it is, and its value in SI."""


def test_whatever_a_scene_writes_of_its_fabric_is_that_and_all_at_once() -> None:
    for key, (value, field, si) in WRITTEN.items():
        assert getattr(set_up(scene(fabric={key: value})).stiffness, field) == pytest.approx(si, rel=1e-12), key
    whole = set_up(scene(fabric={key: value for key, (value, _, _) in WRITTEN.items()})).stiffness
    all_over = {"curl_depth": np.inf}
    assert vars(whole) == pytest.approx({field: si for _, field, si in WRITTEN.values()} | all_over, rel=1e-12)


def test_what_follows_what() -> None:
    """A stretch stiffness takes the other and the shear along, bending the twist, the lock the jam; none that is given
    itself."""
    start = replace(WORSTED, jam_ratio=3.0, twist=1e-6)

    def follows(**given: float) -> dict[str, float]:
        changed = vars(start.overridden(given))
        return {name: value for name, value in changed.items() if value != getattr(start, name) and name not in given}

    across, up, shear = start.stretch_across, start.stretch_up, start.shear
    always = {"twist": (start.bend_across * start.bend_up) ** 0.5, "jam_ratio": start.lock_ratio}
    assert follows() == pytest.approx(always)
    assert follows(stretch_across=4.0 * across) == pytest.approx(
        {"stretch_up": 4.0 * up, "shear": 4.0 * shear, **always}
    )
    assert follows(stretch_up=0.25 * up) == pytest.approx(
        {"stretch_across": 0.25 * across, "shear": 0.25 * shear, **always}
    )
    poisson = start.poisson_across  # times what follows from it the other way, nu E_y / E_x, it stays
    assert follows(stretch_across=4.0 * across, stretch_up=up) == pytest.approx(
        {"shear": 2.0 * shear, "poisson_across": 2.0 * poisson, **always}
    )
    assert follows(stretch_up=4.0 * up, shear=1.0) == pytest.approx({"stretch_across": 4.0 * across, **always})
    assert follows(bend_across=4.0 * start.bend_across, jam_ratio=2.0) == pytest.approx(
        {"twist": 2.0 * always["twist"]}
    )
    assert follows(twist=2e-6, lock_ratio=5.0) == pytest.approx({"jam_ratio": 5.0})


def test_factors_on_stretch_bending_and_mass_touch_nothing_else() -> None:
    start, changed = vars(WORSTED), vars(WORSTED.times(2.0, 3.0, 5.0))
    by = {name: changed[name] / start[name] for name in start if start[name] and name != "curl_depth"}
    assert changed["curl_depth"] == start["curl_depth"]
    want = dict.fromkeys(by, 1.0)
    want |= {"stretch_across": 2.0, "stretch_up": 2.0, "shear": 2.0, "areal_mass": 5.0}
    want |= {"bend_across": 3.0, "bend_up": 3.0, "twist": 3.0}
    assert by == pytest.approx(want)
    assert WORSTED.times(2.0, 1.0, 1.0) == WORSTED.stretched(2.0)
    assert WORSTED.times(1.0, 3.0, 1.0) == WORSTED.bent(3.0)


def test_a_knitters_file_multiplies_the_defaults_and_what_is_written_stands_in_its_place() -> None:
    def factor(value: float, known: Any = "measured") -> LearntFactor:
        return LearntFactor(value=value, low=0.5 * value, high=2.0 * value, known=known)

    knitter = Knitter(
        slack=LearntSlack(value=0.0, low=-0.1, high=0.1, known="measured"),
        stretch=factor(2.0),
        bending=factor(3.0),
        weight=factor(1.2),
        bending_against_stretch=2.0,
    )

    def by(learnt: Knitter, **more: Any) -> Stiffness:
        knitted = scene(**more)
        knitted._hands = learnt
        return set_up(knitted).stiffness

    plain = set_up(scene()).stiffness
    assert by(knitter) == plain.times(2.0, 3.0, 1.2)
    untold = knitter.model_copy(update={"stretch": factor(2.0, "not told"), "weight": factor(1.2, "not told")})
    assert by(untold) == plain.bent(3.0)
    written = by(knitter, fabric={"shear_N_per_m": 4.0})
    assert (written.shear, written.stretch_up) == (4.0, 2.0 * plain.stretch_up)


def test_the_stiffness_is_that_of_the_mean_yarn_and_the_mass_of_loops_and_floats() -> None:
    """Of 12 stitches a quarter in yarn of 900 tex: 500 + 100 on average; loops of sqrt(23.1 w c) (Munden 1959)."""
    yarns = [
        {"symbol": symbol, "name": symbol, "colour": "#888888", "tex": tex} for symbol, tex in ((".", 500), ("#", 900))
    ]
    fabric = set_up(scene_of(["###" + "." * 9], 0.0, yarns=yarns), "repeat")
    want = default_stiffness(GAUGE[0], GAUGE[1], 600.0, fabric.stiffness.areal_mass)
    assert fabric.stiffness == want
    w, c = fabric.mesh.stitch_width, fabric.mesh.row_height
    loops = np.sqrt(23.1 * w * c) * (3 * 900e-6 + 9 * 500e-6)
    floats = 9 * w * 900e-6 + 3 * w * 500e-6  # half a stitch at each end of a float lies in its loop
    assert fabric.stiffness.areal_mass == pytest.approx((loops + floats) / (12 * w * c), rel=1e-9)


def test_slack_is_put_in_place_of_what_is_there_in_the_yarn_too() -> None:
    tube = set_up(scene(floats={"slack_by_yarn": {"#": 0.1}}), "round", inside_out=True)
    table = tube.mesh.floats
    longer = tube.mesh.floats_longer
    assert longer > 1.0
    each_f = np.linspace(-0.1, 0.1, len(table))
    for other, slack_f in (
        (tube.with_slack_shifted(0.03), table.slack_f + 0.03),
        (tube.with_slack_of(each_f), each_f),
        (tube.with_slack_of_yarns([0.2, -0.1]), np.where(table.yarn_f == 0, 0.2, -0.1)),
    ):
        found = other.mesh.floats
        np.testing.assert_allclose(found.slack_f, slack_f, atol=1e-15)
        np.testing.assert_allclose(found.length_f, table.span_f * (1.0 + slack_f) * longer, rtol=1e-12)
        np.testing.assert_array_equal(found.span_f, table.span_f)
        assert other.stiffness is tube.stiffness
        assert other.mesh.rest_nc is tube.mesh.rest_nc
    assert tube.with_stiffness(WORSTED).stiffness is WORSTED
    assert tube.with_stiffness(WORSTED).mesh is tube.mesh


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_a_setting_of_its_own_takes_the_place_of_the_scenes(case: Case) -> None:
    fabric = set_up(scene(), case, slack=0.08)
    assert (fabric.mesh.case, fabric.where) == (case, "small")
    assert set(fabric.mesh.floats.slack_f.tolist()) == {0.08}
    assert fabric.floats == case_floats(scene(), case, 0.08)
    size = (3, 6) if case == "repeat" else (6, 12)
    assert (fabric.mesh.rows, fabric.mesh.stitches) == size
    assert fabric.mesh.thickness == fabric.stiffness.thickness
    own = scene(simulation={"case": case, "inside_out": True})
    assert set_up(own).mesh.case == case
    assert (set_up(own).mesh.floats_longer > 1.0) == (case == "round")
    assert set_up(own, inside_out=False).mesh.floats_longer == 1.0


def test_floats_of_a_quarter_of_the_round_and_less_are_left_whole() -> None:
    for stitches, parts in ((24, 4), (12, 4), (9, 5)):  # 9 stitches: parts of 2 at most
        wide = scene_of(["#" + "." * (stitches - 1)] * 3, 0.0)
        long = [one for one in case_floats(wide, "round") if one.yarn == 1]
        assert max(one.gap + 1 for one in long) <= max(1, stitches // 4)
        assert len([one for one in long if one.row == 1]) == parts
        assert [one.gap + 1 for one in whole_floats(wide, "round") if one.yarn == 1 and one.row == 1] == [stitches]


# ---- what is refused ------------------------------------------------------------------------------


def line(call: Any) -> str:
    with pytest.raises(InputError) as why:
        call()
    return str(why.value)


def test_what_cannot_be_built_is_one_line() -> None:
    small = scene_of(["#..."])
    assert line(lambda: set_up(small, "round")) == (
        "small: chart: given a piece of rows: 1, stitches in each: 4; allowed: at least 2 rows and 6 stitches for the "
        "case 'round'; add repeats or plain rows, or take another case"
    )
    assert "at least 2 rows and 2 stitches for the case 'swatch'" in line(lambda: set_up(small, "swatch"))
    assert "rows: 2, stitches in each: 5" in line(lambda: set_up(scene_of(["#...."] * 2), "round"))
    set_up(scene_of(["#....."] * 2), "round")
    set_up(scene_of(["#."] * 2), "swatch")
    set_up(scene_of(["#"]), "repeat")
    assert line(lambda: set_up(small, "tube")) == (  # type: ignore[arg-type]
        "case: given 'tube'; allowed: repeat, swatch, round; name one of them"
    )
    for slack in (-1.0, 1.01):
        assert line(lambda slack=slack: set_up(small, slack=slack)).startswith(f"slack: given {slack:g}; allowed: ")


def test_a_stiffness_that_does_not_hold_together_is_one_line() -> None:
    skewed = replace(WORSTED, poisson_across=0.8)
    assert line(lambda: bars_of(skewed, 0.005, 0.004, "hat.toml")) == (
        "hat.toml: fabric.poisson_across: given 0.8 with 15 N/m across and 30 N/m up; allowed: less than 0.707 here, "
        "or the stiffness is not positive definite; lower poisson_across or bring the two stretch stiffnesses nearer "
        "each other"
    )
    told = line(lambda: bars_of(replace(WORSTED, shear=50.0), 0.005, 0.005, "hat.toml"))
    assert told.startswith(
        "hat.toml: fabric.shear_N_per_m: given 50 with 15 N/m across, 30 N/m up and poisson_across 0.35; allowed: less "
        "than "
    )
    assert told.endswith(
        " at this gauge, or the stiffness is not positive definite stitch by stitch; lower the shear stiffness or "
        "raise the stretch stiffness"
    )
    most = float(told.split("less than ")[1].split(" at")[0])
    bars_of(replace(WORSTED, shear=0.99 * most), 0.005, 0.005, "hat.toml")
    with pytest.raises(InputError):
        bars_of(replace(WORSTED, shear=1.01 * most), 0.005, 0.005, "hat.toml")


def test_what_cannot_be_pulled_is_one_line() -> None:
    tube, cell = fabric_of(mesh_of((".....",) * 3, "round")), fabric_of(mesh_of(("..",), "repeat"))
    for call in (lambda: stretched(tube, "across", 0.1), lambda: pulled(tube, "up", 1.0)):
        assert line(call) == ("test: case: given 'round'; allowed: repeat; only an endless repeat is pulled: take that")
    assert line(lambda: stretched(cell, "up", -1.5)) == (
        "test: stretch: given -1.5; allowed: a share above -1; 0.1 is 10 % longer"
    )


def test_every_default_is_chosen_or_has_its_source() -> None:
    for name, owner in OWNERS.items():
        first = owner.split()[0].rstrip(":")
        assert first == "chosen" or "(derived)" in owner or "19" in owner or "20" in owner, name


def test_the_default_shear_never_comes_near_what_a_cell_could_carry_at_all() -> None:
    """Where rows lie close it carries less: there it is at most 0.8 of it, and the bars of the cell still hold."""
    for stitches, rows in ((19.0, 12.0), (30.0, 18.0), (12.0, 30.0)):
        made = default_stiffness(stitches, rows, 500.0)
        w, c = 0.1 / stitches, 0.1 / rows
        bars_of(made, w, c, "test")
        bars_of(replace(made, shear=made.shear / 0.81), w, c, "test")
    close = default_stiffness(12.0, 30.0, 500.0)
    with pytest.raises(InputError):
        bars_of(replace(close, shear=close.shear / 0.79), 0.1 / 12.0, 0.1 / 30.0, "test")


def test_bending_up_and_shear_scale_as_across_does() -> None:
    """At a width half way between two anchors both bending lengths are the means of theirs (linear in width)."""
    width = 0.5 * (0.1 / 22.0 + 0.1 / 19.0)
    one, other = default_stiffness(22.0, 29.0, 420.0), default_stiffness(19.0, 25.5, 500.0)
    made = default_stiffness(0.1 / width, 27.0, 450.0)

    def length(stiffness: Stiffness) -> float:
        return float((stiffness.bend_up / (stiffness.areal_mass * GRAVITY)) ** (1.0 / 3.0))

    def sheared(stiffness: Stiffness, stitch: float, tex: float) -> float:
        return stiffness.shear * stitch**3 / tex

    assert length(made) == pytest.approx(0.5 * (length(one) + length(other)), rel=1e-12)
    mean = 0.5 * (sheared(one, 0.1 / 22.0, 420.0) + sheared(other, 0.1 / 19.0, 500.0))
    assert sheared(made, width, 450.0) == pytest.approx(mean, rel=1e-12)
    assert made.thickness == pytest.approx(width * 0.5 * (2.2e-3 * 220.0 + 2.6e-3 * 190.0), rel=1e-12)


def test_another_gauge_keeps_the_thickness_and_the_extra_of_work_turned_inside_out() -> None:
    """By hand: stitches 1.2 times as wide and high; the thickness goes round a longer way, so floats are a little less
    longer."""
    for turned in (False, True):
        tube = set_up(scene(), "round", inside_out=turned)
        wide, mesh = tube.with_stitches_scaled(1.2).mesh, tube.mesh
        assert (wide.stitch_width, wide.row_height) == pytest.approx((1.2 * mesh.stitch_width, 1.2 * mesh.row_height))
        assert wide.thickness == mesh.thickness
        np.testing.assert_allclose(wide.rest_nc, 1.2 * mesh.rest_nc)
        extra = 2.0 * np.pi * mesh.thickness / (mesh.stitches * mesh.stitch_width) if turned else 0.0
        assert mesh.floats_longer == pytest.approx(1.0 + extra)
        assert wide.floats_longer == pytest.approx(1.0 + extra / 1.2)
        np.testing.assert_allclose(wide.floats.span_f, 1.2 * mesh.floats.span_f)
        want_f = wide.floats.span_f * (1.0 + mesh.floats.slack_f) * (1.0 + extra / 1.2)
        np.testing.assert_allclose(wide.floats.length_f, want_f, rtol=1e-12)
        assert wide.period_a is None
    cell = set_up(scene(), "repeat")
    assert cell.mesh.period_a is not None
    np.testing.assert_allclose(cell.with_stitches_scaled(1.2).mesh.period_a, 1.2 * cell.mesh.period_a)  # type: ignore[arg-type]


def test_edges_curl_where_that_is_asked_for_and_nowhere_else() -> None:
    """Sides to the back, top and bottom to the face, by what stockinette has; what a scene measured comes first."""

    def curls(case: Case, **fabric: object) -> tuple[float, float]:
        stiffness = set_up(scene_of(("..#.", "...."), worked="flat", fabric=fabric), case).stiffness
        return stiffness.curl_across, stiffness.curl_up

    assert curls("swatch") == (0.0, 0.0)
    assert curls("swatch", edges="curl") == (-100.0, 100.0)
    assert curls("repeat", edges="curl") == (0.0, 0.0)
    assert curls("swatch", edges="curl", edge_curl_across_per_m=0.0) == (0.0, 100.0)
    assert curls("swatch", edges="curl", edge_curl_up_per_m=150.0) == (-100.0, 150.0)
    for edges, depth in (("flat", np.inf), ("curl", 0.03)):
        assert (
            set_up(scene_of(("..#.", "...."), worked="flat", fabric={"edges": edges}), "swatch").stiffness.curl_depth
            == depth
        )


def test_a_swatch_left_to_curl_rests_in_few_factorisations_and_flat_in_its_middle() -> None:
    """Its edges roll by up to 3 cm over 100 1/m, so by less than half a turn: to a rise of two radii, 2 cm."""
    rest = relax(scene_of(["." * 44] * 44, worked="flat", fabric={"edges": "curl"}), "swatch")
    mesh, z_n = rest.mesh, rest.x_nc[:, 2]
    assert rest.effort.factorisations <= 60  # all over that took 203 and folded a fifth of it
    assert len(rest.touching) == 0
    assert crossing_cells(mesh, rest.state) == 0
    ends_n = (mesh.row_n == 0) | (mesh.row_n == mesh.rows - 1)
    middle_n = np.abs(mesh.column_n - 21.5) < 10
    assert z_n[ends_n & middle_n].mean() == pytest.approx(0.02, abs=0.003)  # the ends stand up
    inner_n = middle_n & (np.abs(mesh.row_n - 21.5) < 6)
    assert np.ptp(z_n[inner_n]) < mesh.thickness  # the middle lies


def test_a_free_swatch_bends_its_sides_to_the_back_and_its_ends_to_the_face() -> None:
    """Narrow enough, it stands on its sides; held flat it lies level."""
    for edges, up in (("flat", 0.0), ("curl", 1.0)):
        rest = relax(scene_of(["." * 8] * 24, worked="flat", fabric={"edges": edges}), "swatch")
        mesh = rest.mesh
        rise_i = np.bincount(mesh.row_n, rest.x_nc[:, 2]) / mesh.stitches
        rise_j = np.bincount(mesh.column_n, rest.x_nc[:, 2]) / mesh.rows
        assert min(rise_i[[0, -1]]) - rise_i[12] >= 0.5 * up * mesh.thickness
        assert rise_j[4] - max(rise_j[[0, -1]]) >= 0.5 * up * mesh.thickness
        assert rest.x_nc[:, 2].min() < 0.5 * mesh.thickness  # it lies on the table
        if not up:
            assert np.ptp(rest.x_nc[:, 2]) < 1e-9


def test_no_float_crosses_the_seam_of_what_is_worked_flat_and_sewn_up() -> None:
    """In the round they run on over the join; worked flat they end at the edges, as in its own case."""
    flat, tube = scene(worked="flat"), scene()
    assert any(one.crosses for one in whole_floats(tube, "round"))
    assert whole_floats(flat, "round") == whole_floats(flat, "swatch")
    assert not any(one.crosses for one in set_up(flat, "round").floats)
