"""The smallest changes of a chart that break floats over the limits, each tried and counted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fabricsim.design.catches.plan import held_in_piece, listed_holds, with_catches
from fabricsim.design.counted.edits import Edit, changed, edits_of, rows_of
from fabricsim.design.counted.symmetry import Symmetry, SymmetryKind, kept_together, symmetries, whole_edit
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.found import find_floats
from fabricsim.design.floats.of_scene import beside_steek
from fabricsim.design.rows.squares import Hold, Layout, Passed, floats_behind, layout_of
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene

Over = frozenset[Passed]
"""Open stretches behind more stitches than may be."""
Window = tuple[int | None, ...]
"""Rows that are looked at by themselves, one on the other; None is a plain row."""
MOST_TRIED = 60
"""Floats after which no more are looked at (chosen: a chart that takes so many is better drawn anew)."""


@dataclass(frozen=True)
class Mended:
    """A ``float`` over the limit, and the ``edit`` that breaks it.

    ``alone``: the smallest edit without regard to symmetry, where the ``edit`` keeps how the chart lies on itself and
    is larger for it. ``broken``: how many open stretches over the limit it does away with, none being made. ``catches``
    as many as would do in place of it.
    """

    float: Passed
    edit: Edit
    alone: Edit | None
    broken: int
    catches: int


@dataclass(frozen=True)
class Mending:
    """A chart mended: its rows ``before`` and ``after``, what was ``mended`` one after the other, what was ``left`` for
    no change was found, ``most`` stitches that a float may pass behind, and in which ways it is ``symmetric``;
    ``stopped``: there were more floats than are looked at, and those are among the ``left``."""

    before: Rows
    after: Rows
    mended: tuple[Mended, ...]
    left: tuple[Passed, ...]
    most: int
    symmetric: tuple[SymmetryKind, ...]
    stopped: bool = False

    @property
    def changed_rows(self) -> list[int]:
        """The rows of the chart that are no longer what they were, from the bottom."""
        return [row for row, (old, new) in enumerate(zip(self.before, self.after, strict=True)) if old != new]


def mending_of(scene: Scene) -> Mending:
    """Return how the chart of a ``scene`` can be mended; its listed catches stay, planned ones don't count."""
    return mend(
        tuple(tuple(row) for row in scene.chart_rows()),
        layout_of(scene),
        scene.limits.most(scene.gauge.stitch_width),
        listed_holds(scene),
    )


def over_in_piece(scene: Scene, chart_ij: Rows) -> int:
    """Return how many floats of the whole piece pass the limits with this chart, its listed catches made."""
    bare = with_catches(scene, listed_holds(scene))
    found = find_floats(
        scene.with_steek(scene.piece_of(chart_ij)),
        closing="spiral" if scene.worked == "round" else "edges",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns,
        catches=beside_steek(held_in_piece(bare), scene.beside),
        beside=scene.beside,
    )
    return len(faults(found, scene.limits))


