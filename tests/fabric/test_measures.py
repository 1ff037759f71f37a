"""Measures of shapes whose answer is known."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from fabricsim.cli.words.pucker import PUCKER_WORDS, pucker_word
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from fabricsim.mechanics.assemble import State
from fabricsim.units import MM

ROWS, STITCHES = 12, 24
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
