"""Measures of shapes whose answer is known."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from fabricsim.cli.words.pucker import PUCKER_WORDS, pucker_word
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_of_text
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import _wavelength, measure
from fabricsim.fabric.relax import TOLERANCE, come_to_rest, relax
from fabricsim.fabric.whole import set_up_whole
from fabricsim.mechanics.assemble import State
from fabricsim.units import MM
from tests.support.scenes import scene_of

ROWS, STITCHES = 12, 24
HAT = """
title = "Little hat"
worked = "round"
item = "hat"
[chart]
rows = ["..bb", "b...", "...."]
across = 12
[[yarns]]
symbol = "."
name = "a"
colour = "#888888"
tex = 400
[[yarns]]
symbol = "b"
name = "b"
colour = "#222222"
tex = 400
[gauge]
stitches = 20
rows = 26
[sizes]
rib_cm = 1.5
"""
MOTIF = ["A" * STITCHES] * ROWS


def _plain(case: Case) -> Equilibrium:
    scene = Scene.model_validate(
        {
            "title": "plain",
            "worked": "flat",
            "chart": {"rows": MOTIF},
            "yarns": [{"symbol": "A", "name": "a", "colour": "#aaaaaa", "tex": 500}],
            "gauge": {"stitches": 20, "rows": 25},
        }
    )
    return relax(scene, case)


def _moved(rest: Equilibrium, x_nc: np.ndarray, period_a: np.ndarray | None = None) -> Equilibrium:
    return replace(rest, x_nc=x_nc, period_a=rest.period_a if period_a is None else period_a)


def test_a_cell_squeezed_by_a_known_share() -> None:
    rest = _plain("repeat")
    assert rest.period_a is not None
    measured = measure(_moved(rest, rest.x_nc, rest.period_a * [0.93, 1.02]))
    assert measured.widths.overall == pytest.approx(0.07, abs=1e-14)
    assert measured.widths.width == pytest.approx(0.93 * STITCHES / 20 * 0.1, rel=1e-13)
    assert measured.height_change == pytest.approx(0.02, abs=1e-14)


def test_a_swatch_with_one_narrow_row() -> None:
    rest = _plain("swatch")
    x_nc = rest.x_nc.copy()
    x_nc[rest.mesh.row_n == 5, 0] *= 0.9
    loss_i = measure(_moved(rest, x_nc)).widths.loss_i
    assert loss_i[5] == pytest.approx(0.1, abs=1e-13)
    assert np.abs(np.delete(loss_i, 5)).max() < 1e-13


def test_a_tube_drawn_in_at_its_waist_and_turned_is_measured_by_tape() -> None:
    rest = _plain("round")
    share_n = np.where(rest.mesh.row_n == 5, 0.9, 1.0)
    x_nc = rest.x_nc * np.column_stack([share_n, np.ones_like(share_n), share_n])
    turn = 0.7
    x_nc = x_nc @ np.array([[np.cos(turn), 0, -np.sin(turn)], [0, 1, 0], [np.sin(turn), 0, np.cos(turn)]])
    measured = measure(_moved(rest, x_nc + np.array([0.3, -0.1, 0.2])))
    assert measured.widths.loss_i[5] == pytest.approx(0.1, abs=1e-12)
    assert measured.widths.narrowest == pytest.approx(0.1, abs=1e-12)
    assert measured.pucker.peak_to_valley < 1e-15  # drawing in is no pucker


def test_a_dent_in_a_tube_does_not_shorten_the_tape() -> None:
    """A tape bridges a hollow: pushing one stitch in by less than the sagitta of its neighbours' chord
    changes the hull by no more than that stitch's own corner."""
    rest = _plain("round")
    x_nc = rest.x_nc.copy()
    node = int(np.flatnonzero((rest.mesh.row_n == 5) & (rest.mesh.column_n == 10))[0])
    x_nc[node, [0, 2]] *= 0.5
    around = 2.0 * np.pi / STITCHES
    chords = STITCHES * 2.0 * np.sin(around / 2.0)
    expected = 1.0 - (chords - 4.0 * np.sin(around / 2.0) + 2.0 * np.sin(around)) / chords
    assert measure(_moved(rest, x_nc)).widths.loss_i[5] == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("waves", [1, 2, 3])
