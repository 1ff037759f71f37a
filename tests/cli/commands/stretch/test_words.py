"""What ``stretch`` says, sentence by sentence and cell by cell, from curves of fabric that nobody pulled."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.cli.commands.stretch.data import for_programs, lines
from fabricsim.cli.commands.stretch.words import tell
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.stretching import Along
from fabricsim.study.stretch.pulling import Curve, Point
from fabricsim.study.stretch.stretching import Stretching, Way
from tests.cli.made_up import Told, rest_of, scene_of
from tests.cli.printed import printed, rounded

LOADS = (4.0, 20.0)
PLAIN = 0.01
"""Stretch of plain fabric to a newton per metre."""


def curve(
    along: Along,
    each: float,
    *,
    taut: tuple[float, float] = (0.0, 1.0),
    first: float | None = None,
    half: float | None = None,
    floats: int = 4,
    most: float = 40.0,
) -> Curve:
    """Return a straight curve that stretches by ``each`` to a N/m and gets narrower by a half of that; the share of
    its floats that are ``taut`` rises from rest to the greatest load."""
    points = tuple(
        Point(load, each * load, -0.5 * each * load, taut[0] + (taut[1] - taut[0]) * load / most)
        for load in (0.0, 0.5, most)
    )
    return Curve(along, (0.06, 0.05), points, floats, first, half)


def way(along: Along, made: Curve, *others: Curve, plain: float = PLAIN) -> Way:
    return Way(made, curve(along, plain, floats=0), others)


def found(across: Way | None = None, up: Way | None = None, *, worked: str = "round") -> Stretching:
    rest = rest_of(scene_of(worked=worked))
    return Stretching(rest, LOADS, across or way("across", curve("across", 0.003)), up or way("up", curve("up", 0.005)))


def told(one: Stretching, plots: Path | None = None) -> Told:
    page = Told()
    tell(page, one.rest.scene, one, plots)
    return page


def across(**more: object) -> str:
    """Return the sentence on a pull across; plain fabric gives 20 % and this 6 % at 20 N/m."""
    return told(found(way("across", curve("across", 0.003, **more)))).said[3]  # type: ignore[arg-type]


PULL = "by 20 N/m (102 g hung from each 5 cm of width) it is 6.0 % wider"


def test_what_it_is_how_it_is_seen_and_what_to_beware_of() -> None:
    said = told(found(), Path("curves.png")).said
    seen = "Seen as the chart without end, 12 stitches x 3 rounds, pulled one way and free the other: the middle of a "
    assert said[:3] == ["Made up", f"{seen}strip, far from its edges.", ""]
    assert said[-3:] == [
        "The mechanics is checked against exact solutions, not against hand-knits: hang a weight from your swatch and "
        "measure.",
        "The curves are in curves.png.",
        CAUTION,
    ]
    assert "x 3 rows," in told(found(worked="flat")).said[1]
    assert told(found()).said[-2:] == [said[-3], CAUTION]


def test_floats_that_stay_slack() -> None:
    for first in (None, 0.0601):
        assert across(first=first) == f"Across, its floats stay slack: {PULL}; plain fabric would be 20 %."


def test_where_the_first_and_half_of_the_floats_go_taut() -> None:
    before = "Across, it stretches 4.0 % before the first floats go taut"
    after = f"{PULL}. Plain fabric would be 20 %."
    assert across(first=0.04, half=0.051) == f"{before} (half of them by 5.1 %); {after}"
    for half in (None, 0.04, 0.0405):
        assert across(first=0.04, half=half) == f"{before}; {after}"


@pytest.mark.parametrize(
    ("taut", "said"),
    [
        ((1.0, 1.0), "all its floats are taut as it lies, which holds it back"),
        ((0.5, 1.0), "2 of its 4 floats are taut as it lies, which holds it back"),
        ((0.5, 0.0), "2 of its 4 floats are taut as it lies, which holds it back"),
        ((1.0, -1.0), "all its floats are taut as it lies, but go slack as it narrows"),
    ],
)
def test_floats_that_are_taut_as_it_lies(taut: tuple[float, float], said: str) -> None:
    assert across(first=0.0, taut=taut) == f"Across, {said}: {PULL}; plain fabric would be 20 %."


def test_without_floats_there_is_nothing_to_hold_against() -> None:
    page = told(found(way("across", curve("across", 0.003, floats=0)), way("up", curve("up", 0.005, floats=0))))
    assert page.said[3:5] == [f"Across, {PULL}.", "Up, by 20 N/m it is 10 % taller."]
    for table in page.tables.values():
        assert not {"floats taut %", "plain fabric %"} & set(table.side_of)


def cells(table: Table) -> list[dict[str, str]]:
    return [dict(zip(table.side_of, line, strict=True)) for line in table.lines]


def test_the_tables() -> None:
    """From 0.5 N/m on: (1 + 0.06) / (1 + 0.0015) - 1 = 5.84 %."""
    others = [curve("across", each) for each in (0.002, 0.004)]
    page = told(found(way("across", curve("across", 0.003), *others)))
    assert list(page.tables) == ["Pulled across", "Pulled up"]
    first, mid, last = cells(page.tables["Pulled across"])
    assert last == {
        "pull N/m": "20",
        "g on 5 cm": "102",
        "wider %": "6.0",
        "likely %": "2.0 to 16.0",  # 0.002 x 20 / 2 and 0.004 x 20 x 2
        "shorter %": "3.0",
        "floats taut %": "50",
        "plain fabric %": "20.0",
        "from 0.5 N/m %": "5.8",
    }
    assert (first["pull N/m"], first["g on 5 cm"], first["wider %"], first["from 0.5 N/m %"]) == (
        "0.5", "2.5", "0.1", "0.0",
    )  # fmt: skip
    assert (mid["pull N/m"], mid["g on 5 cm"]) == ("4", "20")
    up = cells(page.tables["Pulled up"])[-1]
    assert (up["taller %"], up["narrower %"]) == ("10.0", "5.0")
    assert "likely %" not in up
    assert set(page.tables["Pulled up"].side_of.values()) == {"right"}


def test_a_range_without_an_upper_end_is_more() -> None:
    ends_early = curve("across", 0.004, most=30.0)
    page = told(found(way("across", curve("across", 0.003), ends_early)))
    assert cells(page.tables["Pulled across"])[-1]["likely %"] == "3.0 to more"


def test_what_likely_is_the_range_for() -> None:
    def notes(floats: int) -> list[str]:
        both = [way(along, *[curve(along, 0.003, floats=floats)] * 2) for along in ("across", "up")]
        return told(found(*both)).said

    stiff = "'Likely' is the range for fabric half and twice as stiff as reckoned"
    assert f"{stiff}, and slack 3 % less and more." in notes(4)
    assert f"{stiff}." in notes(0)
    assert not any(one.startswith("'Likely'") for one in told(found()).said)


def test_how_the_pull_is_counted_and_where_it_is_a_guess() -> None:
    counted = (
        "The pull is on each metre of the width as it lay. Strip tests count stretch from a slight pull of 0.5 N/m, "
        "as the "
        "last column does. How well it springs back is not reckoned."
    )
    assert counted in told(found()).said
    stiffness = found().rest.stiffness
    for over_across, over_up in ((False, False), (True, False), (False, True), (True, True)):
        limits = {"across": stiffness.lock_across, "up": stiffness.lock_up}
        by = {"across": over_across, "up": over_up}
        ways = [
            way(along, curve(along, limits[along] / 20.0 * (1.01 if by[along] else 0.99))) for along in ("across", "up")
        ]
        said = [one for one in told(found(*ways)).said if one.startswith("Past")]
        where = " or ".join(f"{100 * limits[along]:.0f} % {along}" for along in ("across", "up") if by[along])
        assert said == (
            [f"Past {where} loops are pulled straight; how stiff they are there is a guess."] if where else []
        )
    ends_early = way("across", curve("across", 0.003), curve("across", 0.003, most=30.0))
    assert any(one.startswith("Past") for one in told(found(ends_early)).said)  # who knows how far it would have gone


def test_all_of_it_as_it_is_printed() -> None:
    both = found(
        way("across", curve("across", 0.003, first=0.04, half=0.05), curve("across", 0.002)),
        way("up", curve("up", 0.005, first=0.0, taut=(0.5, 1.0))),
    )
    scene = both.rest.scene
    assert (
        printed(lambda page: tell(page, scene, both, Path("curves.png")))
        == """\
