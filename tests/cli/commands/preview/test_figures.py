"""Figures of a preview, made from a forecast that is made up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fabricsim.cli.commands.preview import figures as words_of_figures
from fabricsim.cli.commands.preview.figures import figures
from fabricsim.design.floats.faults import faults
from fabricsim.fabric.cell import Cut, copied, written_out
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.mechanics.bloch import Wave
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.forecast.starts import Start
from fabricsim.study.forecast.waves import Onset, TileWave
from fabricsim.units import CM, MICROJOULE
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of

TUBE = {"across": 2, "up": 2}


def lines_of(forecast: Forecast, over: int = 0) -> dict[str, str]:
    """Return the figures by their label."""
    scene = forecast.equilibrium.scene
    found = faults(forecast.equilibrium.floats, replace(scene.limits, longest_gap=0))[:over]
    return dict(figures(forecast, found, "round"))


def told(rest: Equilibrium, **measured: object) -> dict[str, str]:
    return lines_of(forecast_of(rest, measures_of(rest, **measured)))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def repeat() -> Equilibrium:
    return rest_of(scene_of(-0.05))


@pytest.fixture(scope="module")
def tube() -> Equilibrium:
    return rest_of(scene_of(-0.05, chart=TUBE), "round")


@pytest.mark.parametrize(("apart", "taut", "said"), [(2, 3, "2 of them lie"), (5, 1, "1 of them lies"), (4, 0, "")])
def test_taut_floats_that_the_shaping_makes_so_are_told_apart(
    apart: int, taut: int, said: str, tube: Equilibrium, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(words_of_figures, "drawn_apart", lambda mesh: np.arange(len(mesh.floats)) < apart)
    lines = told(tube, taut=taut)
    assert lines.get("", "") == (
        f"({said} where stitches that come or go draw their neighbours apart: carry yarn looser there)" if said else ""
    )


def test_floats_of_a_piece_are_counted_and_those_over_the_limit(repeat: Equilibrium, tube: Equilibrium) -> None:
    limit = "over your limit of 5 stitches or 2.5 cm (the longest passes behind 5 stitches, 2.5 cm)"
    assert told(repeat)["Floats"] == f"8 in one repeat; none {limit}"
    floats = len(tube.floats)
    assert lines_of(forecast_of(tube, measures_of(tube)), 2)["Floats"].startswith(f"{floats}; 2 over your limit of")
    assert told(repeat)["Taut"] == "0 of 8: nothing pulls while the fabric lies"


@pytest.mark.parametrize(
    ("lost", "said"),
    [
        (0.0, "none: 6.0 cm wide, as plain fabric"),
        (0.00049, "none: 6.0 cm wide, as plain fabric"),
        (0.0005, "0.1 % narrower, less than 1 mm of 6.0 cm"),
        (0.0166, "1.7 % narrower, less than 1 mm of 6.0 cm"),
        (0.0167, "1.7 % narrower, 6.0 cm to 5.9 cm"),
        (0.25, "25.0 % narrower, 6.0 cm to 4.5 cm"),
    ],
)
def test_draw_in_in_per_cent_and_centimetres(lost: float, said: str, repeat: Equilibrium) -> None:
    assert told(repeat, lost=lost)["Draw-in"] == said


@pytest.mark.parametrize(
    ("pieces", "said"),
    [
        (((0.02, 0), (0.06, 0), (0.01, 0), (0.10, 0)), "; likely 1.0 to 10.0 %, 0.1 to 0.6 cm"),
        (((0.05, 0), None, (0.06, 0), None), "; likely 4.0 to 6.0 %, 0.2 to 0.4 cm"),
        (((-0.01, 0),) * 4, "; likely 0.0 to 4.0 %, 0.0 to 0.2 cm"),  # wider than plain by round-off: nothing
    ],
)
def test_the_likely_range_in_per_cent_and_in_centimetres(
    pieces: tuple[tuple[float, float] | None, ...], said: str, repeat: Equilibrium
) -> None:
    """Of the plain width, 6 cm; the shown one counts too."""
    found = forecast_of(repeat, measures_of(repeat, lost=0.04), pieces_of(repeat, *pieces))
    assert lines_of(found)["Draw-in"] == f"4.0 % narrower, 6.0 cm to 5.8 cm{said}"


def test_where_no_piece_loses_anything_no_range_is_told(repeat: Equilibrium) -> None:
    pieces = pieces_of(repeat, *[(0.0004, 0.0)] * 4)
    assert lines_of(forecast_of(repeat, measures_of(repeat), pieces))["Draw-in"].endswith("as plain fabric")


def test_the_narrowest_row_is_told_of_whole_pieces(repeat: Equilibrium, tube: Equilibrium) -> None:
    assert told(tube, lost=0.04, narrowest=(5, 0.072))["Narrowest"] == "round 5: 7.2 % narrower"
    assert told(tube, lost=0.04, narrowest=(1, 0.072))["Narrowest"] == "round 1: 7.2 % narrower"
    assert "Narrowest" not in told(tube, lost=0.04, narrowest=(5, 0.0404))
    assert "Narrowest" not in told(repeat, lost=0.04, narrowest=(2, 0.072))


@pytest.mark.parametrize(
    ("taller", "said"),
    [
        (0.021, "2.1 % taller"),
        (-0.021, "2.1 % shorter"),
        (0.00049, "unchanged"),
        (-0.00049, "unchanged"),
        (0.0005, "0.1 % taller"),
        (-0.0005, "0.1 % shorter"),
    ],
)
def test_taller_and_shorter(taller: float, said: str, repeat: Equilibrium) -> None:
    assert told(repeat, taller=taller)["Height"] == said


def test_pucker_and_what_it_may_be(repeat: Equilibrium) -> None:
    pieces = pieces_of(repeat, (0, 0.4), (0, 8.2), (0, 2.0), None)
    said = lines_of(forecast_of(repeat, measures_of(repeat, pucker_mm=3.04), pieces))["Pucker"]
    assert said == "puckered (3 to 8 mm): 3.0 mm from peak to valley; likely 0.4 to 8.2 mm, so flat to deeply puckered"
    alike = forecast_of(repeat, measures_of(repeat, pucker_mm=3.04), pieces_of(repeat, *[(0, 3.08)] * 4))
    assert lines_of(alike)["Pucker"] == "puckered (3 to 8 mm): 3.0 mm from peak to valley"
    apart = forecast_of(repeat, measures_of(repeat, pucker_mm=3.04), pieces_of(repeat, *[(0, 3.1)] * 4))
    assert lines_of(apart)["Pucker"].endswith("; likely 3.0 to 3.1 mm, so puckered")


def test_floats_that_lie_on_the_back(repeat: Equilibrium) -> None:
    assert "" not in told(repeat)
    assert told(repeat, pressing=1)[""] == (
        "(1 taut float lies on the back of the fabric and holds down the stitches that bulge in its way)"
    )
    assert told(repeat, pressing=2)[""] == (
        "(2 taut floats lie on the back of the fabric and hold down the stitches that bulge in their way)"
    )


def test_shapes_are_told_where_there_are_several_or_more_starts(repeat: Equilibrium) -> None:
    def start(lost: float | None, pucker_mm: float = 2.0) -> Start:
        if lost is None:
            return Start("random", said="no rest")
        return Start("random", 30 * MICROJOULE, measures_of(repeat, lost=lost, pucker_mm=pucker_mm))

    def shapes(*others: Start) -> str | None:
        shown = measures_of(repeat, lost=0.05, pucker_mm=2.0)
        return lines_of(forecast_of(repeat, shown, (), others, energy_uJ=12.345)).get("Shapes")

    least = "shown is the one of least energy, 12.3 microjoules"
    assert shapes() is None
    assert shapes(start(0.05)) is None
    one = "all came to one shape: 5.0 to 5.0 % narrower, pucker 2.0 to 2.0 mm"
    assert shapes(start(0.05), start(0.05)) == f"3 starts {one}; {least}"
    assert shapes(start(0.07, 4.5)) == (
        f"2 starts came to 2 shapes: 5.0 to 7.0 % narrower, pucker 2.0 to 4.5 mm; {least}"
    )
    assert shapes(start(None)) == f"2 starts came to one shape, 1 of them to no rest{one[21:]}; {least}"
    assert shapes(start(0.07, 4.5), start(None)) == (
        f"3 starts came to 2 shapes, 1 of them to no rest: 5.0 to 7.0 % narrower, pucker 2.0 to 4.5 mm; {least}"
    )


def wave_of(tile: tuple[int, int], cm: float) -> TileWave:
    return TileWave(Wave(np.zeros(2), -0.25, np.zeros((1, 3), dtype=complex)), tile, cm * CM)


@pytest.mark.parametrize(
    ("wave", "begins", "said"),
    [
        (None, None, None),
        (wave_of((3, 1), 17.9), None, "18 cm long, over 3 repeats side by side"),
        (wave_of((1, 2), 9.4), None, "9 cm long, over 2 repeats above each other"),
        (
            wave_of((3, 2), 12.0),
            Onset(0.014, -0.036, wave_of((3, 2), 12.0)),
            "12 cm long, over 3 x 2 repeats; flat fabric begins to pucker at a slack of -3.6 %",
        ),
        (
            None,
            Onset(-0.03, -0.08, None),
            "none longer than the chart; flat fabric begins to pucker at a slack of -8.0 %",
        ),
    ],
)
def test_waves_of_several_repeats_and_where_they_begin(
    repeat: Equilibrium, wave: TileWave | None, begins: Onset | None, said: str | None
) -> None:
    made = forecast_of(repeat, measures_of(repeat))
    made = replace(made, found=replace(made.found, wave=wave), onset=begins)
    assert lines_of(made).get("Waves") == said


def test_floats_of_unlike_slack_begin_to_pucker_by_so_much_more_or_less() -> None:
    rest = rest_of(scene_of(0.05, floats={"slack_by_yarn": {"o": -0.06, ".": -0.02}}))
    for shift, said in ((-0.0123, "1.2 % tighter"), (0.02, "2.0 % looser")):
        made = replace(forecast_of(rest, measures_of(rest)), onset=Onset(shift, -0.06 + shift, None))
        assert lines_of(made)["Waves"].endswith(f"; flat fabric begins to pucker with all floats {said} than here")


def test_taut_floats_are_counted_in_all_the_repeats_of_a_wave(repeat: Equilibrium) -> None:
    two = written_out(repeat, copied(repeat.contact.fabric, 3, 24), Cut(3, 12))
    assert two.repeats == (2, 1)
    assert lines_of(forecast_of(two, measures_of(two, taut=5, pull_cN=1.0)))["Taut"].startswith(
        "5 of 16 in 2 repeats side by side; the hardest"
    )
    assert lines_of(forecast_of(two, measures_of(two)))["Floats"].startswith("8 in one repeat")