@pytest.mark.parametrize("share_a", [(1.0, 1.0), (0.85, 1.1)])
def test_waves_of_known_height_and_length(waves: int, share_a: tuple[float, float]) -> None:
    """As long as the fabric is that they lie in: drawn in, not plain."""
    plain = _plain("repeat")
    assert plain.period_a is not None
    x_nc = plain.x_nc * np.array([*share_a, 1.0])
    rest = _moved(plain, x_nc, plain.period_a * share_a)
    assert rest.period_a is not None
    high = 2 * MM
    x_nc = rest.x_nc.copy()
    x_nc[:, 2] = high * np.cos(2.0 * np.pi * waves * rest.mesh.column_n / STITCHES)
    pucker = measure(_moved(rest, x_nc)).pucker
    assert pucker.peak_to_valley == pytest.approx(2.0 * high, rel=1e-12)
    assert pucker.rms == pytest.approx(high / np.sqrt(2.0), rel=1e-12)
    assert pucker.wave_across == pytest.approx(rest.period_a[0] / waves, rel=1e-12)
    assert pucker.wave_up is None
    x_nc[:, 2] = high * np.cos(2.0 * np.pi * waves * rest.mesh.row_n / ROWS)
    pucker = measure(_moved(rest, x_nc)).pucker
    assert pucker.wave_up == pytest.approx(rest.period_a[1] / waves, rel=1e-12)
    assert pucker.wave_across is None


def test_a_dome_and_a_tilt_of_a_swatch_are_no_pucker_but_a_wave_is() -> None:
    rest = _plain("swatch")
    u, v = rest.x_nc[:, 0] / 0.1, rest.x_nc[:, 1] / 0.1
    x_nc = rest.x_nc.copy()
    x_nc[:, 2] = 0.004 * (1.0 - u * u) + 0.003 * v + 0.002 * u * v * v
    assert measure(_moved(rest, x_nc)).pucker.peak_to_valley < 1e-15
    x_nc[:, 2] += 1 * MM * np.cos(np.pi * rest.mesh.column_n)
    assert measure(_moved(rest, x_nc)).pucker.peak_to_valley == pytest.approx(
        2 * MM, rel=0.12
    )  # the base follows a little


def test_an_oval_tube_is_no_pucker_but_three_lobes_are() -> None:
    rest = _plain("round")
    angle_n = np.arctan2(rest.x_nc[:, 0], rest.x_nc[:, 2])
    for lobes, least, most in ((2, 0.0, 1e-9), (3, 3.9 * MM, 4.0 * MM)):
        radius_n = np.hypot(rest.x_nc[:, 0], rest.x_nc[:, 2]) + 2 * MM * np.cos(lobes * angle_n)
        x_nc = np.column_stack([radius_n * np.sin(angle_n), rest.x_nc[:, 1], radius_n * np.cos(angle_n)])
        assert least <= measure(_moved(rest, x_nc)).pucker.peak_to_valley <= most


def test_words_follow_their_thresholds_without_a_gap() -> None:
    assert PUCKER_WORDS[0].least == 0.0
    for before, after in pairwise(PUCKER_WORDS):
        assert before.below == after.least
        assert pucker_word(after.least) is after
        assert pucker_word(np.nextafter(after.least, 0.0)) is before
    assert pucker_word(1.0) is PUCKER_WORDS[-1]
    assert [word.range_mm for word in PUCKER_WORDS] == ["under 1 mm", "1 to 3 mm", "3 to 8 mm", "8 mm and more"]


def test_a_swatch_folded_onto_itself_touches_itself_and_a_flat_one_does_not() -> None:
    rest = _plain("swatch")
    assert measure(rest).touching == 0
    x_nc = rest.x_nc.copy()
    middle = 0.5 * (x_nc[:, 0].min() + x_nc[:, 0].max())
    over = x_nc[:, 0] > middle
    x_nc[over, 0] = 2.0 * middle - x_nc[over, 0]
    for lift, touching in ((0.9, ROWS * STITCHES), (1.1, 0)):
        lifted_nc = x_nc + np.column_stack([0.0 * over, 0.0 * over, lift * rest.mesh.thickness * over])
        # All stitches lie on another but the two middle columns, neighbours, and these with the cells beside them.
        found = rest.contact.touching(State(lifted_nc))
        measured = measure(replace(_moved(rest, lifted_nc), touching=found))
        assert measured.touching == touching
        assert measured.crossing == 0


