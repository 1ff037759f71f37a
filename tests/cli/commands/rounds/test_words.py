"""How rows are written, word by word, from small scenes: counting needs no solve."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.command import answer_of
from fabricsim.cli.commands.rounds.data import for_programs
from fabricsim.cli.commands.rounds.rows import hanging
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from tests.cli.made_up import scene_of
from tests.cli.printed import printed, rounded

THREE = [
    {"symbol": ".", "name": "milk", "colour": "#eeeae0", "tex": 500},
    {"symbol": "o", "name": "ink", "colour": "#1d2b4f", "tex": 500},
    {"symbol": "x", "name": "ink", "colour": "#3b6b2f", "tex": 500},
]
CHART = ["..........", "xx.xx.....", *["oooooooooo"] * 3, *[".........."] * 7, "o.....o..o"]


def scenes() -> dict[str, Scene]:
    catches = [{"row": 1, "stitch": 6}, {"row": 12, "stitch": 3}]
    return {
        "round": scene_of(0.0, CHART, chart={"across": 3, "plain_above": 1}, floats={"catches": catches}, yarns=THREE),
        "flat": scene_of(
            0.0, CHART, worked="flat", chart={"across": 2, "plain_below": 1}, floats={"catches": catches}, yarns=THREE
        ),
        "one yarn": scene_of(0.0, ["...", "..."], worked="flat"),
        "one stitch": scene_of(0.0, ["."], chart={"up": 2}),
    }


def test_short_in_the_round() -> None:
    assert (
        printed(answer_of(piece_of(scenes()["round"])).tell)
        == """\
**Made up**
30 stitches x 14 rounds; the chart's 10 stitches 3 times across.
Gauge: 20 stitches and 20 rounds to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (4 g are used), 1 ball of ink, 50 g each (2 g are used) and 1 ball of ink, 50
g each (0 g are used); 15 % to spare are in them, a swatch is not.
MC = milk (. in the chart), CC1 = ink (o in the chart), CC2 = ink (x in the chart).
k = knit, rnd = round, rep from * = repeat what stands after the star, sts = stitches.
The rounds begin at the right edge of the chart. They are a spiral: there the pattern steps up by a round, and
2 lines of it are broken.
A chart that began at its stitch 9 would break 1 line: move the 8 stitches before it to the other side of the
chart.
To hide the step: when you come to the first stitch of the second round of a colour, lift the stitch below it
onto the left needle and knit the two together; the count stays as it is.
Strands from below: MC, CC1 and CC2. Of the yarns of a row carry the first of these lowest; never swap.
Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it.
CC1: break after rnd 1, join again in rnd 9, break after rnd 11.
CC2: join in rnd 12, break after rnd 12.

Cast on: 30 sts with MC, loosely. Join in the round without a twist, and mark where the round begins.
    [30] sts.
Rnd 1: *k1 CC1, k2 MC, k1 CC1, k5 MC (catch CC1 behind the 2nd of these), k1 CC1; rep from * to end. [30] sts.
Rnds 2-8: k all MC. [30] sts each.
Rnds 9-11: k all CC1. [30] sts each.
Rnd 12: k5 MC, k2 CC2, k1 MC, k2 CC2, *k5 MC (catch CC2 behind the 3rd of these), k2 CC2, k1 MC, k2 CC2;
    rep from * to end. [30] sts.
Rnds 13-14: k all MC. [30] sts each.
Bind off: all 30 sts with MC, loosely. [0] sts."""
    )


def test_short_worked_flat() -> None:
    assert (
        printed(answer_of(piece_of(scenes()["flat"])).tell)
        == """\
**Made up**
20 stitches x 14 rows; the chart's 10 stitches 2 times across.
Gauge: 20 stitches and 20 rows to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (3 g are used), 1 ball of ink, 50 g each (1 g are used) and 1 ball of ink, 50
g each (0 g are used); 15 % to spare are in them, a swatch is not.
MC = milk (. in the chart), CC1 = ink (o in the chart), CC2 = ink (x in the chart).
k = knit, p = purl, RS = right side, WS = wrong side, rep from * = repeat what stands after the star, sts =
stitches.
Odd rows are right-side rows, read from right to left on the chart; even rows from left to right.
At both edges every yarn of a row of several colours is held: catch those not in use behind the chart's first
stitch and behind its last.
After an odd number of rows a yarn waits at the far edge, as milk does before row 13. On a circular needle it
need not be broken: slide the stitches to the end where it hangs and work from there. That row is then on the
same side as the one before it, and right and wrong sides change places from there on: knit what is to be seen
as knit, whichever side you are on.
Strands from below: MC, CC1 and CC2. Of the yarns of a row carry the first of these lowest; never swap.
Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it.
MC: break after row 9, join again in row 13.
CC1: join in row 2, break after row 2, join again in row 10, break after row 12.
CC2: join in row 13, break after row 13.

