"""Where rounds begin: what the step breaks, by a knitter who walks up the spiral, and where it would break least."""

from __future__ import annotations

from random import Random

import pytest

from fabricsim.cli.words.joins import HIDE, either_end_said, join_said
from fabricsim.design.piece.join import broken_at, join_of
from fabricsim.design.piece.making import piece_of
from tests.design.scenes import scene


def walked(rows: list[list[int]], stitch: int) -> int:
    """Knit the rows as a spiral that begins at ``stitch``, then look along the join: a line that was drawn level on the
    chart ends there one round lower than it begins."""
    width = len(rows[0])
    order = [(width - stitch - step) % width for step in range(width)]  # columns as they are worked, from the right
    first, last = order[0], order[-1]
    lines_at_end = {row for row in range(len(rows) - 1) if rows[row][last] != rows[row + 1][last]}
    lines_at_beginning = {row for row in range(len(rows) - 1) if rows[row][first] != rows[row + 1][first]}
    return sum(
        (rows[row][first], rows[row + 1][first]) == (rows[row][last], rows[row + 1][last])
        for row in lines_at_end & lines_at_beginning
    )


def test_lines_broken_at_every_stitch_of_random_charts() -> None:
    for seed in range(200):
        at = Random(seed)
        width = at.randint(1, 9)
        rows = [[at.randint(0, 2) for _ in range(width)] for _ in range(at.randint(1, 8))]
        for stitch in range(1, width + 1):
            assert broken_at(rows, stitch) == walked(rows, stitch)


def test_a_bar_across_the_edge_had_better_begin_where_it_ends() -> None:
    made = scene(["......", "AA...A", "......"], across=4)
    join = join_of(made)
    assert join is not None
    assert (join.edges, join.edges_there) == (2, 0)
    assert join.best in (2, 5)  # at either end of the bar
    said = join_said(piece_of(made))
    assert "2 lines of it are broken." in said[0]
    assert said[1] == (
        f"A chart that began at its stitch {join.best} would break none: move the 1 stitch before it to the other side "
        "of the chart."
    )
    assert said[-1] == HIDE


def test_no_first_stitch_breaks_less_and_of_equals_none_lies_nearer() -> None:
    for seed in range(100):
        at = Random(seed)
        width, bar, below = at.randint(4, 12), at.randint(1, 3), at.randint(0, 1)
        rows = ["A" * (width - bar) + "." * bar, "." * width]  # a bar across the edge, all but a few stitches of it
        rows = [row[turn:] + row[:turn] for row in rows for turn in [at.randrange(width)]]
        join = join_of(scene(rows, across=2, plain_below=below))
        assert join is not None
        worked = [[".A".index(symbol) for symbol in row] for row in reversed(rows)]
        whole = [*[[0] * width] * below, *worked]
        lost = [walked(whole, stitch) for stitch in range(1, width + 1)]
        assert (join.edges, join.edges_there) == (lost[0], min(lost))
        assert lost[join.best - 1] == min(lost)
        equals = [at for at, one in enumerate(lost) if one == min(lost)]
        assert min(join.best - 1, width + 1 - join.best) == min(min(at, width - at) for at in equals)


@pytest.mark.parametrize("worked", ["round", "flat"])
def test_one_colour_has_no_step_and_flat_no_join(worked: str) -> None:
    assert join_of(scene(["...."], worked=worked)) is None
    assert (join_of(scene([".A.."], worked=worked)) is None) == (worked == "flat")


def test_a_yarn_at_the_far_edge_is_fetched_by_sliding() -> None:
    said = either_end_said(piece_of(scene(["....", "AAAA", "....", "AAAA"], worked="flat")), "row")
    assert "as pine does before row 3." in said[0]
    assert either_end_said(piece_of(scene(["....", "....", "AAAA", "AAAA"], worked="flat")), "row") == []
