"""What a preview says, sentence by sentence, from forecasts that nobody solved."""

from __future__ import annotations

from dataclasses import replace
from math import log
from typing import Any

import numpy as np
import pytest

from fabricsim.cli.commands.preview.words import figures, hands_told, other_slack, remarks, trust, words
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.washed import NO_SINGLE_REST
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.cell import Cut, copied, written_out
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.mechanics.bloch import Wave
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.forecast.starts import Start
from fabricsim.study.forecast.waves import Onset, TileWave
from fabricsim.study.hands.prior import EVEN, Hands, hands_of
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


def test_the_whole_of_it_in_order(repeat: Equilibrium) -> None:
    shown = measures_of(repeat, lost=0.04, taut=3, pull_cN=1.234)
    said = words(forecast_of(repeat, shown, pieces_of(repeat, *[(0.05, 0.5)] * 4)), [])
    assert said == [
        "Made up",
        "Seen as endless repeats, far from any edge and without weight: 12 stitches x 3 rounds.",
        "",
        "Floats     8 in one repeat; none over your limit of 5 stitches or 2.5 cm (the longest passes behind 5 "
        "stitches, 2.5 cm)",
        "Taut       3 of 8; the hardest pulls with 1.23 cN (1 cN is about the weight of a gram)",
        "Draw-in    4.0 % narrower, 6.0 cm to 5.8 cm; likely 4.0 to 5.0 %, 0.2 to 0.3 cm",
        "Height     unchanged",
        "Pucker     flat (under 1 mm): 0.0 mm from peak to valley; likely 0.0 to 0.5 mm, so flat",
        "",
        "What to do",
        "  - Work the rounds with floats on larger needles, 1 size larger than yours (4.5 to 5.5 mm are usual for this "
        "gauge, by the Craft Yarn Council's standard): one size widens by 5 to 8 %, though 0 to 25 is reported. Go "
        "back to your own for plain rounds, and one or two sizes below that for rib. Swatch it.",
        "  - Your floats are up to 5 % too short. Spread the last few stitches on the right needle to their full width "
        "before each change of colour, so that the floats gain 5 % and more; the usual aim is a slack of 5 to 15 %.",
        "  - Or allow for it: about 1 more stitch would make good the width (one repeat is 12).",
        "",
        "'Likely': nine pieces in ten lie there, of 4 knitted by hands that might be yours: slack as written, 3 % "
        "tighter to 3 % looser, uneven by 3 % from float to float (or 1.6 times more or less), each 0.2 to 0.7 mm "
        "shorter, and fabric up to 2 times as stiff or as soft. The one shown draws in as the middle of them. The "
        "mechanics is checked against exact solutions, not against hand-knits: knit a swatch.",
        NO_SINGLE_REST,
        CAUTION,
    ]


def test_without_floats_there_is_none_to_be_cautious_of() -> None:
    rest = rest_of(scene_of(0.05, ["......"] * 2, worked="flat"))
    said = words(forecast_of(rest, measures_of(rest)), [])
    assert "Floats     none: one colour a row, nothing to pull" in said
    assert not any(one.startswith("Taut") for one in said)
    assert CAUTION not in said
    assert said[1].endswith("6 stitches x 2 rows.")


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


def said_of(hands: Hands, scene: Scene | None = None, slack: float | None = None) -> str:
    rest = rest_of(scene or scene_of(-0.05), slack=slack)
    return hands_told(forecast_of(rest, measures_of(rest), hands=hands))


def learnt(low: float = -0.08, high: float = -0.03, *, floats: dict[str, Any] | None = None, known: Any = "measured",
           bending: float = 2.0) -> Scene:  # fmt: skip
    """Return a scene that names a knitter's file; ``floats``: what it says itself."""
    once = LearntFactor(value=1.0, low=0.5, high=2.0, known="measured")
    slack = LearntSlack(value=-0.06, low=low, high=high, known=known)
    scene = scene_of()
    scene = scene.model_copy(update={"floats": scene.floats.model_validate(floats or {}), "knitter": "h.toml"})
    scene._hands = Knitter(slack=slack, stretch=once, bending=once, weight=once, bending_against_stretch=bending)
    return scene