Cast on: 20 sts with MC, loosely. [20] sts.
Row 1 (RS): k all MC. [20] sts.
Row 2 (WS): *p1 CC1, p5 MC (catch CC1 behind the 4th of these), p1 CC1, p2 MC, p1 CC1; rep from * to end.
    [20] sts.
Rows 3-9: all MC, k RS rows, p WS rows. [20] sts each.
Rows 10-12: all CC1, k RS rows, p WS rows. [20] sts each.
Row 13 (RS): *k5 MC (catch CC2 behind the 3rd of these), k2 CC2, k1 MC, k2 CC2; rep from * to end. [20] sts.
Row 14 (WS): p all MC. [20] sts.
Bind off: all 20 sts with MC, loosely. [0] sts."""
    )


def test_in_full_in_the_round() -> None:
    assert (
        printed(answer_of(piece_of(scenes()["round"]), in_full=True).tell)
        == """\
**Made up**
30 stitches by 14 rounds; the chart's 10 stitches 3 times across.
Gauge: 20 stitches and 20 rounds to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (4 g are used), 1 ball of ink, 50 g each (2 g are used) and 1 ball of ink, 50
g each (0 g are used); 15 % to spare are in them, a swatch is not.
Yarns: milk, ink (o) and ink (x).
The rounds begin at the right edge of the chart. They are a spiral: there the pattern steps up by a round, and
2 lines of it are broken.
A chart that began at its stitch 9 would break 1 line: move the 8 stitches before it to the other side of the
chart.
To hide the step: when you come to the first stitch of the second round of a colour, lift the stitch below it
onto the left needle and knit the two together; the count stays as it is.
Strands from below: milk, ink (o) and ink (x). Of the yarns of a row carry the first of these lowest; never
swap.
Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it.
ink (o): break after round 1, join again in round 9, break after round 11.
ink (x): join in round 12, break after round 12.

Cast on: 30 stitches with milk, loosely. Join in the round without a twist, and mark where the round begins.
    30 stitches in all.

Round 1: Work 3 times: knit 1 with ink (o), knit 2 with milk, knit 1 with ink (o), knit 5 with milk (catch ink
    (o) behind the 2nd of these), knit 1 with ink (o). 30 stitches in all.

Round 2: Knit all 30 stitches with milk.

Round 3: Knit all 30 stitches with milk.

Round 4: Knit all 30 stitches with milk.

Round 5: Knit all 30 stitches with milk.

Round 6: Knit all 30 stitches with milk.

Round 7: Knit all 30 stitches with milk.

Round 8: Knit all 30 stitches with milk.

Round 9: Knit all 30 stitches with ink (o).

Round 10: Knit all 30 stitches with ink (o).

Round 11: Knit all 30 stitches with ink (o).

Round 12: Knit 5 with milk, knit 2 with ink (x), knit 1 with milk, knit 2 with ink (x). Then work twice:
    knit 5 with milk (catch ink (x) behind the 3rd of these), knit 2 with ink (x), knit 1 with milk,
    knit 2 with ink (x). 30 stitches in all.

Round 13: Knit all 30 stitches with milk.

Round 14: Knit all 30 stitches with milk.

Bind off: all 30 stitches with milk, loosely. 0 stitches in all."""
    )


def test_in_full_worked_flat() -> None:
    assert (
        printed(answer_of(piece_of(scenes()["flat"]), in_full=True).tell)
        == """\
**Made up**
20 stitches by 14 rows; the chart's 10 stitches 2 times across.
Gauge: 20 stitches and 20 rows to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (3 g are used), 1 ball of ink, 50 g each (1 g are used) and 1 ball of ink, 50
g each (0 g are used); 15 % to spare are in them, a swatch is not.
Yarns: milk, ink (o) and ink (x).
Right-side rows are knitted, wrong-side rows are purled.
At both edges every yarn of a row of several colours is held: catch those not in use behind the chart's first
stitch and behind its last.
After an odd number of rows a yarn waits at the far edge, as milk does before row 13. On a circular needle it
need not be broken: slide the stitches to the end where it hangs and work from there. That row is then on the
same side as the one before it, and right and wrong sides change places from there on: knit what is to be seen
as knit, whichever side you are on.
Strands from below: milk, ink (o) and ink (x). Of the yarns of a row carry the first of these lowest; never
swap.
Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it.
milk: break after row 9, join again in row 13.
ink (o): join in row 2, break after row 2, join again in row 10, break after row 12.
ink (x): join in row 13, break after row 13.

