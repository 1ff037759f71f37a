"""The yarns of a scene and the gauge they are knitted at."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from fabricsim import units
from fabricsim.design.scene.colour_names import NAMED
from fabricsim.design.scene.inches import told_once
from fabricsim.design.scene.part import Number, Part, refusal
from fabricsim.design.scene.wording import Name, Symbol
from fabricsim.errors import meant

LOOPS_IN_A_SQUARE = 23.1
"""Stitches in the square of the yarn of one, K_s of plain knitting relaxed (Munden 1959, J. Text. Inst. 50 T448; seen
quoted; wet relaxed 21.6, memory). At usual gauges 4.1 to 4.3 stitch widths a stitch, less where rows lie close."""
DEFAULT_BALL_GRAMS = 50.0
"""Grams in a ball where the scene says nothing (chosen: the usual small ball)."""
LEAST_TEX, MOST_TEX = 1.0, 100_000.0
"""Of a yarn, g/km (chosen: from a single thread of reeled silk, 1 or 2, to four times the thickest roving that is
knitted on bare arms, 25,000; both from memory)."""
LEAST_ROWS, MOST_ROWS = 0.6, 3.0
"""Rows to one stitch of a gauge (chosen: half and twice what is met with). Plain knitting at rest has 1.3 (Munden 1959,
K_c over K_w; seen quoted as 5.5 to 4.2), ball bands say 1.2 to 1.5, and garter stitch has 2 (memory)."""
LONGEST_NAME = 40
"""Letters of a colour at most (chosen: more than any has, also with spaces)."""
HAIR = 1e-9
"""By which a gauge may miss those ends: round-off."""
COLOUR = r"^#[0-9a-fA-F]{6}$"
"""How a colour is written."""


def loop_length(width: float, height: float) -> float:
    """Return the yarn in one stitch, m, of stitches ``width`` x ``height`` (m): l^2 = K_s w c."""
    return math.sqrt(LOOPS_IN_A_SQUARE * width * height)


def rgb_of(colour: str) -> tuple[int, int, int]:
    """Return red, green, blue, each 0 to 255, of a ``colour`` written as '#rrggbb'."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _named_too(schema: dict[str, Any]) -> None:
    """Say in the JSON Schema that a name may stand in place of the number."""
    pattern, schema["maxLength"] = schema.pop("pattern"), LONGEST_NAME
    schema["anyOf"] = [{"pattern": pattern}, {"enum": list(NAMED)}]


class Yarn(Part):
    """One yarn: its symbol in the chart, its name, its colour and how heavy it is."""

    symbol: Symbol = Field(description="The one character that stands for this yarn in the chart. Not a space.")
    name: Name = Field(description="What you call this yarn, such as 'oat' or 'pine'.")
    colour: str = Field(
        pattern=COLOUR,
        description="Its colour as '#rrggbb': red, green and blue, two hexadecimal digits each; or one of the names "
        "that pages use, such as 'teal' or 'darkred'.",
        json_schema_extra=_named_too,
    )
    tex: Annotated[Number, Field(ge=LEAST_TEX, le=MOST_TEX)] | None = Field(
        default=None, description="Weight of one kilometre in grams (tex). Give this or metres_per_100_g."
    )
    metres_per_100_g: Annotated[Number, Field(ge=1e5 / MOST_TEX, le=1e5 / LEAST_TEX)] | None = Field(
        default=None, description="Metres in a 100 g ball, as the ball band says. Give this or tex."
    )
    yards_per_100_g: Annotated[Number, Field(gt=0, le=2e5)] | None = Field(
        default=None, description="metres_per_100_g in yards: write one of the two.", exclude=True
    )
    ball_grams: Annotated[Number, Field(ge=1, le=10_000)] = Field(  # chosen: a skein for samples, a cone for machines
        default=DEFAULT_BALL_GRAMS, description="Grams in a ball as it is sold, to reckon whole balls."
    )

    @field_validator("colour", mode="before")
    @classmethod
    def _by_name(cls, given: object) -> object:
        if not isinstance(given, str) or given.startswith("#"):
            return given
        named = NAMED.get("".join(given.split()).lower())
        if named is None:
            near = meant("".join(given.split()), NAMED)
            todo = f"did you mean '{near}'?" if near is not None else "write # and six hexadecimal digits"
            raise refusal(f"'{given}'", "a colour such as '#2f5d50', or a name such as 'teal'", todo)
        return named

    @model_validator(mode="before")
    @classmethod
    def _in_yards(cls, given: object) -> object:
        return told_once(given, "yards_per_100_g", "metres_per_100_g", units.YARD)

    @model_validator(mode="after")
    def _one_weight(self) -> Yarn:
        if (self.tex is None) == (self.metres_per_100_g is None):
            given = "neither tex nor metres_per_100_g" if self.tex is None else "both tex and metres_per_100_g"
            raise refusal(
                f"{given} for yarn '{self.symbol}'",
                "exactly one of the two",
                "give the metres that the ball band promises to 100 g, or the tex",
            )
        return self

    @property
    def tex_value(self) -> float:
        """The linear density in tex (g/km), whichever way it was given."""
        if self.tex is not None:
            return self.tex
        assert self.metres_per_100_g is not None
        return units.tex_of_metres_per_100_g(self.metres_per_100_g)

    @property
    def ball_length(self) -> float:
        """The yarn in a ball, m."""
        return self.ball_grams * 1000.0 / self.tex_value  # tex is grams to the kilometre

    @property
    def rgb(self) -> tuple[int, int, int]:
        """The colour as red, green, blue, each 0 to 255."""
        return rgb_of(self.colour)


