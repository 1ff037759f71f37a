"""How many classes of motifs there are: against Burnside's lemma and against charts laid every way by hand."""

from __future__ import annotations

from itertools import product
from math import prod

import numpy as np
import pytest

from fabricsim.study.motifs.classes import classes, motifs, typed_once

Drawn = tuple[tuple[int, ...], ...]


def ways_of(rows: Drawn) -> set[Drawn]:
    """Return a chart laid in every way: shifted, mirrored, turned, its yarns swapped; written with lists alone."""
    found = set()
    for swapped in (rows, tuple(tuple(1 - one for one in row) for row in rows)):
        for upright in (swapped, tuple(row[::-1] for row in swapped)):
            for level in (upright, upright[::-1]):
                for down in range(len(rows)):
                    moved = level[down:] + level[:down]
                    found |= {tuple(row[by:] + row[:by] for row in moved) for by in range(len(rows[0]))}
    return found


def _burnside(rows: int, stitches: int) -> int:
    """Return how many classes there are: the mean number of charts that a way of laying leaves as they are. A way is a
    pair of ways of the rows and of the columns, so squares that lie on one another are counted along the two."""
    ways = 0
    for turn_r, turn_c in product((1, -1), repeat=2):
        for by_r, by_c in product(range(rows), range(stitches)):
            seen: set[tuple[int, int]] = set()
            lengths = []
            for begin in product(range(rows), range(stitches)):
                at, length = begin, 0
                while at not in seen:
                    seen.add(at)
                    at, length = ((turn_r * at[0] + by_r) % rows, (turn_c * at[1] + by_c) % stitches), length + 1
                if length:
                    lengths.append(length)
            ways += 2 ** len(lengths)  # every round of squares in one yarn
            ways += prod(2 if length % 2 == 0 else 0 for length in lengths)  # or, with yarns swapped, in turn
    order = 2 * 4 * rows * stitches
    assert ways % order == 0
    return ways // order


SIZES = [(1, 2), (1, 5), (2, 2), (2, 3), (3, 2), (3, 3), (2, 5), (3, 4), (4, 3), (2, 7), (4, 4)]


@pytest.mark.parametrize(("rows", "stitches"), SIZES)
def test_as_many_classes_as_burnside_says(rows: int, stitches: int) -> None:
    assert len(classes(rows, stitches)[0]) == _burnside(rows, stitches)


@pytest.mark.parametrize(("rows", "stitches"), [(2, 3), (3, 3), (2, 5), (3, 4)])
def test_one_of_each_class_of_charts_laid_every_way(rows: int, stitches: int) -> None:
    def drawn(code: int) -> Drawn:
        return tuple(tuple(code >> (row * stitches + c) & 1 for c in range(stitches)) for row in range(rows))

    code_p, both_p = classes(rows, stitches)
    seen: set[Drawn] = set()
    for code, both in zip(code_p.tolist(), both_p.tolist(), strict=True):
        ways = ways_of(drawn(code))
        assert not ways & seen
        seen |= ways
        sides = [tuple(row[::-1] for row in drawn(code)), drawn(code)[::-1]]
        shifts = [
            {
                tuple(row[by:] + row[:by] for row in side[down:] + side[:down])
                for by in range(stitches)
                for down in range(rows)
            }
            for side in sides
        ]
        assert both == all(drawn(code) in shifted for shifted in shifts)
    assert len(seen) == 2 ** (rows * stitches)


def test_a_chart_typed_twice_is_a_smaller_one() -> None:
    # by rows from the bottom: 01 01 is one row twice; 0101 is 01 twice; 0001 / 0100 is neither
    assert typed_once(2, 2, np.array([0b0101, 0b0110])).tolist() == [False, True]
    assert typed_once(2, 4, np.array([0b01010101, 0b00010100])).tolist() == [False, True]


def test_the_smallest_come_first_and_something_floats_in_each() -> None:
    found = motifs(4, 4)
    sizes = [one.rows * one.stitches for one in found]
    assert sizes == sorted(sizes)
    assert len({one.key for one in found}) == len(found)
    assert [one.chart_ij for one in found if one.rows == 1] == [
        ((1, 0),),
        ((1, 0, 0),),
        ((1, 0, 0, 0),),
        ((1, 1, 0, 0),),
    ]
    sized = {(one.rows, one.stitches) for one in found}
    for size in sized:
        numbers = [one.number for one in found if (one.rows, one.stitches) == size]
        assert numbers == list(range(1, len(numbers) + 1))
    for one in found:
        assert any(len(set(row)) == 2 for row in one.chart_ij)
        assert 2 * sum(map(sum, one.chart_ij)) <= one.rows * one.stitches
    mirrored = motifs(4, 4, symmetric=True)
    assert mirrored == [one for one in found if one.symmetric]  # by the same numbers
    assert len(motifs(6, 8, symmetric=True)) > 200
