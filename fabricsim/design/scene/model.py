"""A scene: everything the designer wrote about one piece of stranded knitting."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, Self

from pydantic import Field, PrivateAttr, ValidationInfo, model_validator

from fabricsim.design.scene.chart import ChartSpec, Rows, at, read_chart
from fabricsim.design.scene.choices import Case, Expect, FabricOverrides, Simulation
from fabricsim.design.scene.items import Item, Limits, limits_of
from fabricsim.design.scene.knitter import Knitter, read_knitter
from fabricsim.design.scene.part import Part
from fabricsim.design.scene.row_bands import RowBand, check_bands
from fabricsim.design.scene.rules import FloatRules
from fabricsim.design.scene.shaping import ShapedLine, Shaping, check_together, knitted, shaped_lines
from fabricsim.design.scene.sizing import Sizing
from fabricsim.design.scene.steek import Steek
from fabricsim.design.scene.stitch_size import check_against_stitches, check_learnt
from fabricsim.design.scene.together import check_bodies, check_catches, check_steek, check_symbols
from fabricsim.design.scene.wording import FileName, Story, Title
from fabricsim.design.scene.worn_on import SEWN_FOR, WrittenOn
from fabricsim.design.scene.yarn import Gauge, Yarn
from fabricsim.lengths import Units

if TYPE_CHECKING:
    from fabricsim.arrays import ChartGrid

Worked = Literal["round", "flat"]
"""In the round every round is read right to left; flat, right-side rows are and wrong-side rows aren't."""
_WORKED: dict[Worked, str] = {"round": "in the round", "flat": "flat"}