Cast on: 20 stitches with milk, loosely. 20 stitches in all.

Row 1, right side: Knit all 20 stitches with milk.

Row 2, wrong side: Work twice: purl 1 with ink (o), purl 5 with milk (catch ink (o) behind the 4th of these),
    purl 1 with ink (o), purl 2 with milk, purl 1 with ink (o). 20 stitches in all.

Row 3, right side: Knit all 20 stitches with milk.

Row 4, wrong side: Purl all 20 stitches with milk.

Row 5, right side: Knit all 20 stitches with milk.

Row 6, wrong side: Purl all 20 stitches with milk.

Row 7, right side: Knit all 20 stitches with milk.

Row 8, wrong side: Purl all 20 stitches with milk.

Row 9, right side: Knit all 20 stitches with milk.

Row 10, wrong side: Purl all 20 stitches with ink (o).

Row 11, right side: Knit all 20 stitches with ink (o).

Row 12, wrong side: Purl all 20 stitches with ink (o).

Row 13, right side: Work twice: knit 5 with milk (catch ink (x) behind the 3rd of these), knit 2 with ink (x),
    knit 1 with milk, knit 2 with ink (x). 20 stitches in all.

Row 14, wrong side: Purl all 20 stitches with milk.

Bind off: all 20 stitches with milk, loosely. 0 stitches in all."""
    )


def test_of_one_yarn() -> None:
    assert (
        printed(answer_of(piece_of(scenes()["one yarn"])).tell)
        == """\
**Made up**
3 stitches x 2 rows.
Gauge: 20 stitches and 20 rows to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (0 g are used); 15 % to spare are in them, a swatch is not.
MC = milk (. in the chart).
k = knit, p = purl, RS = right side, WS = wrong side, sts = stitches.
Odd rows are right-side rows, read from right to left on the chart; even rows from left to right.

Cast on: 3 sts with MC, loosely. [3] sts.
Rows 1-2: all MC, k RS rows, p WS rows. [3] sts each.
Bind off: all 3 sts with MC, loosely. [0] sts."""
    )
    assert (
        printed(answer_of(piece_of(scenes()["one yarn"]), in_full=True).tell)
        == """\
**Made up**
3 stitches by 2 rows.
Gauge: 20 stitches and 20 rows to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (0 g are used); 15 % to spare are in them, a swatch is not.
Yarn: milk.
Right-side rows are knitted, wrong-side rows are purled.

Cast on: 3 stitches with milk, loosely. 3 stitches in all.

Row 1, right side: Knit all 3 stitches with milk.

Row 2, wrong side: Purl all 3 stitches with milk.

Bind off: all 3 stitches with milk, loosely. 0 stitches in all."""
    )


def test_of_one_stitch() -> None:
    assert (
        printed(answer_of(piece_of(scenes()["one stitch"])).tell)
        == """\
**Made up**
1 stitch x 2 rounds.
Gauge: 20 stitches and 20 rounds to 10 cm of plain stockinette; take the needles that give you that.
Yarn: 1 ball of milk, 50 g each (0 g are used); 15 % to spare are in them, a swatch is not.
MC = milk (. in the chart).
k = knit, rnd = round, sts = stitches.