STIFF = ", and fabric up to 2 times as stiff or as soft"
SAME = Hands(0.03 * EVEN, 0.0, 0.0, 0.0, 2.0)
"""Hands that carry every float alike, none short."""


def test_whose_slack_the_likely_range_is_about() -> None:
    assert said_of(SAME) == f"slack as written, 3 % tighter to 3 % looser{STIFF}"
    unwritten = scene_of()
    unwritten = unwritten.model_copy(update={"floats": unwritten.floats.model_validate({})})
    anybody = replace(hands_of(unwritten).even(), short=0.0, short_spread=0.0)
    assert said_of(anybody, unwritten) == f"floats that just reach, 10 % tighter to 10 % looser{STIFF}"
    asked = replace(hands_of(unwritten, other_slack=True).even(), short=0.0, short_spread=0.0)
    assert said_of(asked, unwritten, slack=0.1) == f"slack as written, 3 % tighter to 3 % looser{STIFF}"


def test_slack_by_a_knitters_file_is_as_sure_as_it_says() -> None:
    """95 in 100 between -8 and -3 %: spread evenly, within 2.5 / 1.96 sqrt 3 = 2.2 %."""
    file = replace(SAME, slack=hands_of(learnt()).slack)
    assert said_of(file, learnt()) == f"slack as the knitter's file says, 2.2 % tighter to 2.2 % looser{STIFF}"
    assert said_of(SAME, learnt(), slack=0.02) == f"slack as written, 3 % tighter to 3 % looser{STIFF}"
    written = learnt(floats={"slack": -0.06})  # the same, but written
    assert said_of(SAME, written).startswith("slack as written, 3 %")
    dark = learnt(known="not told")
    unknown = replace(SAME, slack=hands_of(dark).slack)
    assert said_of(unknown, dark).startswith("floats that just reach, 10 % tighter to 10 % looser")


def test_slack_that_a_file_hardly_knows_is_still_that_of_the_file() -> None:
    """Between -30 and +10 %: within 18 %, which is less sure than of hands that nobody measured."""
    wide = learnt(-0.3, 0.1)
    assert said_of(replace(SAME, slack=hands_of(wide).slack), wide).startswith(
        "slack as the knitter's file says, 18 % tighter to 18 % looser"
    )


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            {"floats": 0.03, "unevenness_log": log(1.6) * EVEN},
            "uneven by 3 % from float to float (or 1.6 times more or less)",
        ),
        ({"floats": 0.05}, "uneven by 5 % from float to float"),
        ({"short": 0.00045, "short_spread": 0.00025 * EVEN}, "each 0.2 to 0.7 mm shorter"),
        ({"short": 0.0012}, "each 1.2 mm shorter"),
        ({"short": 0.0001, "short_spread": 0.00025 * EVEN}, "each 0.0 to 0.3 mm shorter"),  # never longer
    ],
)
def test_each_thing_that_hands_do_is_told(more: dict[str, float], said: str) -> None:
    told = said_of(replace(SAME, **more))
    assert told == f"slack as written, 3 % tighter to 3 % looser, {said}{STIFF}"


def test_stiffness_is_told_as_the_less_sure_of_both() -> None:
    assert said_of(replace(SAME, factor=1.5)).endswith(", and fabric up to 1.5 times as stiff or as soft")
    assert said_of(replace(SAME, factor=1.5, bending_factor=1.25)).endswith("up to 1.5 times as stiff or as soft")


def test_what_is_learnt_from_a_swatch_is_named_where_nobody_measured(repeat: Equilibrium) -> None:
    learns = ", and 'fabricsim calibrate' learns your hands from it, which narrows this range the most."
    pieces = pieces_of(repeat, (0.0, 0.0))
    for slack, ends in ((0.10, learns), (0.03, ".")):
        (said,) = trust(forecast_of(repeat, measures_of(repeat), pieces, hands=replace(SAME, slack=slack * EVEN)))
        assert said.endswith(f"not against hand-knits: knit a swatch{ends}")
        assert said.startswith("'Likely': nine pieces in ten lie there, of 1 knitted by hands that might be yours: ")