**Made up**
Seen as the chart without end, 12 stitches x 3 rounds, pulled one way and free the other: the middle of a
strip, far from its edges.

Across, it stretches 4.0 % before the first floats go taut (half of them by 5.0 %); by 20 N/m (102 g hung from
each 5 cm of width) it is 6.0 % wider. Plain fabric would be 20 %.
Up, 2 of its 4 floats are taut as it lies, which holds it back: by 20 N/m it is 10 % taller; plain fabric
would be 20 %.

**Pulled across**
pull N/m  g on 5 cm  wider %     likely %  shorter %  floats taut %  plain fabric %  from 0.5 N/m %
--------  ---------  -------  -----------  ---------  -------------  --------------  --------------
     0.5        2.5      0.1   0.1 to 0.3        0.1              1             0.5             0.0
       4         20      1.2   0.4 to 2.4        0.6             10             4.0             1.0
      20        102      6.0  2.0 to 12.0        3.0             50            20.0             5.8

**Pulled up**
pull N/m  g on 5 cm  taller %  narrower %  floats taut %  plain fabric %  from 0.5 N/m %
--------  ---------  --------  ----------  -------------  --------------  --------------
     0.5        2.5       0.2         0.1             51             0.5             0.0
       4         20       2.0         1.0             55             4.0             1.7
      20        102      10.0         5.0             75            20.0             9.7

