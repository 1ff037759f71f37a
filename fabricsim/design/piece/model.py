"""A piece as it is knitted: cast-on, sections of rows, and how it ends."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from fabricsim.design.counted.rounds import WorkedRow
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.crown import Crown, CrownRound
from fabricsim.design.sizes.makeup import Makeup
from fabricsim.design.sizes.spread import Spread

SectionKind = Literal["rib", "adjusting", "chart", "plain", "crown", "rib above"]
End = Literal["draw together", "bind off"]


@dataclass(frozen=True)
class Rib:
    """A row of rib: so many ``knits`` and ``purls`` over and over, as seen from the face; ``beside``: stitches of a
    steek before and after it, knitted."""

    knits: int
    purls: int
    beside: tuple[int, int] = (0, 0)


Work = Rib | Spread | CrownRound | WorkedRow | None
"""What is done in a row; None: every stitch is plain."""


@dataclass(frozen=True)
class PieceRow:
    """One row: its ``number`` (of a rib: in that rib), stitches ``before`` and ``after`` it, and the ``yarn`` of all of
    them but for a row of the chart, which has its own."""

    number: int
    wrong_side: bool
    before: int
    after: int
    yarn: int
    work: Work

    @property
    def made_y(self) -> Counter[int]:
        """How many stitches each yarn makes."""
        if isinstance(self.work, WorkedRow):
            made: Counter[int] = Counter()
            for run in self.work.line.runs:
                made[run.yarn] += run.stitches
            return made
        return Counter({self.yarn: self.after})


@dataclass(frozen=True)
class PieceSection:
    """Rows that belong together."""

    kind: SectionKind
    rows: tuple[PieceRow, ...]


@dataclass(frozen=True)
class WholePiece:
    """All of a piece. ``scene``: with as many repeats across; ``size``: the name of the body, or none; ``cast_on``:
    (yarn, stitches); ``edges``: stitches of the seam or the selvedge at the right and at the left; ``finished``: its
    width or girth, m, ``forecast`` or by the plain gauge; ``usual_depth``: of a hat for that head, ``hand``: how long
    the hand is that it is for, m, if they are known."""

    scene: Scene
    size: str
    makeup: Makeup
    cast_on: tuple[int, int]
    sections: tuple[PieceSection, ...]
    end: End
    edges: tuple[int, int]
    crown: Crown | None
    finished: float
    forecast: bool
    usual_depth: float | None = None
    hand: float | None = None

    @property
    def rows(self) -> Iterator[PieceRow]:
        """All rows, from the bottom up."""
        for section in self.sections:
            yield from section.rows

    @property
    def rows_below(self) -> int:
        """How many rows lie below round or row 1."""
        at = next(number for number, one in enumerate(self.sections) if one.kind == "chart")
        return sum(len(one.rows) for one in self.sections[:at])

    @property
    def last(self) -> PieceRow:
        """The last row before the end."""
        return self.sections[-1].rows[-1]

    @property
    def stitches(self) -> int:
        """Across the chart, those of a seam or a steek among them."""
        return self.section("chart").rows[0].after

    @property
    def is_tube(self) -> bool:
        """Whether it is a tube in the end: worked so and not cut open, or sewn up."""
        return not self.scene.cut_open or self.makeup.seam > 0

    @property
    def sewn_up(self) -> bool:
        """Whether it is worked flat and seen sewn up, edge to edge: to be drawn together at its top, as its wedges
        lie flat in no way, or to be put on."""
        return self.makeup.flat and (self.end == "draw together" or self.scene.sewn_up)

    @property
    def case(self) -> Case:
        """How it lies as a whole: flat, or a tube, in the round or sewn up."""
        return "swatch" if self.scene.cut_open and not self.sewn_up else "round"

    @property
    def taken_in(self) -> int:
        """Stitches that go into a seam, or are cut and folded back: no part of its width."""
        return self.makeup.seam + sum(self.scene.beside)

    def section(self, kind: SectionKind) -> PieceSection:
        """Return the section of this kind, without rows where there is none."""
        return next((one for one in self.sections if one.kind == kind), PieceSection(kind, ()))

    def height(self, *kinds: SectionKind) -> float:
        """Return how high its sections of these kinds are by the gauge, m; of none named: all."""
        rows = sum(len(one.rows) for one in self.sections if not kinds or one.kind in kinds)
        return rows * self.scene.gauge.row_height