Cast on: 1 st with MC, loosely. Join in the round without a twist, and mark where the round begins. [1] st.
Rnds 1-2: k all MC. [1] st each.
Bind off: all 1 st with MC, loosely. [0] sts."""
    )


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("Rnd 1: k3 MC, k10 CC, k2 MC. [15] sts.", ["Rnd 1: k3 MC,", "    k10 CC,", "    k2 MC.", "    [15] sts."]),
        ("Row 2: Purl 3 with ink, purl 4 with", ["Row 2:", "    Purl 3 with", "    ink, ", "    purl 4 with"]),
        ("join in round 10, to last 3 sts", ["join in", "    round 10,", "    to", "    last 3 sts"]),
    ],
)
def test_no_number_is_parted_from_what_it_counts(text: str, lines: list[str]) -> None:
    assert hanging(text, 15) == [line.rstrip() for line in lines]


def test_for_programs_and_spreadsheets() -> None:
    scene = scene_of(
        0.0,
        ["...", "o..", "xx."],
        worked="flat",
        yarns=THREE,
        chart={"across": 2, "plain_below": 1},
        floats={"catches": [{"row": 2, "stitch": 2}]},
    )
    answer = answer_of(piece_of(scene))
    said = dict(answer.said)
    assert said.pop("scene_hash") == scene_hash(scene)
    assert rounded(said.pop("end")) == {
        "how": "bind off",
        "stitches": 6,
        "words": "Bind off: all 6 sts with MC, loosely. [0] sts.",
    }
    assert said.pop("finishing")[0].startswith("Darn in the ends on the inside, 20 cm each")
    assert rounded(said) == {
        "schema_version": 2,
        "command": "rounds",
        "title": "Made up",
        "size": None,
        "worked": "flat",
        "stitches": 6,
        "seam_stitches": 0,
        "selvedge_stitches": 0,
        "steek_stitches": 0,
        "repeats_across": 2,
        "yarns": {"MC": ".", "CC1": "o", "CC2": "x"},
        "join": None,
        "strands_from_below": [".", "o", "x"],
        "finished_cm": 3.0,
        "finished_is_forecast": False,
        "height_cm": 2.0,
        "usual_depth_cm": None,
        "heights_cm": {"chart": 2.0},
        "cast_on": {"yarn": ".", "stitches": 6, "words": "6 sts with MC, loosely. [6] sts."},
        "rows": [
            {
                "section": "chart",
                "row": 1,
                "chart_row": None,
                "side": "RS",
                "stitches": 6,
                "short": "k all MC",
                "in_words": "Knit all 6 stitches with milk.",
                "stitches_before": 6,
                "worked": "right to left",
                "before": [{"yarn": ".", "stitches": 6, "catch": []}],
                "repeat": [],
                "times": 0,
                "after": [],
            },
            {
                "section": "chart",
                "row": 2,
                "chart_row": 1,
                "side": "WS",
                "stitches": 6,
                "short": "*p2 CC2, p1 MC; rep from * to end",
                "in_words": "Work twice: purl 2 with ink (x), purl 1 with milk. 6 stitches in all.",
                "stitches_before": 6,
                "worked": "left to right",
                "before": [],
                "repeat": [{"yarn": "x", "stitches": 2, "catch": []}, {"yarn": ".", "stitches": 1, "catch": []}],
                "times": 2,
                "after": [],
            },
            {
                "section": "chart",
                "row": 3,
                "chart_row": 2,
                "side": "RS",
                "stitches": 6,
                "short": "*k2 MC (catch CC1 behind the 2nd of these), k1 CC1; rep from * to end",
                "in_words": "Work twice: knit 2 with milk (catch ink (o) behind the 2nd of these), knit 1 with "
                "ink (o). 6 stitches in all.",
                "stitches_before": 6,
                "worked": "right to left",
                "before": [],
                "repeat": [
                    {"yarn": ".", "stitches": 2, "catch": [{"yarn": "o", "behind_stitch": 2}]},
                    {"yarn": "o", "stitches": 1, "catch": []},
                ],
                "times": 2,
                "after": [],
            },
            {
                "section": "chart",
                "row": 4,
                "chart_row": 3,
                "side": "WS",
                "stitches": 6,
                "short": "p all MC",
                "in_words": "Purl all 6 stitches with milk.",
                "stitches_before": 6,
                "worked": "left to right",
                "before": [{"yarn": ".", "stitches": 6, "catch": []}],
                "repeat": [],
                "times": 0,
                "after": [],
            },
        ],
    }
    assert answer.lines == [
        {
            "section": "chart",
            "row": 1,
            "chart_row": None,
            "side": "RS",
            "stitches": 6,
            "short": "k all MC",
            "in_words": "Knit all 6 stitches with milk.",
        },
        {
            "section": "chart",
            "row": 2,
            "chart_row": 1,
            "side": "WS",
            "stitches": 6,
            "short": "*p2 CC2, p1 MC; rep from * to end",
            "in_words": "Work twice: purl 2 with ink (x), purl 1 with milk. 6 stitches in all.",
        },
        {
            "section": "chart",
            "row": 3,
            "chart_row": 2,
            "side": "RS",
            "stitches": 6,
            "short": "*k2 MC (catch CC1 behind the 2nd of these), k1 CC1; rep from * to end",
            "in_words": "Work twice: knit 2 with milk (catch ink (o) behind the 2nd of these), knit 1 with ink (o). 6 "
            "stitches in all.",
        },
        {
            "section": "chart",
            "row": 4,
            "chart_row": 3,
            "side": "WS",
            "stitches": 6,
            "short": "p all MC",
            "in_words": "Purl all 6 stitches with milk.",
        },
    ]


def test_what_yarns_are_called_is_found_once_and_not_for_every_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """It takes a look at every row: found for each, a piece of thousands of rows would take minutes."""
    asked: list[int] = []
    once = words.letters
    monkeypatch.setattr(words, "letters", lambda piece: asked.append(1) or once(piece))

    def times(up: int) -> int:
        asked.clear()
        for_programs(piece_of(scene_of(0.0, ["...", "o.."], chart={"up": up})))
        return len(asked)

    assert times(50) == times(1)