def mend(chart_ij: Rows, layout: Layout, most: int, listed: frozenset[Hold] = frozenset()) -> Mending:
    """Return the chart with one float after the other broken by the smallest change that makes no new one.

    ``chart_ij``: tuples of yarn indices, row 0 at the bottom, column 0 at the left of the face. Squares with a listed
    catch are left as they are.
    """
    search = Mender(layout, most, listed)
    over = search.over(chart_ij, layout) if most > 0 else frozenset()
    symmetric = found = symmetries(chart_ij, layout)
    now, mended, left = chart_ij, list[Mended](), set[Passed]()
    while len(mended) + len(left) < MOST_TRIED:
        one = min(over - left, key=_order, default=None)
        if one is None:
            break
        alone = search.smallest(now, one)
        edit = search.keeping(now, one, found) or alone
        if edit is None:
            left.add(one)
            continue
        found = [kept for kept in found if kept.holds(changed(now, edit))]
        before, after = search.around(now, edit), search.around(changed(now, edit), edit)
        now, over = changed(now, edit), (over - before) | after
        other = alone if alone is not None and len(alone) < len(edit) else None
        mended.append(Mended(one, edit, other, len(before) - len(after), len(one.squares) // (most + 1)))
    kinds = tuple(dict.fromkeys(one.kind for one in symmetric))
    return Mending(chart_ij, now, tuple(mended), tuple(sorted(over, key=_order)), most, kinds, bool(over - left))


def _order(one: Passed) -> tuple[int, int, int, int]:
    """Return the key of the order of work: from the bottom right, the longer first."""
    row, column = one.squares[0]
    return row, -column, -len(one.squares), one.yarn


@dataclass(frozen=True)
class Mender:
    """Looks for the smallest edit of a chart in its ``layout``."""

    layout: Layout
    most: int
    listed: frozenset[Hold]

    def over(self, chart_ij: Rows, layout: Layout) -> Over:
        """Return what is open over the limit in a chart so laid out."""
        return frozenset(
            part
            for one in floats_behind(chart_ij, layout, self.most)
            for part in one.open_parts(self.listed)
            if len(part.squares) > self.most
        )

    def around(self, chart_ij: Rows, edit: Edit) -> Over:
        """Return the same of all rows in which an ``edit`` can make a difference: its own and those next to them, each
        wherever it lies, since floats of several places may pass behind the same squares."""
        return self._over_in_all(chart_ij, self._near(rows_of(edit), len(chart_ij)))

    def _near(self, edited: frozenset[int], rows: int) -> set[Window]:
        """Return all windows on ``edited`` rows of a chart of so many ``rows`` and on those next to them."""
        near = {(row + step) % rows for row in edited for step in ((0,) if self.layout.flat else (-1, 0, 1))}
        return {window for row in near for window in self._windows(row, rows)}

    def _windows(self, row: int, rows: int) -> list[Window]:
        """Return what shows every float that passes behind a row: the row itself, and in the round, where floats run on
        from one to the next, with its neighbours below and above, wherever the chart lies; None is a plain row."""
        if self.layout.flat:
            return [(row,)]
        below: list[int | None] = [row - 1] if row > 0 else [rows - 1] * (self.layout.up > 1)
        above: list[int | None] = [row + 1] if row < rows - 1 else [0] * (self.layout.up > 1)
        below += [None] * (row == 0 and self.layout.plain_below > 0)
        above += [None] * (row == rows - 1 and self.layout.plain_above > 0)
        return [*((low, row) for low in below), *((row, high) for high in above)] or [(row,)]

    def _over_in_all(self, chart_ij: Rows, windows: Iterable[Window]) -> Over:
        return frozenset().union(*(self._over_in(chart_ij, window) for window in windows))

    def _over_in(self, chart_ij: Rows, rows: Window) -> set[Passed]:
        """Return what is open over the limit in these rows by themselves, one on the other, as rows of the chart."""
        layout = self.layout._replace(up=1, plain_below=0, plain_above=0)
        plain_j = (layout.plain,) * len(chart_ij[0])
        part = tuple(plain_j if row is None else chart_ij[row] for row in rows)
        made = set()
        for one in floats_behind(part, layout, self.most):
            squares = tuple((rows[row], column) for row, column in one.squares)
            if any(row is None for row, _ in squares):
                continue
            real = Passed(one.yarn, squares, one.repeats)  # type: ignore[arg-type]
            made |= {part for part in real.open_parts(self.listed) if len(part.squares) > self.most}
        return made

    def keeping(self, chart_ij: Rows, one: Passed, found: list[Symmetry]) -> Edit | None:
        """Return the smallest edit that keeps the chart as symmetric as it is ``found`` to be: in all ways, else in
        one; None if there is none."""
        for ways in (kept_together(found), [(each,) for each in found]):
            edits = [edit for kept in ways if (edit := self.smallest(chart_ij, one, kept)) is not None]
            if edits:
                return min(edits, key=len)
        return None

    def smallest(self, chart_ij: Rows, one: Passed, kept: tuple[Symmetry, ...] = ()) -> Edit | None:
        """Return the first of the smallest edits that breaks ``one`` and makes nothing new; with its images, where
        symmetries are to be ``kept``."""
        known: dict[frozenset[int], tuple[list[Window], Over] | None] = {}
        for edit in edits_of(chart_ij, self.layout, self.most, one):
            whole = whole_edit(edit, kept) if kept else edit
            if whole is None or any(hold.square == square for square, _ in whole for hold in self.listed):
                continue
            edited = rows_of(whole)
            if edited not in known:
                known[edited] = self._bounds(chart_ij, one, edited)
            bounds = known[edited]
            if bounds is None:
                continue
            tried, (windows, allowed) = changed(chart_ij, whole), bounds
            if all(self._over_in(tried, window) <= allowed for window in windows):
                return whole
        return None

    def _bounds(self, chart_ij: Rows, one: Passed, edited: frozenset[int]) -> tuple[list[Window], Over] | None:
        """Return the windows that an edit of these rows changes, and what may be open in them once ``one`` is broken;
        None if ``one`` lies in the windows beside them too, and so can't be broken there."""
        near = self._near(edited, len(chart_ij))
        windows = [window for window in near if not edited.isdisjoint(window)]
        beside = self._over_in_all(chart_ij, near - set(windows))
        return None if one in beside else (windows, (beside | self._over_in_all(chart_ij, windows)) - {one})
