"""What is said of a plan, from made-up plans: nothing is planned here."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli.commands.catches.data import COLUMNS, for_programs, lines
from fabricsim.cli.commands.catches.words import Change, PlanTold, row_sentence, tell
from fabricsim.cli.shell.page import Page
from fabricsim.design.catches.plan import CatchPlan
from fabricsim.design.floats.caught import CaughtStitch
from fabricsim.design.rows.squares import Hold, Passed
from fabricsim.design.scene.read import scene_hash
from tests.cli.printed import printed, rounded
from tests.design.scenes import YARNS, scene

SCENE = scene(
    ["A........."] * 2, across=3, yarns=(*YARNS, {"symbol": "B", "name": "rust", "colour": "#8a3b12", "tex": 9})
)
STITCH = CaughtStitch(
    row=2, stitch=4, caught=(1,), front=0, repeat="every", nth=4, run=9, over_edge=False, listed=False
)
ONE, JOIN = Hold(1, 6, 1), Hold(0, 3, 1, "last")
PLAN = CatchPlan(frozenset({ONE}), frozenset(), 5)


def said(plan: CatchPlan, capsys: pytest.CaptureFixture[str]) -> str:
    """Return all that is said of a plan, its lines joined."""
    stitches = [replace(STITCH, repeat=hold.repeat) for hold in plan.planned]
    before, after = Change(0, 0, 6, 6, 9, 4.7), Change(len(plan.planned), 7, 0, 13, 5, 2.6)
    tell(Page(), PlanTold(SCENE, plan, stitches, before, after, []))
    return " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("plan", "proof"),
    [
        (PLAN, "No plan has fewer catches, and by the rules of placing none with as few is better placed (proven)."),
        (
            replace(PLAN, fewer=1200, clashes_fewer=3, cheaper=0.5),
            "The time ran out: at most 1,200 fewer might do; a longer --seconds may find such a plan.",
        ),
        (
            replace(PLAN, clashes_fewer=3, cheaper=0.5),
            "best: at most 3 fewer might lie stacked or side by side; try a longer --seconds.",
        ),
        (replace(PLAN, cheaper=0.125), "best: by the rules others might be placed up to 12 % better; a longer"),
        (replace(PLAN, cheaper=1e-4), "best: by the rules others might be placed up to 1 % better; a longer"),
    ],
)
def test_how_good_a_plan_is_known_to_be(plan: CatchPlan, proof: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert proof in said(plan, capsys)


def test_catches_beside_the_join_of_rounds_are_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(replace(PLAN, planned=frozenset({ONE, JOIN})), capsys)
    assert "2 catches in the chart, 1 of them where rounds join, keep every float within your limit of" in text
    assert ": 7 in the piece." in text
    assert "The first repeat is the one that begins a round, the last the one that ends it." in text
    assert "1 catch where rounds join keeps every float" in said(replace(PLAN, planned=frozenset({JOIN})), capsys)
    assert "The first repeat" not in said(PLAN, capsys)


def test_a_row_names_the_strand_and_the_repeat() -> None:
    both = replace(STITCH, stitch=7, caught=(1, 2))
    last = replace(STITCH, stitch=9, caught=(2,), repeat="last", nth=1)
    assert row_sentence(SCENE, [STITCH, both, last]) == (
        "Round 2: catch pine behind stitch 4 (4th of 9 oat); catch pine and rust behind stitch 7 (4th of 9 oat); catch "
        "rust behind stitch 9 (1st of 9 oat), in the last repeat only."
    )


def test_what_lies_badly_is_named_and_whether_it_can_be_helped(capsys: pytest.CaptureFixture[str]) -> None:
    beside = Hold(1, 5, 2)
    plan = replace(PLAN, planned=frozenset({ONE, beside}), side_by_side=((ONE, beside),))
    assert (
        "1 catch lies right beside another, which can't be avoided with so few catches: stitches 4 and 5 of round 2."
    ) in said(plan, capsys)
    assert "beside another, which was not avoided in the time: stitches" in said(replace(plan, clashes_fewer=1), capsys)
    listed = replace(plan, planned=frozenset(), listed=frozenset({ONE, beside}))
    assert "Side by side as you listed them, where one would do: stitches 4 and 5 of round 2." in said(listed, capsys)


def test_all_that_is_said_of_a_plan() -> None:
    plan = replace(PLAN, planned=frozenset({ONE, Hold(0, 3, 1)}), listed=frozenset({Hold(1, 2, 1)}))
    stitches = [
        replace(STITCH, row=1, stitch=7, nth=6, listed=True),
        STITCH,
        replace(STITCH, stitch=8, nth=8, over_edge=True),
        replace(STITCH, stitch=9, caught=()),
    ]
    files = [("the map of the back", Path("back.png")), ("a copy of the scene with these catches", Path("new.toml"))]
    changed = (Change(1, 3, 1206, 6, 9, 4.7), Change(3, 9, 0, 13, 1, 0.53))
    long = [Passed(1, tuple((row, column) for column in range(1, 10)), ("every",) * 9) for row in (1, 0)]
    assert (
        printed(lambda page: tell(page, PlanTold(SCENE, plan, stitches, *changed, long, files)))
        == """\
