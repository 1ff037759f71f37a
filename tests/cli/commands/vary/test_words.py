"""What ``vary`` says, sentence by sentence and cell by cell, from pieces that nobody knitted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fabricsim.cli.commands.vary.data import for_programs, lines
from fabricsim.cli.commands.vary.words import SURE, part_said, tell
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.hands.prior import EVEN as EVENLY
from fabricsim.study.hands.prior import Hands, hands_of
from fabricsim.study.vary.pieces import Outcome, Piece
from fabricsim.study.vary.shares import Shares
from fabricsim.study.vary.variation import Sampling, Variation
from fabricsim.units import CENTINEWTON, CM, MM
from tests.cli.made_up import Told, scene_of
from tests.cli.printed import printed, rounded


def piece(lost: float | None, *, hardest: int = 0, pull_cN: float = 2.0, pucker_mm: float = 0.4) -> Piece:
    """Return a piece of 6 cm that loses this share of its width, or finds no rest."""
    plain = 6 * CM
    outcome = None
    if lost is not None:
        outcome = Outcome(
            lost, plain, plain * (1.0 - lost), pucker_mm * MM, pull_cN * CENTINEWTON, hardest, int(hardest >= 0)
        )
    return Piece(0.01, 0.03, 0.4 * MM, -0.08, 0.02, 1.0, 1.1, 0.9, outcome)


def found(
    pieces: Sequence[Piece],
    *,
    even: float = 0.04,
    error: float = 0.002,
    shares: Shares | None = None,
    pairs: int | None = None,
    hands: Hands | None = None,
    fabric: Fabric | None = None,
) -> Variation:
    knitted = fabric or set_up(scene_of(), "repeat")
    asked = Sampling(len(pieces), error, hands=hands or hands_of(knitted.scene), pairs=pairs)
    return Variation(knitted, asked, piece(even, pull_cN=1.5), tuple(pieces), shares)


def told(variation: Variation, plots: Path | None = None) -> Told:
    page = Told()
    tell(page, variation, plots)
    return page


def sentence(variation: Variation, begins: str) -> str:
    (one,) = (one for one in told(variation).said if one.startswith(begins))
    return one


EVEN = [piece(share / 100.0) for share in range(21)]
"""From 0 to 20 % in equal steps: their quantile at a share s is 22 s - 1."""


def test_the_title_the_case_and_whose_estimates_these_are() -> None:
    said = told(found(EVEN), Path("drawn.png")).said
    assert said[:2] == [
        "Made up",
        "Seen as endless repeats, far from any edge and without weight: 12 stitches x 3 rounds.",
    ]
    assert said[-3:] == [
        "These are estimates: put your own in their place (see --help). The mechanics is checked against exact "
        "solutions, not against hand-knits: knit a swatch.",
        CAUTION,
        "Drawn in drawn.png.",
    ]
    assert told(found(EVEN)).said[-1] == CAUTION


def test_how_wide_half_of_all_come_out() -> None:
    assert sentence(found(EVEN), "Half of all") == (
        "Half of all pieces come out 4.5 to 15.5 % narrower; 1 in 20 less than 0.1 %, 1 in 20 more than 19.9 %. The ± "
        "is how well a figure is known from so many pieces (its standard error)."
    )


def test_that_they_are_narrower_on_average_only_where_it_is_sure() -> None:
    """The mean is 10 %, known to 6.2 / sqrt 21 = 1.35 %."""
    more = [one for one in told(found(EVEN, even=0.07)).said if one.startswith("On average")]
    assert more == [
        "On average they are 3.0 % narrower than with every float alike: tight floats draw in more than loose "
        "ones "
        "let out."
    ]
    assert SURE == 2.0
    for nominal in (0.074, 0.10, 0.13):
        assert not any(one.startswith("On average") for one in told(found(EVEN, even=nominal)).said)
    alike = [piece(0.04)] * 40
    for nominal, said in ((0.0389, True), (0.0391, False)):  # a tenth of a per cent is nothing, however sure
        assert any(one.startswith("On average") for one in told(found(alike, even=nominal)).said) == said


def test_where_the_hardest_pull_is_most_often() -> None:
    fabric = set_up(scene_of(), "repeat")
    ink = next(number for number, one in enumerate(fabric.floats) if (one.yarn, one.row) == (1, 1))
    milk = next(number for number, one in enumerate(fabric.floats) if (one.yarn, one.row) == (0, 2))
    some = [piece(0.04, hardest=hardest) for hardest in (ink, milk, ink, -1)]
    said = "The float that pulls hardest is most often one of ink in round 2 {}: in 2 of 4 pieces."
    assert sentence(found(some), "The float") == said.format("of the chart")
    tube = set_up(scene_of(chart={"up": 2}), "round")
    assert "of the piece: in" in sentence(found([piece(0.04)], fabric=tube), "The float")
    none = found([piece(0.0, hardest=-1)])
    assert sentence(none, "In none") == "In none of them any float pulls while the fabric lies."


def test_why_it_ended() -> None:
    alike = [piece(0.04)] * 30
    assert sentence(found(alike), "It took") == (
        "It took 30 pieces to know the mean draw-in to ±0 %; you asked for ±0.2 %."
    )
    assert sentence(found(EVEN), "After") == (
        "After 21 pieces, as many as you allowed, the mean draw-in is known to ±1.4 %; you asked for ±0.2 %. More "
        "--runs "
        "bring it nearer."
    )
    assert sentence(found(EVEN[:1]), "After") == (
        "After 1 piece, as many as you allowed, the mean draw-in can't be said to be known; you asked for ±0.2 %. More "
        "--runs bring it nearer."
    )


def test_pieces_without_rest_are_told() -> None:
    some = [*EVEN, piece(None), piece(None)]
    assert sentence(found(some), "2 of") == "2 of 23 pieces came to no rest and are left out of all figures."
    assert not any("no rest" in one for one in told(found(EVEN)).said)


def test_that_uneven_floats_come_back_in_every_repeat() -> None:
    said = (
        "In endless repeats the same uneven floats come back in every repeat. A whole piece evens out more: --case "
        "round "
        "or swatch knits all of it."
    )
    assert said in told(found(EVEN)).said
    assert said not in told(found(EVEN, fabric=set_up(scene_of(chart={"up": 2}), "round"))).said


def test_the_table_of_what_they_came_to() -> None:
    made = [replace(one, tightest=-0.01 * number) for number, one in enumerate(EVEN)]
    table = told(found(made)).tables["What 21 pieces came to, from hands that vary"]
    assert list(table.side_of) == [
        "", "floats alike", "1 in 20 under", "1 in 4 under", "middle", "1 in 4 over", "1 in 20 over",
    ]  # fmt: skip
    assert set(list(table.side_of.values())[1:]) == {"right"}
    by_name = {line[0]: [cell.split(" ±")[0] for cell in line[1:]] for line in table.lines}
    assert by_name == {
        "narrower, %": ["4.0", "0.1", "4.5", "10.0", "15.5", "19.9"],
        "narrower, cm": ["0.2", "0.0", "0.3", "0.6", "0.9", "1.2"],
        "finished width, cm": ["5.8", "4.8", "5.1", "5.4", "5.7", "6.0"],
        "pucker, mm": ["0.4"] * 6,
        "hardest pull, cN": ["1.50", *["2.00"] * 5],
        "slack of the tightest float, %": ["-8.0", "-19.9", "-15.5", "-10.0", "-4.5", "-0.1"],
    }
    middle = next(line for line in table.lines if line[0] == "narrower, %")[4]
    assert " ±" in middle  # how well it is known
    alone = told(found(EVEN[:1])).tables["What 1 piece came to, from hands that vary"]
    assert alone.lines[0][1:] == ["4.0", *["0.0"] * 5]  # of one piece nothing is known


INPUTS = ("slack", "rows", "floats", "gauge", "stretch", "bending")


def shares(*alone: Sequence[float], error: float = 0.02, lost: int = 0) -> Shares:
    """Return shares for draw-in, width and pucker; each is a list, one for each input."""
    alone_oi = np.array(alone)
    nothing = np.zeros_like(alone_oi)
    return Shares(INPUTS, ("lost", "width", "pucker"), alone_oi, alone_oi, nothing + error, nothing, 64, 512, lost)


SLACK = (0.58, 0.0, 0.21, 0.0, 0.0, 0.0)
GAUGE = (0.04, 0.0, 0.0, 0.81, 0.0, 0.0)
NOTHING = (0.0,) * 6


def test_what_matters_most_in_words() -> None:
    said = told(found(EVEN, shares=shares(SLACK, GAUGE, NOTHING), pairs=64)).said
    assert (
        "Three fifths of the uncertainty in draw-in comes from how slack all your floats are, a fifth from how slack "
        "differs from float to float." in said
    )
    assert "The pucker hardly varies at all." in said
    assert "These shares took 512 pieces more (64 pairs of hands); more --share-pairs make them surer." in said
    assert not any("left out" in one for one in said)


ROWS, GIVES = "how slack differs from round to round", "how far the fabric gives"


@pytest.mark.parametrize(
    ("alone", "error", "said"),
    [
        ((0.09, 0.08, 0, 0, 0, 0), 0.01, "No single one of these stands out for draw-in."),
        ((0.39, 0.3, 0, 0, 0, 0), 0.2, "No single one of these stands out for draw-in."),
        ((0, 0.41, 0.39, 0, 0, 0), 0.2, f"Two fifths of the uncertainty in draw-in comes from {ROWS}."),
        (
            (0, 0, 0, 0, 0.5, 0.25),
            0.02,
            f"Half of the uncertainty in draw-in comes from {GIVES}, a quarter from how stiff it is to bend.",
        ),
        ((0, 0, 0, 0, 0.1, 0.099), 0.02, f"A tenth of the uncertainty in draw-in comes from {GIVES}."),
    ],
)
def test_only_what_is_sure_is_said(alone: tuple[float, ...], error: float, said: str) -> None:
    page = told(found(EVEN, shares=shares(alone, GAUGE, GAUGE, error=error), pairs=64))
    assert said in page.said


def test_pairs_left_out_and_shares_that_cannot_be_told() -> None:
    assert (
        "1 pair left out, as a piece came to no rest."
        in told(found(EVEN, shares=shares(SLACK, SLACK, SLACK, lost=1), pairs=64)).said
    )
    lost = "What matters most can't be told: too many pieces came to no rest."
    assert lost in told(found(EVEN, pairs=64)).said
    assert lost not in told(found(EVEN)).said


def test_the_table_of_shares() -> None:
    table = told(found(EVEN, shares=shares(SLACK, (-0.02, 0, 0, 1.03, 0, 0), NOTHING), pairs=64)).tables[
        "Where the uncertainty comes from"
    ]
    assert list(table.side_of) == ["", "draw-in, %", "finished width, %", "pucker, %"]
    assert table.lines == [
        ["slack of all floats alike", "58 ±2", "0 ±2", "0 ±2"],
        ["slack from round to round", "0 ±2", "0 ±2", "0 ±2"],
        ["slack from float to float", "21 ±2", "0 ±2", "0 ±2"],
        ["gauge", "0 ±2", "100 ±2", "0 ±2"],
        ["how far the fabric gives", "0 ±2", "0 ±2", "0 ±2"],
        ["how stiff it is to bend", "0 ±2", "0 ±2", "0 ±2"],
        ["several of these together", "21", "0", "0"],
    ]


def varied(hands: Hands | None = None, scene: Scene | None = None) -> dict[str, list[str]]:
    fabric = set_up(scene or scene_of(), "repeat")
    table = told(found(EVEN, hands=hands, fabric=fabric)).tables["What was varied"]
    assert list(table.side_of) == ["", "how far", "whose figure"]
    return {line[0]: list(line[1:]) for line in table.lines}


SLACK_OF_ALL, ROW_BY_ROW, FLOAT_BY_FLOAT = (
    "slack of all floats alike",
    "slack from round to round",
    "slack from float to float",
)
UNEVEN, SHORT = "how uneven the floats are", "how much every float falls short"
GIVES_SO_MUCH, STIFF = "how far the fabric gives", "how stiff it is to bend"


def test_the_table_of_what_was_varied() -> None:
    assert list(varied().items()) == [
        (SLACK_OF_ALL, ["within ±3 %", "chosen"]),
        (ROW_BY_ROW, ["two in three within ±1.5 %", "chosen: half of that from float to float"]),
        (FLOAT_BY_FLOAT, ["two in three within ±3 %", "chosen: 1 mm in a float of 3.3 cm"]),
        (UNEVEN, ["up to 1.6 times", "chosen"]),
        (SHORT, ["0.2 to 0.7 mm", "chosen: so that motifs of one hand differ as knitters report"]),
        ("gauge", ["as written", "as the scene says"]),
        (GIVES_SO_MUCH, ["up to 2 times", "chosen"]),
        (STIFF, ["up to 2 times", "chosen"]),
    ]
    assert "slack from row to row" in varied(scene=scene_of(worked="flat"))


@pytest.mark.parametrize(
    ("own", "name", "how_far"),
    [
        ({"slack": 0.05 * EVENLY}, SLACK_OF_ALL, "within ±5 %"),
        ({"slack": 0.0}, SLACK_OF_ALL, "within ±0 %"),
        ({"rows": 0.031}, ROW_BY_ROW, "two in three within ±3.1 %"),
        ({"floats": 0.0}, FLOAT_BY_FLOAT, "two in three within ±0 %"),
        ({"unevenness_log": 0.0}, UNEVEN, "as written"),
        ({"short": 0.0012, "short_spread": 0.0}, SHORT, "1.2 mm"),
        ({"short": 0.0, "short_spread": 0.0}, SHORT, "0.0 mm"),
        ({"gauge": 0.02 * EVENLY}, "gauge", "within ±2 %"),
        ({"factor": 1.5}, GIVES_SO_MUCH, "up to 1.5 times"),
        ({"factor": 1.0}, STIFF, "as written"),
    ],
)
def test_what_was_asked_for_is_yours(own: dict[str, float], name: str, how_far: str) -> None:
    usual = varied()
    table = varied(replace(hands_of(scene_of()), **own))
    assert table[name] == [how_far, "yours"]
    same = {GIVES_SO_MUCH, STIFF} if name in (GIVES_SO_MUCH, STIFF) else {name}
    assert {one for one in table if table[one] != usual[one]} == same


def test_what_the_scene_says_is_the_scenes() -> None:
    table = varied(scene=scene_of(floats={"unevenness": 0.05, "short_mm": 1.0}))
    assert table[ROW_BY_ROW] == ["two in three within ±2.5 %", "the scene"]
    assert table[FLOAT_BY_FLOAT] == ["two in three within ±5 %", "the scene"]
    assert table[UNEVEN] == ["as written", "the scene"]
    assert table[SHORT] == ["1.0 mm", "the scene"]


def test_what_a_knitters_file_says_is_the_files() -> None:
    """95 in 100 between -8 and -3 %: within 2.2 %."""
    once = LearntFactor(value=1.0, low=0.5, high=2.0, known="measured")
    slack = LearntSlack(value=-0.06, low=-0.08, high=-0.03, known="measured")
    scene = scene_of()
    scene = scene.model_copy(update={"floats": scene.floats.model_validate({}), "knitter": "h.toml"})
    unwritten = varied(scene=scene)
    assert unwritten[SLACK_OF_ALL] == ["within ±10 %", "chosen"]
    scene._hands = Knitter(slack=slack, stretch=once, bending=once, weight=once, bending_against_stretch=1.5)
    learnt = varied(scene=scene)
    assert learnt[SLACK_OF_ALL] == ["within ±2.2 %", "the knitter's file"]
    assert learnt[STIFF] == ["up to 1.5 times", "the knitter's file"]
    assert learnt[GIVES_SO_MUCH] == ["up to 2 times", "chosen"]
    asked = varied(hands_of(scene, other_slack=True), scene)  # another slack was asked about
    assert asked[SLACK_OF_ALL] == ["within ±3 %", "chosen"]


def test_shares_in_words() -> None:
    said = {share: part_said(share) for share in (1.0, 0.88, 0.87, 0.77, 0.7, 0.34, 0.3, 0.22, 0.0)}
    assert list(said.values()) == [
        "nearly all", "nearly all", "four fifths", "three quarters", "two thirds", "a third", "a third", "a fifth",
        "a tenth",
    ]  # fmt: skip


def test_all_of_it_as_it_is_printed() -> None:
    whole = found([*EVEN, piece(None)], shares=shares(SLACK, GAUGE, NOTHING, lost=2), pairs=64)
    assert (
        printed(lambda page: tell(page, whole, Path("drawn.png")))
        == """\
