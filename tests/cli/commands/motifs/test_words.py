"""What ``motifs`` says, from rows that nobody brought to rest."""

from __future__ import annotations

from fabricsim.cli.commands.motifs.words import MotifsTold, asked_said, called, laws_said, quarters_said, tell, why_said
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.study.compare.order import ends_of
from fabricsim.study.motifs.classes import Motif, motifs
from fabricsim.study.motifs.mapping import MotifMap, MotifRow
from tests.cli.made_up import Told
from tests.cli.printed import printed
from tests.support.scenes import scene_of


def _row(lost: float = 3.0, pucker: float = 0.2, gap: int = 2, often: float = 0.5, **more: object) -> MotifRow:
    made: MotifRow = {
        "at_rest": True, "draw_in_percent": lost, "pucker_mm": pucker, "onset_slack_percent": None,
        "longest_gap_stitches": gap, "floats_per_stitch": often, "plain_rows_percent": 0.0, "floats_over_limit": 0,
    }  # fmt: skip
    return {**made, **more}


MOTIF = Motif(2, 2, 1, symmetric=True)


def test_why_a_motif_is_as_it_is() -> None:
    assert why_said(_row()) == (
        "floats of 2 stitches at most, the yarn changes seldom, flat and does not begin to pucker"
    )
    long = _row(pucker=4.0, gap=6, often=1.0, onset_slack_percent=-2.25, plain_rows_percent=50.0, floats_over_limit=2)
    assert why_said(long) == (
        "floats up to 6 stitches, 50 % of its rows plain, the yarn changes at every stitch, puckered, begins to pucker "
        "at slack -2.2 % and 2 floats over the limit"
    )
    assert why_said(_row(often=0.7, at_rest=False)) == "floats of 2 stitches at most and no rest found"


def test_what_goes_with_what() -> None:
    found = [(MOTIF, _row(lost=float(one), gap=10 - one, often=0.1 * one, pucker=1.0)) for one in range(9)]
    assert laws_said(found) == [
        "Draw-in grows with how often the yarn changes (+1.00) and shrinks with the longest float (-1.00): rank "
        "correlation, +1 being always together, -1 always against."
    ]
    assert laws_said(found[:4]) == []


def test_what_the_best_quarter_is_like_against_the_worst() -> None:
    found = [
        (
            MOTIF,
            _row(
                lost=9.0 - one, pucker=0.1 * one, gap=1 + one // 2, often=0.5 + 0.05 * one, plain_rows_percent=5.0 * one
            ),
        )
        for one in range(9)
    ]
    lost = (MOTIF, _row(at_rest=False))
    assert quarters_said([lost, *found]) == [
        "The 2 that lie flattest (0.1 mm of pucker at the most): the longest float 1 stitch in all of them, 5 floats "
        "to 10 stitches, 2 % of their rows plain. The 2 that pucker most (0.7 mm of pucker and more): the longest "
        "float 5 stitches as a rule (4 to 5), 9 floats to 10 stitches, 38 % of their rows plain.",
        "The 2 that stay widest (2.0 % narrower at the most): the longest float 5 stitches as a rule (4 to 5), 9 "
        "floats to 10 stitches, 38 % of their rows plain. The 2 that draw in most (8.0 % narrower and more): the "
        "longest float 1 stitch in all of them, 5 floats to 10 stitches, 2 % of their rows plain.",
        "Of the 2 that lie flattest none is among the 2 widest.",
    ]
    alike = [(MOTIF, _row(lost=3.0 + one)) for one in range(8)]
    assert len(quarters_said(alike)) == 1
    assert quarters_said(alike[:7]) == []
    both = quarters_said([(MOTIF, _row(lost=3.0 + one, pucker=0.2 * one)) for one in range(12)])
    assert both[-1] == "Of the 3 that lie flattest 3 are among the 3 widest."


def test_a_motif_is_called_by_what_is_seen_its_size_and_a_number() -> None:
    checks, other = Motif(2, 2, 6, symmetric=True, number=2), Motif(2, 4, 0b00110001, symmetric=False, number=1)
    assert called(checks, scene_of(["#."])) == "checks, 2 stitches x 2 rounds, no. 2"
    assert called(other, scene_of(["#."], worked="flat")) == "4 stitches x 2 rows, no. 1"


def test_no_motif_is_both_among_the_best_and_the_worst() -> None:
    found = [(MOTIF, _row(lost=float(one))) for one in range(5)]
    best, worst = ends_of(found, 4)
    assert [row["draw_in_percent"] for _, row in (*best, *worst)] == [0.0, 1.0, 2.0, 3.0, 4.0]
    best, worst = ends_of([*found, *found], 3)
    assert (len(best), len(worst)) == (3, 3)


def _told(*motifs: Motif, there: int, found: int, lost: Motif | None = None) -> MotifsTold:
    rows = [(one, _row(lost=float(k), at_rest=one is not lost)) for k, one in enumerate(motifs[:found])]
    return MotifsTold(MotifMap(scene_of(["#."]), motifs, "1.0"), there, rows)


def test_what_was_looked_at_is_said() -> None:
    other = Motif(3, 5, 0b000000000100011, symmetric=False)
    both = asked_said(_told(MOTIF, other, there=2, found=2))
    assert both == (
        "Repeats of up to 3 rounds and 5 stitches (16 squares at the most), one of each kind that is the same but for "
        "shifting, mirroring, turning and swapping its yarns: all of 2. Each as the chart without end, every float "
        "carried alike."
    )
    few = asked_said(_told(MOTIF, MOTIF, there=1200, found=1))
    assert "squares at the most), mirrored both ways, one of each kind" in few
    assert "yarns: the smallest 2 of 1,200. Each" in few
    assert few.endswith("carried alike. 1 of them are here.")