**a test**
2 catches in the chart keep every float within your limit of 5 stitches or 2.5 cm (5 stitches at this gauge):
6 in the piece. Your 1 catch stays as listed.

**What the plan changes**
                                                  before     with the plan
------------------------------------  ------------------  ----------------
catches in the chart                                   1                 3
floats over your limit, in the piece               1,206                 0
longest open float                    9 stitches, 4.7 cm  1 stitch, 0.5 cm

Rounds are those of the piece; stitches count from the right of the chart's face. In brackets: which stitch of
its colour it is, as you come to it.
Round 1: catch pine behind stitch 7 (6th of 9 oat, as you listed).
Round 2: catch pine behind stitch 4 (4th of 9 oat) and 8 (8th of 9 oat across the repeat edge); catch nothing
(no float passes there) behind stitch 9 (4th of 9 oat).
2 floats of the chart run behind more than 5 cm uncaught, in rounds 1, 2; the longest passes behind 9
stitches, in round 2. Catching is seldom the best cure there: lift the float on the next round, or work a
backing column every 2 to 4 stitches.
No plan has fewer catches, and by the rules of placing none with as few is better placed (proven).
[caution]
The map of the back is in back.png.
A copy of the scene with these catches is in new.toml."""
    )


def test_all_that_is_said_where_none_is_planned() -> None:
    none = Change(0, 0, 0, 0, 0, 0.0)
    idle = PlanTold(SCENE, replace(PLAN, planned=frozenset()), [], none, none, [])
    assert (
        printed(lambda page: tell(page, idle))
        == """\
**a test**
No float needs a catch: none passes your limit of 5 stitches or 2.5 cm (5 stitches at this gauge).
[caution]"""
    )
    kept = idle._replace(plan=replace(idle.plan, listed=frozenset({ONE})))
    assert (
        "No float needs another catch: none passes your limit of 5 stitches or 2.5 cm (5 stitches at this gauge)."
        in printed(lambda page: tell(page, kept)).replace("\n", " ")
    )
    assert "Your 1 catch stays as listed." in printed(lambda page: tell(page, kept)).replace("\n", " ")


def test_all_that_is_said_where_no_catch_is_a_cure() -> None:
    open_all = tuple(Passed(1, ((row % 2, 1 + row % 7),), ("every",)) for row in range(14))
    none = Change(0, 0, 14, 14, 1, 0.5)
    scene_open = scene(["A........."] * 2, floats={"longest_cm": 0.3})
    told = PlanTold(
        scene_open, replace(PLAN, planned=frozenset(), most=0, left_open=open_all), [], none, none, list(open_all)
    )
    assert (
        printed(lambda page: tell(page, told))
        == """\