LEAST_NEEDLE, MOST_NEEDLE = 0.5, 50.0
"""Of a needle, mm (chosen: from wire for lace to what knits roving)."""
Needle = Annotated[Number, Field(ge=LEAST_NEEDLE, le=MOST_NEEDLE)]
MOST_OFF = 0.5
"""Share by which colourwork may be wider or narrower than plain (chosen: more is a slip)."""


class ColourworkGauge(Part):
    """What a swatch of the chart itself measures, relaxed, and the needles that it was knitted on."""

    stitches: Annotated[Number, Field(ge=1, le=400)] = Field(
        description="Stitches to 10 cm across, measured in the colourwork itself, relaxed."
    )
    needle_mm: Needle | None = Field(default=None, description="The needles of the colourwork, mm, if they differ.")


BlockedOver = Literal["board", "head", "hand"]
"""A board, a head of wood or foam (a bowl does), a mitten board shaped as a hand."""


class WashedGauge(Part):
    """What the plain swatch measures after washing, and to what width the piece is pinned out, if it is."""

    stitches: Annotated[Number, Field(ge=1, le=400)] = Field(
        description="Stitches to 10 cm across, in the same plain swatch, washed and dried flat."
    )
    rows: Annotated[Number, Field(ge=1, le=400)] = Field(description="Rows to 10 cm up, in the same swatch.")
    pinned_cm: Annotated[Number, Field(gt=0, le=1000)] | None = Field(
        default=None, description="The width that the piece is pinned out to while it dries; of a tube, how far round."
    )
    over: BlockedOver = Field(
        default="board",
        description="What it is pinned out or dried on: a flat 'board', or for a tube a form so far round, 'head' or "
        "'hand', over which what is worked flat goes sewn up.",
    )
    pinned_inch: Annotated[Number, Field(gt=0, le=400)] | None = Field(
        default=None, description="pinned_cm in inches: write one of the two.", exclude=True
    )

    @model_validator(mode="before")
    @classmethod
    def _in_inches(cls, given: object) -> object:
        return told_once(given, "pinned_inch", "pinned_cm")

    @model_validator(mode="after")
    def _how_wide(self) -> WashedGauge:
        if self.over != "board" and self.pinned_cm is None:
            raise refusal(
                f"over = '{self.over}' without pinned_cm", "both, or neither", "say how far round it is: pinned_cm = 56"
            )
        return self


class Gauge(Part):
    """Stitches and rows to 10 cm of plain stockinette, on the needles used for the colourwork."""

    # the ends are chosen: a loop as wide as a hand, and finer than any machine's
    stitches: Number = Field(ge=1, le=200, description="Stitches to 10 cm across, in plain stockinette.")
    rows: Number = Field(ge=1, le=200, description="Rows (or rounds) to 10 cm up, in plain stockinette.")
    needle_mm: Needle | None = Field(default=None, description="The needles of this gauge, mm.")
    colourwork: ColourworkGauge | None = Field(
        default=None,
        description="The gauge of the colourwork, where you have measured it: sizes then go by it, not by a forecast.",
    )

    washed: WashedGauge | None = Field(
        default=None,
        description="The same plain swatch after washing: how far the colourwork follows is then told too.",
    )

    @model_validator(mode="after")
    def _as_knitted(self) -> Gauge:
        if not LEAST_ROWS - HAIR <= self.rows / self.stitches <= MOST_ROWS + HAIR:
            least, most = LEAST_ROWS * self.stitches, MOST_ROWS * self.stitches
            raise refusal(
                f"{self.rows:g} rows with {self.stitches:g} stitches",
                f"{least:.4g} to {most:.4g} rows with so many stitches, as plain knitting has {LEAST_ROWS:g} to "
                f"{MOST_ROWS:g} rows to a stitch",
                "count both over 10 cm of plain knitting",
            )
        if self.colourwork is not None and abs(self.stitches / self.colourwork.stitches - 1.0) > MOST_OFF:
            raise refusal(
                f"{self.colourwork.stitches:g} stitches in colourwork with {self.stitches:g} in plain",
                f"{self.stitches / (1.0 + MOST_OFF):.4g} to {self.stitches / (1.0 - MOST_OFF):.4g} in colourwork",
                "count both over 10 cm",
            )
        if self.washed is not None:
            for what, here, there in (
                ("stitches", self.stitches, self.washed.stitches),
                ("rows", self.rows, self.washed.rows),
            ):
                if abs(here / there - 1.0) > MOST_OFF:
                    raise refusal(
                        f"{there:g} {what} washed with {here:g} before",
                        f"{here / (1.0 + MOST_OFF):.4g} to {here / (1.0 - MOST_OFF):.4g} washed",
                        "count both over 10 cm of the same swatch",
                    )
        return self

    def as_washed(self) -> Gauge:
        """Return the gauge that the plain swatch has after washing; itself if nobody has measured that."""
        if self.washed is None:
            return self
        return self.model_copy(
            update={"stitches": self.washed.stitches, "rows": self.washed.rows, "colourwork": None, "washed": None}
        )

    @property
    def colourwork_lost(self) -> float | None:
        """The share by which the colourwork is narrower than plain, as measured; below 0 wider, None if it isn't."""
        return None if self.colourwork is None else 1.0 - self.stitches / self.colourwork.stitches

    @property
    def stitch_width(self) -> float:
        """The width of one stitch, m."""
        return units.PER_10_CM / self.stitches

    @property
    def row_height(self) -> float:
        """The height of one row, m."""
        return units.PER_10_CM / self.rows

    @property
    def loop_length(self) -> float:
        """The yarn in one stitch, m."""
        return loop_length(self.stitch_width, self.row_height)
