"""What is said of whole pieces, counted and never solved: depth, thumbs, strands into the crown, what is left out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli.words.leads import leads_counted, leads_to_catch
from fabricsim.cli.words.left_out import left_out
from fabricsim.cli.words.measures import depth_words, mended
from fabricsim.cli.words.thumbs import thumb_made
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.read import read_scene
from fabricsim.design.scene.shaping import Shaping
from fabricsim.design.scene.sizing import Sizing
from tests.cli.made_up import scene_of

SCENES = Path(__file__).parents[3] / "scenes"
CALLED = {0: "MC", 1: "CC"}


def hat(up: int, **sizes: Any) -> WholePiece:
    """Return a hat whose chart has three rounds so many times up and two plain ones."""
    chart = {"across": 8, "up": up, "plain_above": 2}
    return piece_of(scene_of(0.0, chart=chart, item="hat", sizes={"rib_cm": 3.0, **sizes}))


@pytest.mark.parametrize(
    ("piece", "usual", "said"),
    [
        (
            hat(6, plain_rounds=4),
            0.20,
            "To make it shallower: leave out plain rounds (chart.plain_below and plain_above): up to 3.0 cm; a lower "
            "rib (rib_cm under [sizes]): up to 1.0 cm; decrease in every round of the crown (crown_every = 1): 2.0 cm; "
            "the chart once less up (chart.up): 1.5 cm.",
        ),
        (
            hat(2),
            0.20,
            "To make it deeper: 11 more plain rounds before the crown (plain_rounds under [sizes]), a higher rib "
            "(rib_cm), or a crown that closes more slowly (crown_every).",
        ),
        (hat(2), None, ""),
        (hat(2), 0.145, ""),
    ],
    ids=["too deep", "too shallow", "no head", "as usual"],
)
def test_what_would_make_a_hat_as_deep_as_is_usual(piece: WholePiece, usual: float | None, said: str) -> None:
    assert mended(replace(piece, usual_depth=usual)) == said


def test_how_the_depth_of_a_hat_compares() -> None:
    piece = hat(2)
    assert depth_words(piece) == []
    usual = "A hat for this head is usually about {} deep (0.39 of the way round it, from memory): "
    assert depth_words(replace(piece, usual_depth=0.2)) == [
        usual.format("20.0 cm") + "this one is too short by 5.5 cm ('fabricsim sizes' says what would mend it)."
    ]
    assert depth_words(replace(piece, usual_depth=0.145)) == [usual.format("14.5 cm") + "so is this one."]


def test_strands_into_the_crown_are_caught_in_even_parts() -> None:
    """From the last stitch of its yarn in round 2, at the right, to the crown, behind seven stitches."""
    rows = ["ooooooo.", "ooooooo."]
    floats = {"longest_gap": 2, "longest_cm": 9.0}
    piece = piece_of(scene_of(0.0, rows, chart={"across": 8}, floats=floats, item="hat", sizes={"plain_rounds": 0}))
    assert leads_counted(piece) == [
        "Besides, milk floats from round 2 into the round above it, behind 7 stitches, 3.5 cm."
    ]
    assert leads_to_catch(piece, CALLED) == [
        "MC also floats from round 2 into the round above it, behind 7 stitches, 3.5 cm, over your limit: catch it "
        "there behind the 3rd and 5th of the last 7 stitches of round 2."
    ]


def mittens(worked: str, across: int, item: str = "mittens") -> WholePiece:
    return piece_of(scene_of(0.0, worked=worked, chart={"across": across, "up": 8}, item=item))


def test_a_thumb_in_words() -> None:
    made, other = thumb_made(mittens("round", 4), CALLED)
    assert made.startswith(
        "Thumb: pull out the waste yarn and put the 9 stitches below it and the 9 above on needles; with MC knit them "
        "round, picking up 1 stitch more at each end: 20 stitches. Knit 14 rounds in all, that one among them, then "
        "knit 2 together all the way round: 10 stitches. Break the yarn,"
    )
    assert other == "This is one mitten: knit a second, with its thumb where it is told for the other hand."
    assert thumb_made(mittens("round", 1), CALLED) == []


@pytest.mark.parametrize("item", ["mittens", "child mittens"])
def test_only_mittens_without_a_thumb_say_so(item: str) -> None:
    assert left_out(mittens("round", 4, item)) == []
    assert left_out(mittens("round", 1, item)) == ["Not in it: the thumb; so few stitches hold no place for it."]
    assert left_out(mittens("flat", 4, item)) == ["Not in it: the thumb; leave the seam open for it."]


@pytest.mark.parametrize(
    ("name", "narrower", "said"),
    [
        ("round_yoke", {"sizes": None}, ["Not in it: short rows at the back of the neck, and the rib round that."]),
        ("round_yoke", {"sizes": Sizing(rib="2x2")}, ["Not in it: short rows at the back of the neck."]),
        ("tapered_sleeve", {}, ["Not in it: the cap."]),
        (
            "tapered_sleeve",
            {"shaping": Shaping(decrease_every=6, decreases=10), "sizes": None},
            ["Not in it: the cap, and the rib of its cuff."],
        ),
    ],
)
def test_what_is_joined_to_a_body_at_its_first_row_has_no_rib_there(
    name: str, narrower: dict[str, object], said: list[str]
) -> None:
    """Unless its scene writes one: nobody casts a sleeve on at the arm in rib, or a yoke over a body."""
    piece = piece_of(read_scene(SCENES / f"{name}.toml").model_copy(update=narrower))
    ribbed = (name == "tapered_sleeve" and not narrower) or narrower.get("sizes") is not None
    assert bool(piece.section("rib").rows) == ribbed
    assert left_out(piece) == said
