"""What is said of a plan, from made-up plans: nothing is planned here."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.cli.commands.catches.words import Change, PlanTold, row_sentence, tell
from fabricsim.cli.shell.page import Page
from fabricsim.design.catches.plan import CatchPlan
from fabricsim.design.floats.caught import CaughtStitch
from fabricsim.design.rows.squares import Hold
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
