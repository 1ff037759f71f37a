"""What ``colours`` says, from comparisons that nobody looked at."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.cli.commands.colours.data import COLUMNS, for_programs, lines
from fabricsim.cli.commands.colours.words import tell
from fabricsim.design.floats.meeting import Meeting
from fabricsim.design.scene.read import scene_hash
from fabricsim.render.chart.telling_apart import Apart, Compared
from tests.cli.made_up import scene_of
from tests.cli.printed import printed, rounded

SCENE = scene_of(0.0)
FAR, NEAR = Apart(40.0, 60.0), Apart(9.6, 12.4)
MEETING = Meeting(0, 1, 700, 534, 4, 60, 20, 0)
MUDDY = Compared(
    MEETING, (50.04, 40.44), 1.449, Apart(9.6, 25.04), NEAR, {"protan": NEAR, "deutan": NEAR, "tritan": FAR}
)
CLEAR = replace(MUDDY, lightness=(90.0, 20.0), usual=Apart(70.0, 70.0), blind=dict.fromkeys(MUDDY.blind, FAR))


def said(*found: Compared, worked: str = "round") -> str:
    return printed(lambda page: tell(page, scene_of(0.0, worked=worked), found))


def test_all_that_is_said_of_two_muddy_yarns() -> None:
    assert (
        said(MUDDY)
        == """\
**Made up**

**Yarns that meet, as they are**
yarns               touch      lightness  gap  in grey  contrast  difference
------------  -----------  -------------  ---  -------  --------  ----------
**milk and ink  1,234 times  50.0 and 40.4  9.6  muddy    1.4 to 1          25**

**What is left of gap and difference to the colour-blind**
yarns         red-blind                green-blind              blue-blind
------------  -----------------------  -----------------------  ----------
**milk and ink  10 and 12, hard to tell  10 and 12, hard to tell  40 and 60**

