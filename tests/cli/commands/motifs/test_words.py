"""What ``motifs`` says, from rows that nobody brought to rest."""

from __future__ import annotations

from fabricsim.cli.commands.motifs.words import ends_of, laws_said, why_said
from fabricsim.study.motifs.classes import Motif
from fabricsim.study.motifs.mapping import MotifRow


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
        "Draw-in goes with how often the yarn changes (+1.00) and the longest float (-1.00): rank correlation, 1 being "
        "always together."
    ]
    assert laws_said(found[:4]) == []


def test_no_motif_is_both_among_the_best_and_the_worst() -> None:
    found = [(MOTIF, _row(lost=float(one))) for one in range(5)]
    best, worst = ends_of(found, 4)
    assert [row["draw_in_percent"] for _, row in (*best, *worst)] == [0.0, 1.0, 2.0, 3.0, 4.0]
    best, worst = ends_of([*found, *found], 3)
    assert (len(best), len(worst)) == (3, 3)