def test_pieces_that_crumpled_are_told(repeat: Equilibrium) -> None:
    for lost, said in (
        (1, "1 piece crumpled and found no rest; it counts as drawn in further than the rest."),
        (2, "2 pieces crumpled and found no rest; they count as drawn in further than the rest."),
    ):
        pieces = pieces_of(repeat, *[None] * lost, *[(0.0, 0.0)] * (4 - lost))
        assert trust(forecast_of(repeat, measures_of(repeat), pieces))[1:] == [said]


def test_where_nothing_floats_there_is_nothing_to_doubt_but_the_gauge() -> None:
    rest = rest_of(scene_of(0.05, ["......"] * 2))
    assert trust(forecast_of(rest, measures_of(rest))) == ["Nothing floats, so nothing is uncertain but the gauge."]


def test_a_draft_says_so(repeat: Equilibrium) -> None:
    assert trust(forecast_of(repeat, measures_of(repeat))) == [
        "This was a draft: one forecast from one start, no likely range. Leave out --draft for that."
    ]
    both = [Start("from loose to tight", MICROJOULE, measures_of(repeat))]
    assert trust(forecast_of(repeat, measures_of(repeat), (), both)) == [
        "This was a draft: one forecast, no likely range. Leave out --draft for that."
    ]


AS_A_TUBE = "The scene is worked flat: as a tube its floats join round the edge, other than in 'floats'."
CUT_FLAT = "The scene is worked in the round: cut flat its floats end at the edges, other than in 'floats'."


@pytest.mark.parametrize("worked", ["round", "flat"])
@pytest.mark.parametrize("case", ["repeat", "round", "swatch"])
def test_seen_otherwise_than_it_is_worked(case: Case, worked: str) -> None:
    rest = rest_of(scene_of(worked=worked), case)
    said = {("round", "flat"): [AS_A_TUBE], ("swatch", "round"): [CUT_FLAT]}.get((case, worked), [])
    assert remarks(forecast_of(rest, measures_of(rest))) == said


def test_what_must_be_known_before_the_numbers(repeat: Equilibrium) -> None:
    def said(rest: Equilibrium, **measured: int) -> list[str]:
        return remarks(forecast_of(rest, measures_of(rest, **measured)))  # type: ignore[arg-type]

    beware = (
        "Beware: so tight, the fabric passes through itself here. Don't trust these numbers; try a looser slack or "
        "another case."
    )
    assert said(repeat, crossing=1, touching=3) == [beware]
    assert said(repeat, touching=1) == ["So tight, the fabric folds onto itself (1 stitch touches)."]
    assert said(repeat, touching=3) == ["So tight, the fabric folds onto itself (3 stitches touch)."]
    assert said(rest_of(scene_of(0.05, ["......"] * 2))) == ["In no square of the chart: ink."]
    turned = rest_of(scene_of(chart=TUBE), "round", inside_out=True)
    longer = 100 * (turned.mesh.floats_longer - 1.0)
    assert longer > 1.0
    assert said(turned) == [f"Knitted inside out, so that floats are {longer:.1f} % longer, then turned."]


# ---- waves of an endless fabric --------------------------------------------------------------------


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


def test_bands_that_are_worked_otherwise_are_told_and_are_no_other_slack() -> None:
    scene = scene_of(bands=[{"first": 1, "last": 1, "looser": 0.03}])
    said = forecast_of(rest := rest_of(scene), measures_of(rest))
    assert not other_slack(said)
    assert any("floats 3 % looser" in one for one in remarks(said))
    asked = forecast_of(rest := rest_of(scene, slack=0.5), measures_of(rest))
    assert other_slack(asked)
    assert not any("looser" in one for one in remarks(asked))
