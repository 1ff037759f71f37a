"""All small repeats in two yarns, one of each class of those that are alike but for how they are laid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from fabricsim.arrays import Ints, Mask
from fabricsim.design.scene.chart import Rows
from fabricsim.study.motifs.kinds import Kind, kind_of

MOST_SQUARES = 16
"""Squares of a repeat whose charts are all looked at (chosen: 65,536 of them, a second)."""


@dataclass(frozen=True)
class Motif:
    """A repeat of so many ``rows`` and ``stitches`` in two yarns; bit r * stitches + c of its ``code`` is the yarn of
    row r (0 at the bottom), column c (0 at the left), the lowest code of its class; ``symmetric``: mirrored both left
    to right and top to bottom, whatever the axes; ``number``: of all motifs of its size, from 1."""

    rows: int
    stitches: int
    code: int
    symmetric: bool
    number: int = 1

    @property
    def key(self) -> str:
        """What its row is kept under: its size and its code in hexadecimal digits."""
        return f"{self.rows}x{self.stitches}-{self.code:0{-(-self.rows * self.stitches // 4)}x}"

    @property
    def kind(self) -> Kind | None:
        """What a knitter sees in it, if there is a word for it."""
        return kind_of(self.chart_ij)

    @cached_property
    def chart_ij(self) -> Rows:
        """Its chart, with the yarn that makes fewer stitches as the second."""
        bits = [self.code >> place & 1 for place in range(self.rows * self.stitches)]
        if 2 * sum(bits) > len(bits):
            bits = [1 - one for one in bits]
        return tuple(tuple(bits[row * self.stitches : (row + 1) * self.stitches]) for row in range(self.rows))


def motions(rows: int, stitches: int) -> Iterator[tuple[Ints, bool, bool]]:
    """Yield every way to lay a repeat otherwise, as the place from which each place is taken (squares,); and whether
    it is a mirror left to right, and one top to bottom."""
    row_n, column_n = (a.ravel() for a in np.indices((rows, stitches)))
    for down, aside, upright, sideways in product(range(rows), range(stitches), (False, True), (False, True)):
        row = (-row_n if sideways else row_n) + down
        column = (-column_n if upright else column_n) + aside
        yield row % rows * stitches + column % stitches, upright, sideways


def _moved(code_p: Ints, from_n: Ints) -> Ints:
    """Return charts (p,), by their codes, laid otherwise."""
    moved_p = np.zeros_like(code_p)
    for place, source in enumerate(from_n.tolist()):
        moved_p |= (code_p >> source & 1) << place
    return moved_p


def classes(rows: int, stitches: int) -> tuple[Ints, Mask]:
    """Return the lowest code of each class of charts of this very size (p,), in rising order, and which of them are
    symmetric both ways (p,)."""
    squares = rows * stitches
    code_p = np.arange(1 << squares, dtype=np.intp)
    swap = (1 << squares) - 1
    least_p = code_p.copy()
    upright_p, level_p = np.zeros(len(code_p), dtype=bool), np.zeros(len(code_p), dtype=bool)
    for from_n, upright, sideways in motions(rows, stitches):
        moved_p = _moved(code_p, from_n)
        np.minimum(least_p, np.minimum(moved_p, swap - moved_p), out=least_p)
        if upright and not sideways:
            upright_p |= moved_p == code_p
        if sideways and not upright:
            level_p |= moved_p == code_p
    lowest_p = least_p == code_p
    return code_p[lowest_p], (upright_p & level_p)[lowest_p]


def typed_once(rows: int, stitches: int, code_p: Ints) -> Mask:
    """Return which charts are no smaller one typed several times, (p,)."""
    once_p = np.ones(len(code_p), dtype=bool)
    place_n = np.arange(rows * stitches)
    row_n, column_n = divmod(place_n, stitches)
    for size, by in ((rows, (1, 0)), (stitches, (0, 1))):
        for step in range(1, size):
            if size % step == 0:
                from_n = (row_n + by[0] * step) % rows * stitches + (column_n + by[1] * step) % stitches
                once_p &= _moved(code_p, from_n) != code_p
    return once_p


def motifs(most_rows: int, most_stitches: int, *, symmetric: bool = False) -> list[Motif]:
    """Return one motif of each class up to a size, the smallest first: those that are no smaller one typed twice, and
    in which something floats. With ``symmetric`` only those mirrored both ways; they keep their numbers."""
    found = []
    sizes = [(r, s) for r in range(1, most_rows + 1) for s in range(2, most_stitches + 1) if r * s <= MOST_SQUARES]
    for rows, stitches in sorted(sizes, key=lambda one: (one[0] * one[1], one)):
        code_p, both_p = classes(rows, stitches)
        kept_p = typed_once(rows, stitches, code_p)
        number = 0
        for code, both in zip(code_p[kept_p].tolist(), both_p[kept_p].tolist(), strict=True):
            motif = Motif(rows, stitches, code, both, number + 1)
            if any(len(set(yarn_j)) > 1 for yarn_j in motif.chart_ij):
                number += 1
                if both or not symmetric:
                    found.append(motif)
    return found
