"""What a preview says, sentence by sentence, from forecasts that nobody solved."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from fabricsim.cli.commands.preview.data import to_json
from fabricsim.cli.commands.preview.likely import other_slack
from fabricsim.cli.commands.preview.options import PreviewOptions
from fabricsim.cli.commands.preview.words import edges_said, remarks, words
from fabricsim.cli.shell.options import Load
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.washed import no_single_rest
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.shaped_piece import seam_of
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.lying import Unpinned
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.whole import set_up_whole
from tests.campaign.whole import random_whole
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of


@pytest.fixture(scope="module")
def repeat() -> Equilibrium:
    return rest_of(scene_of(-0.05))


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
        no_single_rest(shown.widths.width),
        CAUTION,
    ]


def test_without_floats_there_is_none_to_be_cautious_of() -> None:
    rest = rest_of(scene_of(0.05, ["......"] * 2, worked="flat"))
    said = words(forecast_of(rest, measures_of(rest)), [])
    assert "Floats     none: one colour a row, nothing to pull" in said
    assert not any(one.startswith("Taut") for one in said)
    assert CAUTION not in said
    assert said[1].endswith("6 stitches x 2 rows.")


SEWN_UP = "Worked flat, it is seen sewn up, edge to edge: no float crosses the seam."
HELD_FLAT = (
    "Its edges lie flat, as after pinning, and so its numbers are taken; off its pins sides roll to the back and "
    "ends to the face (draw --view three-quarter shows it)."
)
CUT_FLAT = "The scene is worked in the round: cut flat its floats end at the edges, other than in 'floats'."


@pytest.mark.parametrize("worked", ["round", "flat"])
@pytest.mark.parametrize("case", ["repeat", "round", "swatch"])
def test_seen_otherwise_than_it_is_worked(case: Case, worked: str) -> None:
    rest = rest_of(scene_of(worked=worked), case)
    said = {("round", "flat"): [SEWN_UP], ("swatch", "round"): [CUT_FLAT]}.get((case, worked), [])
    held = [HELD_FLAT] if case == "swatch" else []
    assert remarks(forecast_of(rest, measures_of(rest))) == [*said, *held]


def test_what_is_said_of_edges() -> None:
    """How they are seen, and, where they curl, what that does to the measure of a swatch."""
    plain = rest_of(scene_of(), "swatch").stiffness
    assert edges_said(plain) == HELD_FLAT
    curled = "pin it flat to measure it, and measure in the middle, where none curls."
    assert edges_said(replace(plain, curl_across=-100.0, curl_depth=0.03)) == f"Its edges curl 3 cm deep: {curled}"
    assert edges_said(replace(plain, curl_up=30.0)) == f"Its edges curl: {curled}"
    assert edges_said(plain, flat=True) == "Its edges lie flat, as the scene says: pinned, ribbed or weighed."
    held = rest_of(scene_of(fabric={"edges": "flat"}), "swatch")
    assert edges_said(plain, flat=True) in remarks(forecast_of(held, measures_of(held)))


def test_what_a_tape_finds_of_a_swatch_off_its_pins() -> None:
    rest = rest_of(scene_of(), "swatch")
    curled = replace(rest, stiffness=replace(rest.stiffness, curl_across=-100.0, curl_depth=0.03))
    loose = Unpinned(curled, width=0.144, pinned=0.150, stands=0.021)
    said = (
        "Its numbers are taken with the edges pinned flat, as one measures it. Off its pins its edges curl 3 cm deep "
        "(unpinned.png): it stands 2.1 cm high, and a tape right across finds 14.4 cm, 4.0 % less."
    )
    assert edges_said(rest.stiffness, replace(loose, width=0.150)).endswith("right across finds 15.0 cm, no less.")
    forecast = forecast_of(rest, measures_of(rest))
    assert edges_said(rest.stiffness, loose) == said
    assert said in words(forecast, [], loose=loose)
    assert HELD_FLAT not in words(forecast, [], loose=loose)
    told = json.loads(to_json(forecast, [], PreviewOptions(Load("swatch"), False, 0, None), {}, loose=loose))
    assert told["unpinned"] == pytest.approx({"width_cm": 14.4, "stands_cm": 2.1, "edges_curl_cm": 3.0})


def test_a_swatch_that_finds_no_rest_off_its_pins_says_so() -> None:
    rest = rest_of(scene_of(), "swatch")
    lost, forecast = Unpinned(None, 0.15, 0.15, 0.0, why_not="too many steps"), forecast_of(rest, measures_of(rest))
    assert (
        "Its edges are seen pinned flat, as one measures them: off its pins they curl, but no rest was found for that, "
        "so there is no unpinned.png."
    ) in words(forecast, [], loose=lost)
    told = json.loads(to_json(forecast, [], PreviewOptions(Load("swatch"), False, 0, None), {}, loose=lost))
    assert told["unpinned"] is None


def test_a_hat_worked_flat_is_seen_sewn_up() -> None:
    rest = come_to_rest(set_up_whole(random_whole(11)).fabric)
    forecast = forecast_of(rest, measures_of(rest))
    assert remarks(forecast) == [SEWN_UP]
    assert [line[:18] for line in words(forecast, []) if line.startswith("Crown")] == ["Crown      closes "]
    assert json.loads(to_json(forecast, [], PreviewOptions(Load("round")), {}))["crown"]["lies"] == "smooth"
    cast_on, seam = piece_of(rest.scene).cast_on[1], sum(seam_of(piece_of(rest.scene)))
    assert seam == 2
    assert rest.mesh.row_n.tolist().count(0) == cast_on - seam
    said = seen_as(rest.scene, rest.mesh)
    assert said.startswith(f"Seen as the whole piece sewn up: {cast_on} stitches cast on, ")
    assert said.endswith(" rows, 2 of the stitches in its seam.")


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
    turned = rest_of(scene_of(chart={"across": 2, "up": 2}), "round", inside_out=True)
    longer = 100 * (turned.mesh.floats_longer - 1.0)
    assert longer > 1.0
    assert said(turned) == [f"Knitted inside out, so that floats are {longer:.1f} % longer, then turned."]


# ---- waves of an endless fabric --------------------------------------------------------------------


def test_bands_that_are_worked_otherwise_are_told_and_are_no_other_slack() -> None:
    scene = scene_of(bands=[{"first": 1, "last": 1, "looser": 0.03}])
    said = forecast_of(rest := rest_of(scene), measures_of(rest))
    assert not other_slack(said)
    assert any("floats 3 % looser" in one for one in remarks(said))
    asked = forecast_of(rest := rest_of(scene, slack=0.5), measures_of(rest))
    assert other_slack(asked)
    assert not any("looser" in one for one in remarks(asked))