def test_the_best_and_the_worst_are_told_in_tables() -> None:
    page, checks = Told(), Motif(2, 2, 6, symmetric=True, number=1)
    tell(page, _told(checks, MOTIF, there=2, found=2, lost=MOTIF))
    assert page.said[0].startswith("Small motifs in the yarns of '")
    assert page.said[-1] == CAUTION
    columns = ["motif", "rows from the top", "narrower %", "pucker mm", "puckers from %", "longest float"]
    best, worst = page.tables["The best"], page.tables["The worst, the worst last"]
    assert list(best.side_of) == columns
    assert [best.side_of[one] for one in columns] == ["left"] * 2 + ["right"] * 4
    (line,) = best.lines
    assert tuple(line) == ("checks, 2 stitches x 2 rounds, no. 1", "x. .x", "0.0", "0.2", "none", "2")
    assert [one[2:] for one in worst.lines] == [("no rest", "", "", "2")]
    onset = MotifsTold(MotifMap(scene_of(["#."]), (checks,), "1.0"), 1, [(checks, _row(onset_slack_percent=-3.25))])
    page = Told()
    tell(page, onset)
    assert [one[4] for one in page.tables["The best"].lines] == ["-3.2"]
    assert list(page.tables) == ["The best"]


def test_where_none_came_to_rest_that_is_all() -> None:
    page = Told()
    tell(page, _told(MOTIF, there=1, found=0))
    assert page.said[-1] == "None was brought to rest."
    assert not page.tables


def test_all_of_it_as_it_is_printed() -> None:
    some = motifs(2, 4)[:9]
    rows = [_row(lost=float(one), gap=10 - one, often=0.1 * one, pucker=0.3 * one) for one in range(9)]
    rows[1]["onset_slack_percent"] = -4.24
    rows[8] = {**rows[8], "at_rest": False}
    scene = scene_of(["#."])
    told = MotifsTold(MotifMap(scene, tuple(some), "1"), 26, list(zip(some, rows, strict=True)))
    assert (
        printed(lambda page: tell(page, told))
        == """\
**Small motifs in the yarns of 'small'**
Repeats of up to 2 rounds and 4 stitches (16 squares at the most), mirrored both ways, one of each kind that
is the same but for shifting, mirroring, turning and swapping its yarns: the smallest 9 of 26. Each as the
chart without end, every float carried alike.

Draw-in grows with how often the yarn changes (+1.00) and shrinks with the longest float (-1.00): rank
correlation, +1 being always together, -1 always against.
Pucker grows with how often the yarn changes (+1.00) and shrinks with the longest float (-1.00): rank
correlation, +1 being always together, -1 always against.
The 2 that lie flattest (0.3 mm of pucker at the most): the longest float 10 stitches as a rule (9 to 10), 0
floats to 10 stitches, 0 % of their rows plain. The 2 that pucker most (1.8 mm of pucker and more): the
longest float 4 stitches as a rule (3 to 4), 7 floats to 10 stitches, 0 % of their rows plain.
The 2 that stay widest (1.0 % narrower at the most): the longest float 10 stitches as a rule (9 to 10), 0
floats to 10 stitches, 0 % of their rows plain. The 2 that draw in most (6.0 % narrower and more): the longest
float 4 stitches as a rule (3 to 4), 7 floats to 10 stitches, 0 % of their rows plain.
Of the 2 that lie flattest 2 are among the 2 widest.

**The best**
motif                                 rows from the top  narrower %  pucker mm  puckers from %  longest float
------------------------------------  -----------------  ----------  ---------  --------------  -------------
columns, 2 stitches x 1 round, no. 1  x.                        0.0        0.0            none             10
columns, 3 stitches x 1 round, no. 1  x..                       1.0        0.3            -4.2              9
columns, 4 stitches x 1 round, no. 1  x...                      2.0        0.6            none              8
columns, 4 stitches x 1 round, no. 2  xx..                      3.0        0.9            none              7
dots, 2 stitches x 2 rounds, no. 1    .. x.                     4.0        1.2            none              6

**The worst, the worst last**
motif                                 rows from the top  narrower %  pucker mm  puckers from %  longest float
------------------------------------  -----------------  ----------  ---------  --------------  -------------
checks, 2 stitches x 2 rounds, no. 2  x. .x                     5.0        1.5            none              5
dots, 3 stitches x 2 rounds, no. 1    ... x..                   6.0        1.8            none              4
dashes, 3 stitches x 2 rounds, no. 2  ... xx.                   7.0        2.1            none              3
zigzag, 3 stitches x 2 rounds, no. 3  x.. .x.               no rest                                         2

[caution]"""
    )
    whole = told._replace(there=9, found=told.found[:3])
    assert asked_said(whole).endswith(
        "its yarns: all of 9. Each as the chart without end, every float carried alike. 3 of them are here."
    )
    lopsided = Motif(2, 4, 0b00110001, symmetric=False)
    assert ", mirrored both ways" not in asked_said(whole._replace(asked=MotifMap(scene, (lopsided,), "1"), found=[]))


def test_what_goes_with_it_only_now_and_then_is_not_said() -> None:
    often, seldom = [1, 6, 0, 5, 3, 2, 7, 4, 8], [1, 3, 7, 0, 4, 6, 2, 8, 5]  # rank correlations of 0.55 and 0.45

    def laws(gaps: list[int]) -> list[str]:
        return laws_said([(MOTIF, _row(lost=float(one), gap=gap)) for one, gap in enumerate(gaps)])

    assert laws(often) == [
        "Draw-in grows with the longest float (+0.55): rank correlation, +1 being always together, -1 always against."
    ]
    assert laws(seldom) == []
