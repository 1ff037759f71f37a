"""Single changes that might help: stitches in another yarn, catches, looser floats; each with what it should do.

A float over the limits is known by its windows: runs of one stitch more than may be passed. A change covers a window if
no float over the limits passes all of it any more; so a long float asks for several changes, one for each of its
windows, and a change that makes a new one is known by the windows that it makes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from fabricsim.colour import lab
from fabricsim.design.catches.plan import held_in_repeat, listed_holds
from fabricsim.design.counted.edits import Edit, changed, rows_of
from fabricsim.design.counted.mending import Mender, Over
from fabricsim.design.counted.symmetry import Symmetry, kept_together, symmetries, whole_edit
from fabricsim.design.rows.squares import Hold, Square, layout_of
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.retied import TieKey
from fabricsim.study.change.catching import catchable
from fabricsim.study.change.charted import ChartAtRest

Window = tuple[int, tuple[Square, ...]]
"""A yarn, and squares one after the other that it passes behind."""

STITCH, CATCH, LOOSER, STRAY, EMPTIED = 1, 1, 1, 1, 1
"""What changes count: a stitch in another yarn, a catch, every per cent of slack; and on top a stitch that comes to lie
alone among others, or leaves one so, and a row that loses its last stitch of a yarn (chosen: the fewest things to do,
each about as much trouble, and none that spoils the motif for nothing)."""
LOOSEST = 10
"""Per cent by which floats may be proposed to be looser (chosen: from a little short to a usual slack)."""


@dataclass(frozen=True)
class Move:
    """A change: the ``edit`` of the chart, or a ``hold``, or so many per cent ``looser``; what it ``counts``; by how
    much the share lost changes (``lost``); how much it is ``seen``: the
    difference in lightness (L*, as a share of 100) of all stitches that change; which ``windows`` of long floats it
    ``covers`` and which it ``makes``."""

    counts: int
    lost: float
    edit: Edit = ()
    hold: Hold | None = None
    looser: int = 0
    seen: float = 0.0
    covers: frozenset[Window] = frozenset()
    makes: frozenset[Window] = frozenset()

    @property
    def squares(self) -> frozenset[Square]:
        """The squares of the chart that it needs for itself."""
        return frozenset(square for square, _ in self.edit) | ({self.hold.square} if self.hold is not None else set())


@dataclass(eq=False)
class ChangeGround:
    """A bare ``scene`` (no planned catches) at rest as ``charted``; which symmetries are ``kept`` of its chart; the
    ``mender`` that looks for long floats; ``chart_ij``: its rows; ``windows`` of its long floats; ``looser``: the share
    lost with all floats so many per cent looser, 0 among them."""

    scene: Scene
    charted: ChartAtRest
    kept: tuple[Symmetry, ...]
    mender: Mender
    chart_ij: Rows
    windows: frozenset[Window]
    looser: Mapping[int, float] = field(default_factory=dict)

    @cached_property
    def lightness_y(self) -> list[float]:
        """CIELAB L* of each yarn."""
        return [float(one) for one in lab([yarn.rgb for yarn in self.scene.yarns])[:, 0]]

    @classmethod
    def of(cls, scene: Scene, charted: ChartAtRest, *, symmetric: bool) -> ChangeGround:
        layout, chart_ij = layout_of(scene), tuple(tuple(row) for row in scene.chart_rows())
        mender = Mender(layout, scene.limits.most(scene.gauge.stitch_width), listed_holds(scene))
        found = symmetries(chart_ij, layout) if symmetric else []
        kept = (kept_together(found) or [(one,) for one in found] or [()])[0]
        over = mender.over(chart_ij, layout) if mender.most > 0 else frozenset()
        return cls(scene, charted, kept, mender, chart_ij, windows_of(over, mender.most))

    def stitches(self) -> list[Move]:
        """Return every square in another yarn of its row, with its images under the symmetries kept."""
        edits: dict[frozenset[tuple[Square, int]], Edit] = {}
        held = {hold.square for hold in self.mender.listed}
        for row, yarn_j in enumerate(self.chart_ij):
            yarns = sorted(set(yarn_j))
            for column, own in enumerate(yarn_j):
                for yarn in yarns:
                    if yarn == own:
                        continue
                    whole = whole_edit((((row, column), yarn),), self.kept)
                    if whole is not None and held.isdisjoint(square for square, _ in whole):
                        edits.setdefault(frozenset(whole), whole)
        rows = {key: self.row_keys(edit, ()) for key, edit in edits.items()}
        self._learn(rows.values())
        return [self._stitch(edit, self.charted.estimate(rows[key])[0]) for key, edit in edits.items()]

    def _learn(self, rows: Iterable[Mapping[int, Sequence[TieKey]]]) -> None:
        """Find out about the floats of all these rows, a row's all at once, which takes a tenth of the time."""
        learnt: dict[int, set[TieKey]] = {}
        for one in rows:
            for row, keys in one.items():
                learnt.setdefault(row, set()).update(keys)
        for row, all_keys in learnt.items():
            self.charted.learn(row, sorted(all_keys))

    def catches(self) -> list[Move]:
        """Return a catch of every float that may be caught, behind every stitch that it passes."""
        layout, made = self.mender.layout, []
        holds = catchable(self.chart_ij, layout, self.mender.listed)
        rows = {hold: self.row_keys((), (hold,)) for hold in holds}
        self._learn(rows.values())
        for hold, of_hold in rows.items():
            lost = self.charted.estimate(of_hold)[0]
            caught = Mender(layout, self.mender.most, self.mender.listed | {hold})
            near = self.mender.around(self.chart_ij, (((hold.row, hold.column), hold.yarn),))
            after = caught.around(self.chart_ij, (((hold.row, hold.column), hold.yarn),))
            most = self.mender.most
            covers = windows_of(near, most) - windows_of(after, most)
            made.append(Move(CATCH, lost, hold=hold, covers=covers))
        return made

    def slacks(self) -> list[Move]:
        """Return all floats looser by every per cent up to ``LOOSEST``, as far as those came to rest."""
        now = self.looser.get(0, 0.0)
        return [Move(LOOSER * by, lost - now, looser=by) for by, lost in sorted(self.looser.items()) if by > 0]

    def row_keys(self, edit: Edit, holds: Iterable[Hold]) -> dict[int, list[TieKey]]:
        """Return the floats of all rows that an edit and catches change."""
        holds = tuple(holds)
        chart_ij = changed(self.chart_ij, edit)
        held = held_in_repeat(self.scene, self.mender.listed | set(holds))
        rows = rows_of(edit) | {hold.row for hold in holds}
        return {row: self.charted.row_keys(row, chart_ij[row], held) for row in sorted(rows)}

    def _stitch(self, edit: Edit, lost: float) -> Move:
        most = self.mender.most
        after_ij = changed(self.chart_ij, edit)
        before = windows_of(self.mender.around(self.chart_ij, edit), most) if most > 0 else frozenset()
        after = windows_of(self.mender.around(after_ij, edit), most) if most > 0 else frozenset()
        strays = self._strays(after_ij, edit) - self._strays(self.chart_ij, edit)
        emptied = sum(len(set(after_ij[row])) < len(set(self.chart_ij[row])) for row in rows_of(edit))
        counts = STITCH * len(edit) + STRAY * len(strays) + EMPTIED * emptied
        seen = sum(
            abs(self.lightness_y[yarn] - self.lightness_y[self.chart_ij[row][column]]) for (row, column), yarn in edit
        )
        return Move(counts, lost, edit=edit, seen=0.01 * seen, covers=before - after, makes=after - before)

    def _strays(self, chart_ij: Rows, edit: Edit) -> set[Square]:
        """Return which stitches on or beside those of an edit have none of their own yarn around them."""
        around = {near for square, _ in edit for near in self._around(square)} | {square for square, _ in edit}
        return {
            (row, column)
            for row, column in around
            if all(chart_ij[i][j] != chart_ij[row][column] for i, j in self._around((row, column)))
        }

    def _around(self, square: Square) -> list[Square]:
        rows, wide, layout = len(self.chart_ij), len(self.chart_ij[0]), self.mender.layout
        found = []
        for up in (-1, 0, 1):
            for across in (-1, 0, 1):
                row, column = square[0] + up, square[1] + across
                if layout.up > 1:
                    row %= rows
                if layout.closes:
                    column %= wide
                if (up, across) != (0, 0) and 0 <= row < rows and 0 <= column < wide:
                    found.append((row, column))
        return found


def windows_of(over: Over, most: int) -> frozenset[Window]:
    """Return the windows of floats over the limit of ``most`` stitches."""
    return frozenset(
        (one.yarn, one.squares[begin : begin + most + 1]) for one in over for begin in range(len(one.squares) - most)
    )