class Scene(Part):
    """One piece of stranded knitting: chart, yarns, gauge, float rules, and what to do with them.

    Made by ``read_scene`` from a file, or directly. A scene that can be built holds together: its chart is a
    rectangle in which every stitch has a yarn, and every symbol named elsewhere is that of a yarn.
    """

    title: Title = Field(description="What the piece is called.")
    story: Story = Field(default="", description="What the scene shows and what to look for.")
    worked: Worked = Field(
        description="'round': every round is read right to left. 'flat': right-side rows right to left, "
        "wrong-side rows left to right; the first row is a right-side row."
    )
    units: Units = Field(
        default="cm",
        description="What lengths are said in: 'cm' or 'inch'. With 'inch' the gauge of this file is to 4 inches, "
        "bodies given by a number alone are in inches, and words, tables and pictures say inches and yards.",
    )
    item: Item | None = Field(
        default=None,
        description="What it is for; sets how long a float may be unless [floats] says so, and what to beware of.",
    )
    on: WrittenOn | None = Field(
        default=None,
        description="What it is put on to see how it sits, if it is a tube: head, hand, arm, leg or board. Of the "
        "bodies that it is for, else of all in the table, the one whom it fits best. What is worked flat is sewn up "
        "for all but the board.",
    )
    knitter: FileName | None = Field(
        default=None,
        description="A knitter's file beside the scene, written by 'fabricsim calibrate': its slack takes the place of "
        "the usual one, unless [floats] says a slack, and its stiffness that of the usual fabric.",
    )
    chart: ChartSpec = Field(description="Which yarn makes which stitch.")
    yarns: Annotated[tuple[Yarn, ...], Field(min_length=1)] = Field(
        description="The yarns; the first is the main colour."
    )
    gauge: Gauge = Field(description="Gauge of plain stockinette on the needles used for the colourwork.")
    floats: FloatRules = Field(default_factory=FloatRules, description="How the floats are carried.")
    bands: tuple[RowBand, ...] = Field(
        default=(), description="Rows of the chart that are worked otherwise: floats looser, or on other needles."
    )
    fabric: FabricOverrides = Field(
        default_factory=FabricOverrides,
        description="Measured values of your own fabric, where you have them.",
    )
    simulation: Simulation = Field(default_factory=Simulation, description="How the fabric is brought to rest.")
    sizes: Sizing | None = Field(default=None, description="For which bodies to work out sizes, and how.")
    steek: Steek | None = Field(
        default=None,
        description="Stitches for cutting, for what is worked in the round and cut open: a cardigan, or a flat piece. "
        "[steek] alone takes the usual ones.",
    )
    shaping: Shaping | None = Field(
        default=None,
        description="Rows in which stitches are added or worked together: a sleeve that widens, a yoke that narrows.",
    )
    expect: Expect | None = Field(default=None, description="What should come out; makes the scene a test.")

    _source: Path | None = PrivateAttr(default=None)
    _drawn: tuple[ChartSpec, tuple[Yarn, ...], Rows] | None = PrivateAttr(default=None)
    _hands: Knitter | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _holds_together(self, info: ValidationInfo) -> Self:
        if isinstance(info.context, dict):
            self._source = info.context.get("source")
        folder = self._source.parent if self._source is not None else Path()
        check_symbols(self.yarns, self.chart, self.floats, self.where)
        check_catches(self.floats.catches, self.chart_rows(), self.symbols, self.worked, self.where)
        check_against_stitches(self.gauge, self.floats, self.fabric, self.where)
        if self.steek is not None:
            check_steek(self.steek, self.chart_rows(), self.worked, self.item, self.sizes or Sizing(), self.where)
        if self.shaping is not None:
            check_together(self.where, steek=self.steek is not None)
            self.shaped_lines()
        if self.sizes is not None:
            check_bodies(self.sizes, self.item, folder, self.where)
        if self.knitter is not None:
            self._hands = read_knitter(folder / self.knitter, self.where("knitter"))
            check_learnt(self.gauge, self._hands, folder / self.knitter)
        check_bands(self.bands, len(self.chart_rows()), self.slack_of_yarns, self.where)
        return self

    def __eq__(self, other: object) -> bool:
        """Two scenes are equal if they say the same and their charts came out the same, wherever they lie."""
        if not isinstance(other, Scene):
            return NotImplemented
        same_words = self.model_dump() == other.model_dump() and self.hands == other.hands
        same_words = same_words and self.slack_is_written == other.slack_is_written  # else it may be anybody's
        return same_words and self.chart_rows() == other.chart_rows()

    def __hash__(self) -> int:
        """Return a hash of what every scene has: scenes that are equal have the same."""
        return hash((self.title, self.worked, self.symbols))

    def __repr__(self) -> str:
        return f"<Scene {self.title!r}: {len(self.yarns)} yarns, worked {_WORKED[self.worked]}>"

    __str__ = __repr__

    def where(self, key: str) -> str:
        """Return the place that an error about ``key`` names: the scene's file, if any, and the key."""
        return at(self._source, key)

    @property
    def source(self) -> Path | None:
        """The file that the scene was read from."""
        return self._source

    @property
    def symbols(self) -> tuple[str, ...]:
        """The symbols of the yarns, in their order."""
        return tuple(yarn.symbol for yarn in self.yarns)

    @property
    def strands_from_below(self) -> tuple[int, ...]:
        """The yarns in the order in which their strands lie, the lowest first: as written, then as listed."""
        written = [self.symbols.index(symbol) for symbol in self.floats.below]
        return (*written, *(yarn for yarn in range(len(self.yarns)) if yarn not in written))

    @property
    def slack_of_yarns(self) -> tuple[float, ...]:
        """The slack of each yarn's floats, in the order of the yarns: as written, else as the knitter's file says."""
        return tuple(
            self.floats.slack_by_yarn.get(yarn.symbol, self.floats.slack if learnt is None else learnt)
            for yarn, learnt in zip(self.yarns, self._learnt_slacks(), strict=True)
        )

    def band_of(self, row: int | None) -> RowBand | None:
        """Return how a ``row`` of the chart, from 0, is worked if otherwise than the rest; None is no row of it."""
        return next((band for band in self.bands if row is not None and band.holds(row)), None)

    def chart_row_of(self, row: int) -> int | None:
        """Return the row of the chart, from 0, that a ``row`` of the piece shows; None for a plain row."""
        rows, above = len(self.chart_rows()), row - self.chart.plain_below
        return above % rows if 0 <= above < rows * self.chart.up else None

    @property
    def hands(self) -> Knitter | None:
        """What the knitter's file says, if one is named."""
        return self._hands

    @property
    def slack_is_written(self) -> bool:
        """Whether the scene says how slack its floats are, of all yarns or of any."""
        return not {"slack", "slack_by_yarn"}.isdisjoint(self.floats.model_fields_set)

    @property
    def slack_is_learnt(self) -> bool:
        """Whether the slack of any yarn is that of the knitter's file."""
        return any(
            learnt is not None and symbol not in self.floats.slack_by_yarn
            for symbol, learnt in zip(self.symbols, self._learnt_slacks(), strict=True)
        )

    def _learnt_slacks(self) -> list[float | None]:
        """Return the slack of each yarn by the knitter's file; None where a slack for all is written, or unknown."""
        hands = self._hands
        if hands is None or "slack" in self.floats.model_fields_set:
            return [None] * len(self.yarns)
        return [hands.slack_of(yarn.name) for yarn in self.yarns]

    def without_knitter(self) -> Scene:
        """Return the same scene with nobody's hands."""
        bare = self.model_copy(update={"knitter": None})
        bare._hands = None
        return bare

    @property
    def case(self) -> Case:
        """In which case it is brought to rest unless another is asked for: as the scene says, else as it is worked."""
        return self.simulation.case or ("swatch" if self.cut_open and not self.sewn_up else "round")

    @property
    def sewn_up(self) -> bool:
        """Whether it is worked flat and sewn up to a tube, as it must be to go on or over something round."""
        washed = self.gauge.washed
        return self.worked == "flat" and (self.on in SEWN_FOR or (washed is not None and washed.over in SEWN_FOR))

    @property
    def cut_open(self) -> bool:
        """Whether the piece has two edges in the end: worked flat, or cut open along its steek."""
        return self.worked == "flat" or self.steek is not None

    @property
    def limits(self) -> Limits:
        """The longest open float: as ``floats`` says, else as is usual for the item."""
        rules = self.floats
        return limits_of(self.item, rules.longest_gap, rules.longest_cm, self.gauge.stitch_width)

    @property
    def stitches_per_repeat(self) -> int:
        """How many stitches wide the chart is."""
        return len(self.chart_rows()[0])

    def chart_rows(self) -> Rows:
        """Return the chart, a yarn index a stitch: row 0 at the bottom, column 0 at the face's left.

        Raises ``InputError`` if the chart can't be read (only for a chart changed since the scene was made).
        """
        drawn = self._drawn  # asked for once: a private name takes longer to find than the rest of this
        if drawn is None or drawn[0] is not self.chart or drawn[1] is not self.yarns:
            limit = self.simulation.stitch_limit
            yarn_ij = read_chart(self.chart, self.yarns, scene=self._source, stitch_limit=limit)
            drawn = self._drawn = (self.chart, self.yarns, yarn_ij)
        return drawn[2]

    def piece_rows(self) -> Rows:
        """Return the whole piece with its repeats and plain rows, laid out as in ``chart_rows``, without a steek."""
        return self.piece_of(self.chart_rows())

    def piece_of(self, chart_ij: Rows) -> Rows:
        """Return the piece that another chart of the same size would make."""
        plain = self.symbols.index(self.chart.plain_yarn) if self.chart.plain_yarn is not None else 0
        return self.chart.piece(chart_ij, plain)

    def knitted_rows(self) -> Rows:
        """Return the piece as it is knitted: ``piece_rows`` with the stitches of the steek at both sides, if any, and
        as they are shaped, so that they may differ in their count."""
        lines = self.shaped_lines()
        return self.with_steek(self.piece_rows()) if lines is None else knitted(self.piece_rows(), lines)

    def shaped_lines(self) -> tuple[ShapedLine, ...] | None:
        """Return what is made in every row of a shaped piece; None of one that isn't. Raises ``InputError`` for what
        can't be worked."""
        if self.shaping is None:
            return None
        rows, repeat = len(self.piece_rows()), self.stitches_per_repeat
        flat = self.worked == "flat"
        return shaped_lines(self.shaping, rows, self.chart.across, repeat, flat=flat, where=self.where)

    def with_steek(self, rows: Rows, first: int = 0) -> Rows:
        """Return ``rows`` of the piece, the lowest being the row ``first``, with those of the steek at both sides."""
        return rows if self.steek is None else self.steek.columns.beside(rows, first)

    @property
    def beside(self) -> tuple[int, int]:
        """Stitches of the steek at the right and at the left of the chart."""
        return (0, 0) if self.steek is None else (self.steek.columns.right, self.steek.columns.left)

    def chart_grid(self) -> ChartGrid:
        """Return ``chart_rows`` as an array, ``(rows, stitches)`` yarn indices, read-only."""
        import numpy as np

        grid_ij = np.array(self.chart_rows(), dtype=np.int64)
        grid_ij.setflags(write=False)
        return grid_ij

    def piece_grid(self) -> ChartGrid:
        """Return ``piece_rows`` as an array, ``(rows, stitches)`` yarn indices."""
        import numpy as np

        return np.array(self.piece_rows(), dtype=np.int64)