**Made up**
Seen as endless repeats, far from any edge and without weight: 12 stitches x 3 rounds.

**What 21 pieces came to, from hands that vary**
                                floats alike  1 in 20 under  1 in 4 under      middle  1 in 4 over  1 in 20 over
------------------------------  ------------  -------------  ------------  ----------  -----------  ------------
narrower, %                              4.0            0.1      4.5 ±1.9   10.0 ±2.3    15.5 ±2.0     19.9 ±1.0
narrower, cm                             0.2            0.0      0.3 ±0.1    0.6 ±0.1     0.9 ±0.1      1.2 ±0.1
finished width, cm                       5.8            4.8      5.1 ±0.1    5.4 ±0.1     5.7 ±0.1      6.0 ±0.1
pucker, mm                               0.4            0.4      0.4 ±0.0    0.4 ±0.0     0.4 ±0.0      0.4 ±0.0
hardest pull, cN                        1.50           2.00    2.00 ±0.00  2.00 ±0.00   2.00 ±0.00    2.00 ±0.00
slack of the tightest float, %          -8.0           -8.0     -8.0 ±0.0   -8.0 ±0.0    -8.0 ±0.0     -8.0 ±0.0

Half of all pieces come out 4.5 to 15.5 % narrower; 1 in 20 less than 0.1 %, 1 in 20 more than 19.9 %. The ±
is how well a figure is known from so many pieces (its standard error).
On average they are 6.0 % narrower than with every float alike: tight floats draw in more than loose ones let
out.
The float that pulls hardest is most often one of milk in round 2 of the chart: in 21 of 21 pieces.
After 22 pieces, as many as you allowed, the mean draw-in is known to ±1.4 %; you asked for ±0.2 %. More
--runs bring it nearer.
1 of 22 pieces came to no rest and is left out of all figures.
In endless repeats the same uneven floats come back in every repeat. A whole piece evens out more: --case
round or swatch knits all of it.

