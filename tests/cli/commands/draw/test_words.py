"""What is said of a drawing, and which size and name it gets."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fabricsim.cli.commands.draw.options import DrawOptions, PictureSize, options_in_words
from fabricsim.cli.commands.draw.pictures import Drawing
from fabricsim.cli.commands.draw.words import words
from fabricsim.cli.shell.options import Load
from fabricsim.fabric.lying import Unpinned
from tests.cli.made_up import rest_of, scene_of

FILE = Path("hat.png")


def asked(size: PictureSize, view: str = "face", side: str = "face", show: str = "yarn", at: str | None = None,
          ground: str = "paper", bare: bool = False) -> DrawOptions:  # fmt: skip
    return options_in_words(
        load=Load("repeat"), view=view, side=side, show=show, at=at, across=9, row=None, size=size, ground=ground,
        bare=bare, draft=False,
    )  # fmt: skip


def test_what_was_drawn_and_how_large_it_comes_out() -> None:
    usual, printed = PictureSize.of(None, None, False, None), PictureSize.of(None, 12.0, False, None)
    drawn = Drawing(b"", (1417, 709), "close-up; of the face", (7, 12))
    assert words(asked(usual), drawn, FILE, "round") == [
        "Close-up: hat.png, 1417 x 709 pixels.",
        "In its middle is stitch 12 of round 7.",
    ]
    assert words(asked(printed), Drawing(b"", (1417, 709), "face"), FILE, "row") == [
        "Face: hat.png, 1417 x 709 pixels.",
        "Printed at 100 % (300 dots per inch) it is 12.0 x 6.0 cm large.",
    ]
    assert words(asked(PictureSize.of(None, None, True, 150.0)), Drawing(b"", (1417, 709), "back"), FILE, "row")[
        -1
    ] == ("Printed at 100 % (150 dots per inch) it is 24.0 x 12.0 cm large, the fabric as large as in the hand.")


def test_what_a_picture_leaves_open_of_the_shape_is_said_first() -> None:
    drawn = Drawing(b"", (9, 9), "face", said=("Its crown ruffles.",))
    assert words(asked(PictureSize.of(None, None, False, None)), drawn, FILE, "round") == [
        "Face: hat.png, 9 x 9 pixels.",
        "Its crown ruffles.",
    ]


def test_how_it_lies_is_said_where_it_may_lie_otherwise() -> None:
    """Aslant, in the colours of its yarn, a flat piece is seen off its pins; what shows a number is seen on them."""
    size = PictureSize.of(None, None, False, None)
    for view in ("face", "back", "close-up", "section"):
        assert not asked(size, view).lying
    assert [asked(size, "three-quarter", show=show).lying for show in ("yarn", "pull", "pucker")] == [
        True,
        False,
        False,
    ]
    aslant = asked(size, "three-quarter")
    rest = rest_of(scene_of(), "swatch")
    loose = Unpinned(rest, 0.14, 0.15, 0.02)
    first = "Face: hat.png, 9 x 9 pixels."
    assert words(aslant, Drawing(b"", (9, 9), "face"), FILE, "row") == [first]
    assert words(aslant, Drawing(b"", (9, 9), "face", loose=loose), FILE, "row") == [
        first,
        "Seen off its pins, its edges curled; draw-in and pucker are told of it pinned flat, as it is measured.",
    ]
    assert words(aslant, Drawing(b"", (9, 9), "face", loose=replace(loose, rest=None)), FILE, "row") == [
        first,
        "Off its pins its edges curl, but no rest was found for that: it is seen pinned flat.",
    ]


def test_how_large_it_is_asked_for() -> None:
    assert PictureSize.of(None, None, False, None) == PictureSize(1600)
    assert PictureSize.of(900, None, False, 72.0) == PictureSize(900, dpi=72.0)
    assert PictureSize.of(None, 12.7, False, None) == PictureSize(1500, dpi=300.0)  # 5 inches
    assert PictureSize.of(None, 12.7, False, 100.0) == PictureSize(500, dpi=100.0)
    assert PictureSize.of(None, 0.1, False, 1.0) == PictureSize(1, dpi=1.0)
    life = PictureSize.of(None, None, True, 127.0)
    assert (life.width_px, life.dpi, life.life_size) == (None, 127.0, True)
    assert life.metres_per_px == pytest.approx(0.0002)  # 127 to 25.4 mm
    assert not PictureSize.of(900, None, False, None).life_size


@pytest.mark.parametrize(
    ("view", "side", "show", "name"),
    [
        ("face", "face", "yarn", "face"),
        ("back", "back", "pull", "back-pull"),
        ("three-quarter", "back", "yarn", "three-quarter-back"),
        ("close-up", "face", "pucker", "close-up-face-pucker"),
        ("section", "face", "yarn", "section"),
    ],
)
def test_a_name_for_its_file(view: str, side: str, show: str, name: str) -> None:
    options = asked(PictureSize(), view, side, show)
    assert options.name == name
    assert options.side == ("back" if "back" in (view, side) else "face")
    assert options.angle == (view if view in ("three-quarter", "close-up") else "straight")


def test_the_ground_and_the_place_are_taken_as_written() -> None:
    assert asked(PictureSize(), ground="#0a0b0c").ground == (10, 11, 12)
    see_through = asked(PictureSize(), ground="transparent")
    assert see_through.ground is None
    assert see_through.bare
    assert not asked(PictureSize()).bare
    assert [asked(PictureSize(), "close-up", at=at).at for at in ("12,30", " 3 x 4 ", "5 6", None)] == [
        (12, 30), (3, 4), (5, 6), None,
    ]  # fmt: skip