'Likely' is the range for fabric half and twice as stiff as reckoned, and slack 3 % less and more.
The pull is on each metre of the width as it lay. Strip tests count stretch from a slight pull of 0.5 N/m, as
the last column does. How well it springs back is not reckoned.
The mechanics is checked against exact solutions, not against hand-knits: hang a weight from your swatch and
measure.
The curves are in curves.png.
[caution]"""
    )
    told = for_programs(scene, both)
    assert told.pop("scene_hash") == scene_hash(scene)
    assert rounded(told) == {
        "schema_version": 1,
        "command": "stretch",
        "title": "Made up",
        "case": "repeat",
        "floats": 4,
        "pretension_N_per_m": 0.5,
        "strip_cm": 5.0,
        "across": {
            "size_at_rest_cm": 6.0,
            "first_float_taut_percent": {"low": 4.0, "nominal": 4.0, "high": None},
            "half_the_floats_taut_percent": 5.0,
            "at": [
                {
                    "load_N_per_m": 0.5,
                    "grams_on_strip": 2.54842,
                    "stretch_percent": {"low": 0.05, "nominal": 0.15, "high": 0.3},
                    "from_pretension_percent": 0.0,
                    "other_way_percent": -0.075,
                    "floats_taut_percent": 1.25,
                    "plain_stretch_percent": 0.5,
                },
                {
                    "load_N_per_m": 4.0,
                    "grams_on_strip": 20.3874,
                    "stretch_percent": {"low": 0.4, "nominal": 1.2, "high": 2.4},
                    "from_pretension_percent": 1.04843,
                    "other_way_percent": -0.6,
                    "floats_taut_percent": 10.0,
                    "plain_stretch_percent": 4.0,
                },
                {
                    "load_N_per_m": 20.0,
                    "grams_on_strip": 101.937,
                    "stretch_percent": {"low": 2.0, "nominal": 6.0, "high": 12.0},
                    "from_pretension_percent": 5.84124,
                    "other_way_percent": -3.0,
                    "floats_taut_percent": 50.0,
                    "plain_stretch_percent": 20.0,
                },
            ],
        },
        "up": {
            "size_at_rest_cm": 5.0,
            "first_float_taut_percent": {"low": 0.0, "nominal": 0.0, "high": 0.0},
            "half_the_floats_taut_percent": None,
            "at": [
                {
                    "load_N_per_m": 0.5,
                    "grams_on_strip": 2.54842,
                    "stretch_percent": {"low": 0.25, "nominal": 0.25, "high": 0.25},
                    "from_pretension_percent": 0.0,
                    "other_way_percent": -0.125,
                    "floats_taut_percent": 50.625,
                    "plain_stretch_percent": 0.5,
                },
                {
                    "load_N_per_m": 4.0,
                    "grams_on_strip": 20.3874,
                    "stretch_percent": {"low": 2.0, "nominal": 2.0, "high": 2.0},
                    "from_pretension_percent": 1.74564,
                    "other_way_percent": -1.0,
                    "floats_taut_percent": 55.0,
                    "plain_stretch_percent": 4.0,
                },
                {
                    "load_N_per_m": 20.0,
                    "grams_on_strip": 101.937,
                    "stretch_percent": {"low": 10.0, "nominal": 10.0, "high": 10.0},
                    "from_pretension_percent": 9.72569,
                    "other_way_percent": -5.0,
                    "floats_taut_percent": 75.0,
                    "plain_stretch_percent": 20.0,
                },
            ],
        },
    }
    made = lines(both)
    assert [(one["pulled"], one["fabric"], one["load_N_per_m"]) for one in made] == [
        ("across", "with floats", 0.0),
        ("across", "with floats", 0.5),
        ("across", "plain", 0.0),
        ("across", "plain", 0.5),
        ("up", "with floats", 0.0),
        ("up", "with floats", 0.5),
        ("up", "plain", 0.0),
        ("up", "plain", 0.5),
    ]
    assert rounded(made[5]) == {
        "pulled": "up",
        "fabric": "with floats",
        "load_N_per_m": 0.5,
        "grams_on_5_cm": 2.54842,
        "stretch_percent": 0.25,
        "other_way_percent": -0.125,
        "floats_taut_percent": 50.625,
    }