milk and ink: muddy in grey. Make one lighter or darker if the pattern is to be read from afar.
milk and ink: hard to tell apart for red-blind and green-blind eyes.
milk and ink: milk is carried below, so it stands out more; but ink makes the motif (25 % of the stitches of
both). Carry ink below milk for a clear motif, and never swap.
For that write below = "o" under [floats]; nothing else in the scene need change.
Lightness runs from 0, black, to 100, white (CIELAB). A gap of 30 is clear in grey, one under 15 muddy (a rule
of thumb).
Contrast is 1 to 1 for none and 21 to 1 for black on white (WCAG 2.2).
Difference counts hue as well (CIE 1976): 2 is just seen side by side; under 20, with no clear gap, stitches
run into each other.
Carried below: what floats.below says, else the yarn listed first in the scene; so it is in all pictures and
words. It changes neither the main colour nor the plain rows.
Colours on a screen are not those of the yarn: look at the skeins by daylight, and at a grey photo of them."""
    )


def test_yarns_that_are_clear_to_everybody_are_remarked_upon_no_further() -> None:
    text = said(CLEAR)
    assert "**milk and ink" not in text
    assert "hard to tell" not in text
    assert "muddy in grey." not in text


def test_what_is_lost_on_all_is_lost_on_anybody() -> None:
    text = said(replace(MUDDY, usual=NEAR))
    assert "milk and ink: hard to tell apart for anybody." in text
    assert "eyes." not in text


def test_one_yarn_alone() -> None:
    assert said() == "**Made up**\nOne yarn only: there is nothing to tell apart."


@pytest.mark.parametrize(
    ("meeting", "sentence"),
    [
        (replace(MEETING, together=0), "milk and ink: never in one row, so neither is carried below the other."),
        (
            replace(MEETING, below=None),
            "milk and ink: carried above a third yarn wherever they share a row; keep one order and never swap.",
        ),
        (
            replace(MEETING, stitches_of_other=58),
            "milk and ink: milk is carried below, so it stands out more. They share their rows about evenly: choose "
            "the one to stand out, and never swap.",
        ),
        (
            replace(MEETING, below=1),
            "milk and ink: ink is carried below, so it stands out more, and it makes the motif (25 % of the stitches "
            "of both): good as it is; never swap.",
        ),
        (
            replace(MEETING, stitches_of_one=30, stitches_of_other=120),
            "milk and ink: milk is carried below, so it stands out more, and it makes the motif (20 % of the stitches "
            "of both): good as it is; never swap.",
        ),
        (
            replace(MEETING, below=1, stitches_of_one=30, stitches_of_other=120),
            "milk and ink: ink is carried below, so it stands out more; but milk makes the motif (20 % of the stitches "
            "of both). Carry milk below ink for a clear motif, and never swap.",
        ),
    ],
)
def test_which_is_carried_below_and_which_should_be(meeting: Meeting, sentence: str) -> None:
    text = " ".join(said(replace(CLEAR, meeting=meeting), worked="flat").split())
    assert sentence in text
    assert ("Carried below: what floats.below says, else the yarn listed first" in text) == (meeting.below is not None)


def test_for_programs_and_spreadsheets() -> None:
    found = [MUDDY, replace(CLEAR, meeting=replace(MEETING, below=None, stitches_of_other=58))]
    told = for_programs(SCENE, found)
    assert told.pop("scene_hash") == scene_hash(SCENE)
    assert rounded(told) == {
        "schema_version": 1,
        "command": "colours",
        "title": "Made up",
        "scales": {
            "lightness": "CIELAB L*, 0 to 100",
            "contrast": "WCAG 2.2 contrast ratio, 1 to 21",
            "difference": "CIE 1976",
            "clear_in_grey_from_gap": 30.0,
            "muddy_in_grey_under_gap": 15.0,
            "hard_to_tell_under_difference": 20.0,
        },
        "strands_from_below": [".", "o"],
        "advised_from_below": ["o", "."],
        "pairs": [
            {
                "yarns": [".", "o"],
                "names": ["milk", "ink"],
                "touch_side_by_side": 700,
                "touch_one_above_other": 534,
                "rows_with_both": 4,
                "lightness": [50.04, 40.44],
                "lightness_gap": 9.6,
                "in_grey": "muddy",
                "contrast_ratio": 1.449,
                "difference": 25.04,
                "colour_blind": {
                    "protan": {"lightness_gap": 9.6, "difference": 12.4, "hard_to_tell": True},
                    "deutan": {"lightness_gap": 9.6, "difference": 12.4, "hard_to_tell": True},
                    "tritan": {"lightness_gap": 40.0, "difference": 60.0, "hard_to_tell": False},
                },
                "carried_below": ".",
                "makes_the_motif": "o",
            },
            {
                "yarns": [".", "o"],
                "names": ["milk", "ink"],
                "touch_side_by_side": 700,
                "touch_one_above_other": 534,
                "rows_with_both": 4,
                "lightness": [90.0, 20.0],
                "lightness_gap": 70.0,
                "in_grey": "clear",
                "contrast_ratio": 1.449,
                "difference": 70.0,
                "colour_blind": {
                    "protan": {"lightness_gap": 40.0, "difference": 60.0, "hard_to_tell": False},
                    "deutan": {"lightness_gap": 40.0, "difference": 60.0, "hard_to_tell": False},
                    "tritan": {"lightness_gap": 40.0, "difference": 60.0, "hard_to_tell": False},
                },
                "carried_below": None,
                "makes_the_motif": None,
            },
        ],
    }
    assert [list(line) for line in lines(SCENE, found)] == [list(COLUMNS)] * 2
    assert lines(SCENE, found)[0] == {
        "yarn": "milk",
        "other_yarn": "ink",
        "touch": 1234,
        "lightness": 50.0,
        "other_lightness": 40.4,
        "lightness_gap": 9.6,
        "in_grey": "muddy",
        "contrast_ratio": 1.45,
        "difference": 25.0,
        "protan_lightness_gap": 9.6,
        "protan_difference": 12.4,
        "deutan_lightness_gap": 9.6,
        "deutan_difference": 12.4,
        "tritan_lightness_gap": 40.0,
        "tritan_difference": 60.0,
        "carried_below": "milk",
        "makes_the_motif": "ink",
    }
    assert list(lines(SCENE, found)[1].values())[-2:] == ["", ""]