**Where the uncertainty comes from**
                           draw-in, %  finished width, %  pucker, %
-------------------------  ----------  -----------------  ---------
slack of all floats alike       58 ±2               4 ±2       0 ±2
slack from round to round        0 ±2               0 ±2       0 ±2
slack from float to float       21 ±2               0 ±2       0 ±2
gauge                            0 ±2              81 ±2       0 ±2
how far the fabric gives         0 ±2               0 ±2       0 ±2
how stiff it is to bend          0 ±2               0 ±2       0 ±2
several of these together          21                 15          0

Three fifths of the uncertainty in draw-in comes from how slack all your floats are, a fifth from how slack
differs from float to float.
Four fifths of the uncertainty in finished width comes from your gauge.
The pucker hardly varies at all.
These shares took 512 pieces more (64 pairs of hands); more --share-pairs make them surer.
2 pairs left out, as a piece came to no rest.

**What was varied**
                                  how far                     whose figure
--------------------------------  --------------------------  ------------------------------------------------------------
slack of all floats alike         within ±3 %                 chosen
slack from round to round         two in three within ±1.5 %  chosen: half of that from float to float
slack from float to float         two in three within ±3 %    chosen: 1 mm in a float of 3.3 cm
how uneven the floats are         up to 1.6 times             chosen
how much every float falls short  0.2 to 0.7 mm               chosen: so that motifs of one hand differ as knitters report
gauge                             as written                  as the scene says
how far the fabric gives          up to 2 times               chosen
how stiff it is to bend           up to 2 times               chosen