**a test**
Your limit of 0.3 cm is less than one stitch (0.53 cm). Catching every stitch is not the cure: it makes the
fabric stiff, shows on the face, and every float between two stitches is still there. Line the piece, so that
nothing can get behind the floats, or choose a chart without floats. No catches are planned.
Open all the same, 14 floats in the chart (stitches passed behind in brackets): pine in round 1 from stitch 9
(1), pine in round 2 from stitch 8 (1), pine in round 1 from stitch 7 (1), pine in round 2 from stitch 6 (1),
pine in round 1 from stitch 5 (1), pine in round 2 from stitch 4 (1), pine in round 1 from stitch 3 (1), pine
in round 2 from stitch 9 (1), pine in round 1 from stitch 8 (1), pine in round 2 from stitch 7 (1), pine in
round 1 from stitch 6 (1), pine in round 2 from stitch 5 (1) and 2 more (--json lists them all).
[caution]"""
    )
    baby = scene(["A........."] * 2).model_copy(update={"item": "baby mittens"})
    assert "No float may stay open here. Catching every stitch is not the cure" in printed(
        lambda page: tell(page, told._replace(scene=baby))
    ).replace("\n", " ")


def test_what_lies_stacked(capsys: pytest.CaptureFixture[str]) -> None:
    below = Hold(0, 6, 1)
    stacked = replace(PLAN, planned=frozenset({ONE, below}), stacked=((below, ONE),))
    line = "One more catch in such a round, or a stitch of another colour in its gap, would undo it."
    assert (
        "1 catch lies straight above another, which may show as a line and can't be avoided with so few catches: "
        f"stitch 4 of rounds 1 and 2. {line}"
    ) in said(stacked, capsys)
    yours = replace(stacked, planned=frozenset(), listed=frozenset({ONE, below}))
    assert "Stacked as you listed them, which may show as a line: stitch 4 of rounds 1 and 2." in said(yours, capsys)
    many = tuple((Hold(0, column, 1), Hold(1, column, 1)) for column in range(10))
    far = tuple((Hold(1, column, 1), Hold(2, column, 1)) for column in range(3))
    text = said(replace(PLAN, stacked=(*many, *far, *many)), capsys)
    assert "23 catches lie straight above another" in text
    assert "stitch 8 of rounds 2 and 3. One" not in text
    assert "stitch 9 of rounds 2 and 3 and 1 more (--json lists them all). One more catch" in text


@pytest.mark.parametrize(
    ("more", "sentence", "there"),
    [
        ({"plain_below": 2}, "(in the scene's list of catches row 1 is round 3)", True),
        ({}, "of the piece)", False),
        ({"worked": "flat"}, "Wrong-side rows run left to right (even rows).", True),
        ({"worked": "flat", "plain_below": 1}, "Wrong-side rows run left to right (even rows).", True),
        ({}, "Wrong-side rows", False),
        ({"worked": "flat", "up": 2, "rows": 3}, "In every other repeat up the sides change over: count the", True),
        ({"worked": "flat", "up": 2}, "the sides change over", False),
    ],
)
def test_how_the_rows_are_to_be_read(more: dict[str, Any], sentence: str, there: bool) -> None:
    chart = dict(more)
    made = scene(["A........."] * chart.pop("rows", 2), **chart)
    told = PlanTold(made, PLAN, [STITCH], Change(0, 0, 6, 6, 9, 4.7), Change(1, 2, 0, 8, 5, 2.6), [])
    assert (sentence in printed(lambda page: tell(page, told)).replace("\n", " ")) == there


@pytest.mark.parametrize(
    ("over", "stay", "them"), [(1, "1 float of the piece stays", "it"), (5, "5 floats of the piece stay", "them")]
)
def test_floats_that_shaping_leaves_over_the_limit_are_owned_up_to(over: int, stay: str, them: str) -> None:
    told = PlanTold(SCENE, PLAN, [], Change(0, 0, 6, 6, 9, 4.7), Change(1, 2, over, 8, 5, 2.6), [])
    text = printed(lambda page: tell(page, told)).replace("\n", " ")
    assert (
        "1 catch in the chart keeps every float of the chart within your limit of 5 stitches or 2.5 cm (5 stitches at "
        f"this gauge): 2 in the piece. But {stay} over it: where stitches come or go, repeats meet in other places "
        f"than the plan knows of. 'fabricsim floats' tells where; catch {them} as you come to {them}. "
    ) in text
    cured = told._replace(after=told.after._replace(over=0))
    text = printed(lambda page: tell(page, cured)).replace("\n", " ")
    assert "keeps every float within your limit" in text
    assert "over it" not in text


def test_floats_so_long_that_catching_is_no_cure() -> None:
    long = [Passed(1, tuple((row, column) for column in range(1, 10)), ("every",) * 9) for row in (1,)]
    one = PlanTold(SCENE, PLAN, [], Change(0, 0, 6, 6, 9, 4.7), Change(1, 2, 0, 8, 5, 2.6), long)
    text = printed(lambda page: tell(page, one)).replace("\n", " ")
    assert "1 float of the chart runs behind more than 5 cm uncaught, in round 2; the longest passes behind" in text
    many = [Passed(1, ((row, 1),), ("every",)) for row in range(13)]
    text = printed(lambda page: tell(page, one._replace(very_long=many))).replace("\n", " ")
    assert "in rounds 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and more; the longest passes behind 1 stitch, in" in text
    assert "behind more than" not in printed(
        lambda page: tell(page, one._replace(plan=replace(PLAN, left_open=tuple(many))))
    )


def test_for_programs_and_spreadsheets() -> None:
    beside = Hold(1, 5, 2)
    open_one = Passed(1, ((1, 2), (1, 3)), ("every", "every"))
    plan = replace(
        PLAN, listed=frozenset({beside}), stacked=((Hold(0, 6, 1), ONE),), side_by_side=((ONE, beside),),
        left_open=(open_one,), fewer=2, clashes_fewer=1, cheaper=0.125,
    )  # fmt: skip
    told = PlanTold(
        SCENE,
        plan,
        [STITCH, replace(STITCH, caught=(1, 2), listed=True)],
        Change(1, 3, 6, 6, 9, 4.7),
        Change(2, 6, 0, 8, 5, 2.6),
        [open_one],
    )
    said = for_programs(told)
    assert said.pop("scene_hash") == scene_hash(SCENE)
    assert rounded(said) == {
        "schema_version": 1,
        "command": "catches",
        "title": "a test",
        "worked": "round",
        "limits": {"longest_gap_stitches": 5, "longest_gap_cm": 2.5, "longest_open_stitches": 5},
        "before": {"catches": 1, "in_piece": 3, "over": 6, "floats": 6, "longest_gap": 9, "longest_cm": 4.7},
        "after": {"catches": 2, "in_piece": 6, "over": 0, "floats": 8, "longest_gap": 5, "longest_cm": 2.6},
        "planned": 1,
        "listed": 1,
        "fewest_proven": False,
        "places_proven": False,
        "fewer_at_most": 2,
        "fewer_stacked_or_side_by_side_at_most": 1,
        "better_placed_at_most_percent": 12.5,
        "catches": [
            {
                "row": 2,
                "stitch": 4,
                "yarns_caught": "A",
                "behind_yarn": ".",
                "repeat": "every",
                "stitch_of_its_colour": 4,
                "stitches_of_its_colour": 9,
                "listed": False,
            },
            {
                "row": 2,
                "stitch": 4,
                "yarns_caught": "AB",
                "behind_yarn": ".",
                "repeat": "every",
                "stitch_of_its_colour": 4,
                "stitches_of_its_colour": 9,
                "listed": True,
            },
        ],
        "stacked": [{"lower": {"row": 1, "stitch": 4}, "upper": {"row": 2, "stitch": 4}}],
        "side_by_side": [{"right": {"row": 2, "stitch": 4}, "left": {"row": 2, "stitch": 5}}],
        "left_open": [{"yarn": "A", "row": 2, "stitch": 8, "gap_stitches": 2, "gap_cm": 1.05263}],
        "very_long": [{"yarn": "A", "row": 2, "stitch": 8, "gap_stitches": 2, "gap_cm": 1.05263}],
    }
    assert [tuple(line) for line in lines(SCENE, told.stitches)] == [COLUMNS] * 2