def test_a_swatch_put_through_itself_is_told() -> None:
    rest = _plain("swatch")
    assert measure(rest).crossing == 0
    x_nc = rest.x_nc.copy()
    over = rest.mesh.column_n >= STITCHES // 2
    x_nc[over] += [-0.02, 0.3 * rest.mesh.row_height, 0.0]  # pushed over four stitches of the left half
    x_nc[over, 2] += np.where(rest.mesh.row_n[over] < ROWS // 2, -0.01, 0.01)  # below it, then above it
    # The wales of cells in that row that lie over each other, some of them cut by two of the others' diagonals.
    assert 4 <= measure(_moved(rest, x_nc)).crossing <= 24


def test_a_tube_is_no_fold() -> None:
    measured = measure(_plain("round"))
    assert measured.touching == 0
    assert measured.crossing == 0


# ---- closed forms of single measures --------------------------------------------------------------


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_plain_fabric_is_as_wide_as_its_gauge_says_and_measures_nothing(case: Case) -> None:
    """A repeat is told at the width of the whole piece: here three of them."""
    rest = _plain(case)
    if case == "repeat":
        rest = replace(
            rest, scene=rest.scene.model_copy(update={"chart": rest.scene.chart.model_copy(update={"across": 3})})
        )
    measured = measure(rest)
    wide = STITCHES / 20 * 0.1 * (3 if case == "repeat" else 1)
    np.testing.assert_allclose(measured.widths.plain_i, [wide] * ROWS)
    np.testing.assert_allclose(measured.widths.width_i, [wide] * ROWS)
    assert measured.widths.plain == measured.widths.width == pytest.approx(wide)
    assert (measured.widths.overall, measured.widths.narrowest, measured.height_change) == (0.0, 0.0, 0.0)
    assert (measured.pucker.rms, measured.pucker.peak_to_valley) == (0.0, 0.0)
    assert (measured.pucker.wave_across, measured.pucker.wave_up) == (None, None)
    assert (measured.pull.taut, measured.pull.pressing, measured.pull.greatest) == (0, 0, 0.0)


def _stranded(case: Case = "swatch") -> Equilibrium:
    """Rows 3 to 6 of twelve hold floats, loose ones."""
    rows = [row if 5 <= number <= 8 else "." * 24 for number, row in enumerate(["#....." * 4] * 12)]
    return relax(scene_of(rows, 0.5, worked="round" if case == "round" else "flat"), case)


def test_what_is_lost_overall_is_the_mean_of_the_rows_from_the_first_float_to_the_last() -> None:
    rest = _stranded()
    assert sorted(set(rest.mesh.row_n[rest.mesh.floats.node_f2].ravel().tolist())) == [3, 4, 5, 6]
    share_i = 0.01 * np.arange(12.0)
    x_nc = rest.x_nc * np.column_stack([1.0 - share_i[rest.mesh.row_n], np.ones((12 * 24, 2))])
    found = measure(_moved(rest, x_nc)).widths
    np.testing.assert_allclose(found.loss_i, share_i, atol=1e-9)
    assert found.overall == pytest.approx(0.01 * (3 + 4 + 5 + 6) / 4)
    assert found.narrowest == pytest.approx(0.11)
    np.testing.assert_allclose(found.width_i, found.plain_i * (1.0 - share_i))
    assert found.width == pytest.approx(found.plain * (1.0 - found.overall))


@pytest.mark.parametrize("case", ["swatch", "round"])
def test_the_height_is_the_mean_of_the_wales(case: Case) -> None:
    rest = _plain(case)
    share_n = 1.0 + 0.01 * rest.mesh.column_n
    moved = _moved(rest, rest.x_nc * np.column_stack([np.ones_like(share_n), share_n, np.ones_like(share_n)]))
    assert measure(moved).height_change == pytest.approx(0.01 * (STITCHES - 1) / 2, rel=1e-9)


def test_a_row_pressed_flat_is_there_and_back() -> None:
    """Its hull is a line: a tape goes along it twice."""
    rest = _plain("round")
    x_nc = rest.x_nc.copy()
    flat = rest.mesh.row_n == 4
    x_nc[flat, 2] = 0.0
    x_nc[flat, 0] = np.linspace(0.02, 0.05, STITCHES)
    found = measure(_moved(rest, x_nc)).widths
    chords = STITCHES * np.hypot(0.1 / 20, 0.0)
    assert found.loss_i[4] == pytest.approx(1.0 - 0.06 / chords, rel=2e-3)
    x_nc[flat, 2], x_nc[flat, 0] = np.linspace(0.02, 0.05, STITCHES), 0.0  # whichever way it lies
    assert measure(_moved(rest, x_nc)).widths.loss_i[4] == pytest.approx(found.loss_i[4], rel=1e-9)


@pytest.mark.parametrize("long", [4.0, 6.0, 9.0])
def test_waves_of_a_swatch_are_as_long_as_they_are_told(long: float) -> None:
    """Whose edges are free: h = sin(q j) has differences of 2 sin(q / 2) times its rms; the ends count a little."""
    rest = _plain("swatch")
    x_nc = rest.x_nc.copy()
    x_nc[:, 2] = 2 * MM * np.cos(2.0 * np.pi * rest.mesh.column_n / long)
    found = measure(_moved(rest, x_nc)).pucker
    assert found.wave_across == pytest.approx(long * 0.1 / 20, rel=0.1)
    assert found.wave_up is None
    x_nc[:, 2] = 2 * MM * np.cos(2.0 * np.pi * rest.mesh.row_n / min(long, 6.0))
    found = measure(_moved(rest, x_nc)).pucker
    assert found.wave_up == pytest.approx(min(long, 6.0) * 0.1 / 25, rel=0.2)
    assert found.wave_across is None


def test_a_wave_along_free_edges_by_hand() -> None:
    """Heights 1, -1 by turns are two stitches long; nothing is smoother than half a wave, which fits just once."""
    by_turns = np.tile([1.0, -1.0], (3, 6))
    assert _wavelength(by_turns, 0.005, closed=False) == pytest.approx(0.01, rel=1e-6)
    assert _wavelength(by_turns, 0.005, closed=True) == pytest.approx(0.01)
    half = np.tile(np.cos(np.pi * (np.arange(200.0) + 0.5) / 200), (3, 1))
    assert _wavelength(half, 0.005, closed=False) == pytest.approx(2 * 200 * 0.005, rel=5e-3)
    for smooth in (half[0], np.arange(200.0), np.arange(200.0) ** 3, np.sign(half[0])):
        found = _wavelength(smooth[None], 0.005, closed=False)
        assert found is not None
        assert found < 2 * 200 * 0.005
    quarters = np.tile([0.0, 1.0, 0.0, -1.0], (2, 25))  # slope over height sqrt 2 = 2 sin(q / 2): q = pi / 2
    assert _wavelength(quarters, 0.005, closed=False) == pytest.approx(0.02, rel=2e-2)
    for high, seen in ((0.99e-5, False), (1.01e-5, True)):
        assert (_wavelength(high * by_turns, 0.005, closed=True) is not None) == seen
    assert _wavelength(np.array([[1.0], [2.0]]), 0.005, closed=True) is None  # of one stitch there is no wave
    assert _wavelength(by_turns + np.array([[5.0], [-9.0], [70.0]]), 0.005, closed=True) == pytest.approx(0.01)


def test_heights_are_off_the_plane_of_a_repeat_wherever_it_lies() -> None:
    rest = _plain("repeat")
    x_nc = rest.x_nc.copy()
    x_nc[:, 2] = 0.3 + np.where(rest.mesh.column_n == 3, 2 * MM, 0.0)
    found = measure(_moved(rest, x_nc)).pucker
    want_n = np.where(rest.mesh.column_n == 3, 2 * MM, 0.0) - 2 * MM / STITCHES
    np.testing.assert_allclose(found.height_n, want_n, atol=1e-12)
    assert found.rms == pytest.approx(float(np.sqrt((want_n**2).mean())))
    assert found.peak_to_valley == pytest.approx(2 * MM)


def test_what_floats_do_is_read_off_their_tension_and_their_way() -> None:
    """Taut is what pulls by more than the solver can tell; pressing, what pulls and lies on stitches; to spare, yarn
    over way."""
    rest = _stranded()
    felt = TOLERANCE * rest.stiffness.stretch_across * rest.mesh.stitch_width
    count = len(rest.floats)
    tension_f = np.zeros(count)
    tension_f[:4] = 1.01 * felt, 0.99 * felt, 0.002, 0.001
    pressed = ((), (1,), (2, 3), (1,), *((),) * (count - 5), (1,))
    way_f = rest.mesh.floats.length_f / np.linspace(0.9, 1.1, count)
    found = measure(replace(rest, tension_f=tension_f, pressed=pressed, way_f=way_f)).pull
    assert found.taut_f.tolist() == [True, False, True, True, *[False] * (count - 4)]
    assert (found.taut, found.pressing) == (3, 2)
    assert found.pressing_f.tolist() == [False, False, True, True, *[False] * (count - 4)]
    assert found.greatest == 0.002
    np.testing.assert_allclose(found.spare_f, np.linspace(-0.1, 0.1, count), atol=1e-12)


def test_fabrics_and_measures_say_what_they_are() -> None:
    rest = _stranded("round")
    assert repr(rest) == f"<Equilibrium of 'small': round, 12 rows of 24 stitches, {len(rest.floats)} floats>"
    assert repr(rest.mesh) == f"<Mesh: round, 12 rows of 24 stitches, {len(rest.floats)} floats>"
    measured = measure(rest)
    told = replace(
        measured,
        widths=replace(measured.widths, overall=0.0312),
        pucker=replace(measured.pucker, peak_to_valley=0.00149),
    )
    assert repr(told) == "<Measures: 3.1 % of the width lost, 1.5 mm of pucker, 0 floats taut>"
    assert rest._repr_png_() is None
    assert replace(rest, painter=lambda one: one.scene.title.encode())._repr_png_() == b"small"


@pytest.fixture(scope="module")
def hat() -> Equilibrium:
    """A whole hat at rest, none of whose floats pulls."""
    return come_to_rest(set_up_whole(scene_of_text(HAT, Path("hat.toml")), slack=0.5).fabric)


def test_a_whole_hat_that_nothing_pulls_measures_nothing(hat: Equilibrium) -> None:
    measured = measure(hat)
    rows = hat.mesh.rows - 1  # the yarn that draws it up is no row
    assert measured.widths.loss_i == pytest.approx(np.zeros(rows), abs=1e-12)
    assert measured.pucker.peak_to_valley < 1e-12
    assert measured.pucker.wave_across is None
    assert abs(measured.height_change) < 1e-12
    stranded = measured.widths.plain_i[measured.widths.counted]
    assert len(stranded) == 2
    assert measured.widths.plain == pytest.approx(stranded.mean())
    assert measured.widths.plain_i[0] < 0.95 * measured.widths.plain  # rib


def test_a_whole_hat_drawn_in_evenly_is_no_pucker(hat: Equilibrium) -> None:
    x_nc = hat.x_nc - hat.x_nc.mean(axis=0)
    measured = measure(_moved(hat, x_nc * [0.93, 1.0, 0.93]))
    # what a round climbs by is not drawn in (derived: a row's height in so many stitches)
    climb_i = hat.mesh.row_height / (np.bincount(hat.mesh.row_n)[:-1] * hat.mesh.stitch_width)
    # stitches lie a hundredth off even, rounds slope a little where stitches go, and the last has but six
    assert measured.widths.loss_i == pytest.approx(0.07 * (1.0 - climb_i**2), abs=7e-4)
    # 7 % of its radius of 3.7 cm are 2.6 mm; a spiral is no ring, and moves a little otherwise beside its join
    assert np.abs(measured.pucker.height_n[hat.mesh.row_n < 8]).max() < 2.5e-4


def test_a_whole_hat_is_as_much_taller_as_its_rows_lie_farther_apart(hat: Equilibrium) -> None:
    assert measure(_moved(hat, 1.05 * hat.x_nc)).height_change == pytest.approx(0.05, abs=1e-12)


def test_a_round_bent_to_a_saddle_is_as_long_as_before(hat: Equilibrium) -> None:
    turn_n = np.arctan2(hat.mesh.rest_nc[:, 0], hat.mesh.rest_nc[:, 2])
    x_nc = hat.x_nc.copy()
    low = hat.mesh.row_n == 3
    radius = float(np.hypot(*hat.x_nc[low][:, [0, 2]].T).mean())
    x_nc[low, 1] += 0.5 * radius * np.cos(2.0 * turn_n[low])  # 1.0 times its slope, up and down
    longer = 1.0 - measure(_moved(hat, x_nc)).widths.loss_i[3]
    at = np.linspace(0.0, 2.0 * np.pi, 4097)
    assert longer == pytest.approx(np.sqrt(1.0 + np.sin(2.0 * at) ** 2).mean(), rel=7e-3)  # its arc (derived)


def test_a_bump_on_a_whole_hat_is_its_pucker(hat: Equilibrium) -> None:
    node = int(np.flatnonzero((hat.mesh.row_n == 6) & (hat.mesh.column_n == 10))[0])
    x_nc = hat.x_nc.copy()
    x_nc[node] += 0.003 * hat.normal_nc[node]
    height_n = measure(_moved(hat, x_nc)).pucker.height_n
    assert height_n.argmax() == node
    assert height_n[node] == pytest.approx(0.003 * (1.0 - 13.0 / 48.0), rel=1e-3)  # less what six harmonics hold