These are estimates: put your own in their place (see --help). The mechanics is checked against exact
solutions, not against hand-knits: knit a swatch.
[caution]
Drawn in drawn.png."""  # noqa: E501
    )
    told = for_programs(whole)
    assert told.pop("scene_hash") == scene_hash(whole.fabric.scene)
    runs = told.pop("runs")
    assert len(runs) == 22
    assert rounded(runs[3]) == {
        "piece": 4,
        "at_rest": True,
        "draw_in_percent": 3.0,
        "draw_in_cm": 0.18,
        "width_cm": 5.82,
        "pucker_mm": 0.4,
        "hardest_pull_cN": 2.0,
        "tightest_slack_percent": -8.0,
        "hardest_pull_row": 2,
        "hardest_pull_yarn": ".",
        "taut_floats": 1,
        "slack_more_percent": 1.0,
        "unevenness_percent": 3.0,
        "short_mm": 0.4,
        "loosest_slack_percent": 2.0,
        "stitch_width_factor": 1.0,
        "stretch_factor": 1.1,
        "bending_factor": 0.9,
        "said": "",
    }
    assert rounded(runs[21]) == {
        "piece": 22,
        "at_rest": False,
        "draw_in_percent": None,
        "draw_in_cm": None,
        "width_cm": None,
        "pucker_mm": None,
        "hardest_pull_cN": None,
        "tightest_slack_percent": None,
        "hardest_pull_row": None,
        "hardest_pull_yarn": None,
        "taut_floats": None,
        "slack_more_percent": 1.0,
        "unevenness_percent": 3.0,
        "short_mm": 0.4,
        "loosest_slack_percent": 2.0,
        "stitch_width_factor": 1.0,
        "stretch_factor": 1.1,
        "bending_factor": 0.9,
        "said": "",
    }
    assert rounded(told.pop("shares")["of"][:7]) == [
        {
            "output": "draw-in",
            "input": "slack",
            "alone_percent": 58.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 58.0,
            "in_all_error_percent": 0.0,
        },
        {
            "output": "draw-in",
            "input": "rows",
            "alone_percent": 0.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 0.0,
            "in_all_error_percent": 0.0,
        },
        {
            "output": "draw-in",
            "input": "floats",
            "alone_percent": 21.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 21.0,
            "in_all_error_percent": 0.0,
        },
        {
            "output": "draw-in",
            "input": "gauge",
            "alone_percent": 0.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 0.0,
            "in_all_error_percent": 0.0,
        },
        {
            "output": "draw-in",
            "input": "stretch",
            "alone_percent": 0.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 0.0,
            "in_all_error_percent": 0.0,
        },
        {
            "output": "draw-in",
            "input": "bending",
            "alone_percent": 0.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 0.0,
            "in_all_error_percent": 0.0,
        },
        {
            "output": "finished width",
            "input": "slack",
            "alone_percent": 4.0,
            "alone_error_percent": 2.0,
            "in_all_percent": 4.0,
            "in_all_error_percent": 0.0,
        },
    ]
    assert rounded(told.pop("quantities")["draw_in_cm"]) == {
        "floats_alike": 0.24,
        "mean": 0.6,
        "mean_error": 0.0812404,
        "standard_deviation": 0.37229,
        "quantiles": [
            {"at_percent": 5.0, "value": 0.006, "error": None},
            {"at_percent": 25.0, "value": 0.27, "error": 0.111345},
            {"at_percent": 50.0, "value": 0.6, "error": 0.138564},
            {"at_percent": 75.0, "value": 0.93, "error": 0.120311},
            {"at_percent": 95.0, "value": 1.194, "error": 0.057708},
        ],
    }
    assert rounded(told) == {
        "schema_version": 2,
        "command": "vary",
        "title": "Made up",
        "case": "repeat",
        "seed": 0,
        "pieces": 22,
        "pieces_at_rest": 21,
        "most_pieces": 22,
        "wanted_error_percent": 0.2,
        "error_percent": 1.35401,
        "reached": False,
        "hands": {
            "slack_percent": 1.73205,
            "rows_percent": 1.5,
            "floats_percent": 3.0,
            "gauge_percent": 0.0,
            "unevenness_log": 0.271357,
            "short_mm": 0.45,
            "short_spread_mm": 0.144338,
            "stretch_log": 0.400189,
            "bending_log": 0.400189,
        },
    }
    assert for_programs(found(EVEN))["shares"] is None
    still = lines(found([piece(0.0, hardest=-1)]))[0]
    assert (still["at_rest"], still["hardest_pull_row"], still["hardest_pull_yarn"]) == (True, None, None)
