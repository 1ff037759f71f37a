"""A piece put together: from the scene as it is, or for a size of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from fabricsim.design.counted.rounds import worked_rows
from fabricsim.design.counted.yarn_amounts import most_of
from fabricsim.design.piece.depth import usual_depth
from fabricsim.design.piece.model import PieceRow, PieceSection, Rib, SectionKind, WholePiece, Work
from fabricsim.design.piece.thumb import hand_length
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.counts import rib_for
from fabricsim.design.sizes.crown import Crown
from fabricsim.design.sizes.every_size import Size
from fabricsim.design.sizes.makeup import Counts, Makeup, counts_of, makeup_of, shaped_crown
from fabricsim.design.sizes.spread import spread


def piece_of(scene: Scene, size: Size | None = None, *, forecast: bool = False) -> WholePiece:
    """Return the whole piece of ``scene``, as wide as it says, or in a ``size`` that a count fits.

    ``forecast``: the size's width is forecast. Raises ``InputError`` for seam stitches in the round.
    """
    makeup = makeup_of(scene)
    known = size.counted if size is not None else None
    counts = known.counts if known is not None else counts_of(scene, makeup, scene.chart.across)
    chart = makeup.chart(scene)
    usual = usual_depth(size.body) if size is not None and makeup.crown and size.body.part == "head" else None
    hand = hand_length(size.body) if size is not None and makeup.crown and size.body.part == "hand" else None
    wanted = usual if hand is None else hand + (makeup.rib_height if counts.rib is not None else 0.0)
    selvedge = (makeup.edges - makeup.seam) * scene.gauge.stitch_width
    made = _Making(scene, makeup, counts)
    made.below()
    made.chart_rows()
    closing = made.closing_rows()
    plain = makeup.plain_rounds
    if plain is None:
        here = made.rows + closing
        plain = 0 if wanted is None else max(0, round(wanted / scene.gauge.row_height) - here)
    made.plain(plain)
    made.above()
    return WholePiece(
        scene=scene,
        size=size.body.name if size is not None else "",
        makeup=makeup,
        cast_on=(made.casts_on, counts.stitches if counts.rib is None else counts.rib),
        sections=tuple(made.sections),
        end="draw together" if makeup.crown else "bind off",
        edges=made.edges,
        crown=made.crown,
        finished=known.finished if known is not None else chart.finished(scene.chart.across, 0.0) + selvedge,
        forecast=forecast and known is not None,
        usual_depth=usual,
        hand=hand,
    )


@dataclass
class _Making:
    """The rows made so far; ``number`` of the last, ``stitches`` on the needle."""

    scene: Scene
    makeup: Makeup
    counts: Counts
    sections: list[PieceSection] = field(default_factory=list)
    number: int = 0
    rows: int = 0

    def __post_init__(self) -> None:
        chart, rows = self.scene.chart, self.scene.piece_rows()
        self.main = self.scene.symbols.index(chart.plain_yarn) if chart.plain_yarn is not None else 0
        self.stitches = self.counts.stitches if self.counts.rib is None else self.counts.rib
        self.casts_on = self.main if self.counts.rib is not None else most_of(rows[0])
        self.edges = (self.makeup.edges // 2, self.makeup.edges - self.makeup.edges // 2)
        self.wrong_side = False

    def below(self) -> None:
        """Make the rib and the round that leads from it; flat they end with a wrong-side row."""
        if self.counts.rib is None:
            return
        self._rib("rib")
        adjusting = self.counts.adjusting
        assert adjusting is not None
        if adjusting.change is not None:
            rows = [self._row(1, adjusting.after, adjusting)]
            if self.makeup.flat:
                rows.append(self._row(2, adjusting.after, None))
            self._section("adjusting", rows)

    def chart_rows(self) -> None:
        """Make the rows of the scene: the numbers begin with them."""
        worked = worked_rows(self.scene, self.edges)
        self.wrong_side = False
        self._section(
            "chart",
            [self._row(self._next(), one.line.stitches, one, self._most_of(one.row)) for one in worked],
        )

    def closing_rows(self) -> int:
        """Return how many rows follow the plain ones."""
        before = len(self.sections), self.number, self.rows, self.stitches, self.wrong_side
        self.above()
        made = self.rows - before[2]
        del self.sections[before[0] :]
        _, self.number, self.rows, self.stitches, self.wrong_side = before
        return made

    def plain(self, rows: int) -> None:
        """Make plain rows; flat, before anything that begins on the right side, as many as lead there."""
        follows = self.counts.crown is not None or (self.makeup.rib_above and self.counts.rib is not None)
        if self.makeup.flat and follows and (rows % 2 == 1) != self.wrong_side:
            rows += 1
        if rows:
            self._section("plain", [self._row(self._next(), self.stitches, None) for _ in range(rows)])

    def above(self) -> None:
        """Make the crown, or the rib above."""
        crown = self.crown
        if crown is not None:
            self._crown(crown)
        elif self.makeup.rib_above and self.counts.rib is not None:
            self._back_to_rib()
            self._rib("rib above")

    @property
    def crown(self) -> Crown | None:
        """The crown over the stitches that are there: of a shaped piece those that its last row leaves."""
        if self.scene.shaping is None or self.counts.crown is None:
            return self.counts.crown
        left = len(self.scene.knitted_rows()[-1])
        return shaped_crown(self.scene, self.makeup, left)

    def _crown(self, crown: Crown) -> None:
        rows = []
        if crown.first is not None:
            rows.append(self._row(self._next(), crown.first.after, crown.first))
            if self.makeup.flat:
                rows.append(self._row(self._next(), self.stitches, None))
        decreasing = {one.number: one for one in crown.rounds}
        for number in range(1, max(decreasing) + 1):
            one = decreasing.get(number)
            rows.append(self._row(self._next(), one.after if one is not None else self.stitches, one))
        self._section("crown", rows)

    def _back_to_rib(self) -> None:
        """Make the round that leads from the chart back to the count of the rib, if they differ."""
        assert self.counts.rib is not None
        rib: int | None = self.counts.rib
        if self.scene.shaping is not None and self.makeup.rib is not None:
            rib = rib_for(self.stitches, self.makeup.rib, self.makeup.rib_fewer, flat=self.makeup.flat)
        if rib is None:
            return
        back = spread(self.stitches, rib, flat=self.makeup.flat, beside=self.scene.beside)
        if back.change is None:
            return
        rows = [self._row(self._next(), back.after, back)]
        if self.makeup.flat:
            rows.append(self._row(self._next(), back.after, None))
        self._section("plain", rows)

    def _rib(self, kind: SectionKind) -> None:
        assert self.makeup.rib is not None
        rows = max(1, round(self.makeup.rib_height / self.scene.gauge.row_height))
        if self.makeup.flat:
            rows += rows % 2
        work = Rib(*self.makeup.rib, beside=self.scene.beside)
        self._section(kind, [self._row(number, self.stitches, work) for number in range(1, rows + 1)])

    def _row(self, number: int, after: int, work: Work, yarn: int | None = None) -> PieceRow:
        made = PieceRow(number, self.wrong_side, self.stitches, after, self.main if yarn is None else yarn, work)
        self.stitches = after
        self.rows += 1
        self.wrong_side = self.makeup.flat and not self.wrong_side
        return made

    def _section(self, kind: SectionKind, rows: list[PieceRow]) -> None:
        self.sections.append(PieceSection(kind, tuple(rows)))

    def _next(self) -> int:
        self.number += 1
        return self.number

    def _most_of(self, row: int) -> int:
        return most_of(self.scene.piece_rows()[row])
