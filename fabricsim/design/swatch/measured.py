"""What was measured on a real swatch: widths, heights, pucker, stretch under a weight, grams, single floats."""

from __future__ import annotations

from pathlib import Path
from statistics import mean, stdev
from typing import Annotated, Literal

from pydantic import Field, model_validator

from fabricsim.design.scene.part import Count, Number, Part, refusal
from fabricsim.design.scene.part_file import read_part

# Ends are chosen, far below and above any swatch: they keep slips of the unit out. Nobody reads a tape more finely than
# a tenth of a millimetre.
Centimetres = Annotated[Number, Field(ge=0.1, le=1000)]
Millimetres = Annotated[Number, Field(ge=0, le=200)]
FloatMillimetres = Annotated[Number, Field(ge=1, le=10_000)]
Grams = Annotated[Number, Field(ge=0.01, le=100_000)]
OffCentimetres = Annotated[Number, Field(ge=0.01, le=100)]
OffMillimetres = Annotated[Number, Field(ge=0.1, le=100)]
OffGrams = Annotated[Number, Field(ge=0.001, le=10_000)]
Stitches = Annotated[Count, Field(ge=2, le=10_000)]

UNCERTAIN_CM = 0.3
"""How far a width or height may be off (chosen: a soft edge laid and read twice)."""
UNCERTAIN_STRETCHED_CM = 0.5
"""The same of a stretched width (chosen: stitches rub and give with time, and so with each reading)."""
UNCERTAIN_PUCKER_MM = 1.0
"""The same of a pucker (chosen: what a ruler stood beside it can tell)."""
UNCERTAIN_GRAMS = 1.0
"""The same of a weight (chosen: kitchen scales)."""
UNCERTAIN_FLOAT_MM = 1.0
"""The same of each of several floats that are listed (chosen: a mark at either end, each read to half a mm)."""
UNCERTAIN_FLOAT_CM = 0.3
"""The same of the yarn of one float (chosen: how straight it is pulled, and that no two floats are alike)."""

_HOW_SURE = "How far that may be off, cm; by default {}."


class Section(Part):
    """A plain section: so many stitches (and rows), how wide (and high) they lie."""

    stitches: Stitches | None = Field(default=None, description="How many stitches the width was measured over.")
    width_cm: Centimetres | None = Field(default=None, description="How wide they are, flat and relaxed, cm.")
    rows: Stitches | None = Field(default=None, description="How many rows the height was measured over.")
    height_cm: Centimetres | None = Field(default=None, description="How high they are, cm.")
    uncertain_cm: OffCentimetres = Field(default=UNCERTAIN_CM, description=_HOW_SURE.format(UNCERTAIN_CM))

    @model_validator(mode="after")
    def _counted(self) -> Section:
        _together(self, "stitches", "width_cm")
        _together(self, "rows", "height_cm")
        return self


class Colourwork(Section):
    """A section in colourwork, and how much it puckers."""

    pucker_mm: Millimetres | None = Field(
        default=None, description="From the deepest valley to the highest peak as it lies, mm; 0 if it lies flat."
    )
    pucker_uncertain_mm: OffMillimetres = Field(
        default=UNCERTAIN_PUCKER_MM, description=f"How far that may be off, mm; by default {UNCERTAIN_PUCKER_MM:g}."
    )


class Stretched(Part):
    """A section hung up by one side edge, a weight at the other: how wide it then is."""

    section: Literal["colourwork", "plain"] = Field(
        default="colourwork",
        description="Which was stretched: 'plain' tells how stiff the fabric is, 'colourwork' rather how loose its "
        "floats.",
    )
    stitches: Stitches | None = Field(default=None, description="How many stitches the width was measured over.")
    width_cm: Centimetres | None = Field(default=None, description="How wide they are under the weight, cm.")
    grams: Grams | None = Field(default=None, description="The weight that pulls, g.")
    strip_cm: Centimetres | None = Field(
        default=None, description="How high the strip is, across the pull, that carries the weight, cm."
    )
    uncertain_cm: OffCentimetres = Field(
        default=UNCERTAIN_STRETCHED_CM, description=_HOW_SURE.format(UNCERTAIN_STRETCHED_CM)
    )

    @model_validator(mode="after")
    def _counted(self) -> Stretched:
        _together(self, "stitches", "width_cm", "grams", "strip_cm")
        return self


class Weighed(Part):
    """The whole swatch on the scales."""

    grams: Grams | None = Field(default=None, description="What the whole swatch weighs, g.")
    uncertain_grams: OffGrams = Field(
        default=UNCERTAIN_GRAMS, description=f"How far that may be off, g; by default {UNCERTAIN_GRAMS:g}."
    )


class MeasuredFloat(Part):
    """One float, or several alike: the yarn from the middle of the stitch before it to the middle of the stitch
    after."""

    gap: Annotated[Count, Field(ge=1, le=1000)] = Field(description="How many stitches it passes behind.")
    yarn_cm: Centimetres | None = Field(
        default=None,
        description="Yarn from the middle of the stitch before it to the middle of the stitch after it, pulled just "
        "straight, cm.",
    )
    yarn_mm: Annotated[tuple[FloatMillimetres, ...], Field(min_length=2, max_length=1000)] | None = Field(
        default=None,
        description="The same of several floats that pass behind as many stitches, each in a row of its own, mm: "
        "[31, 29.5, 33]. Tells how uneven they are too.",
    )
    yarn: str | None = Field(default=None, description="Symbol of its yarn in the chart, if you know it.")
    uncertain_cm: OffCentimetres = Field(default=UNCERTAIN_FLOAT_CM, description=_HOW_SURE.format(UNCERTAIN_FLOAT_CM))
    uncertain_mm: OffMillimetres = Field(
        default=UNCERTAIN_FLOAT_MM,
        description=f"How far each of yarn_mm may be read off, mm; by default {UNCERTAIN_FLOAT_MM:g}.",
    )

    @model_validator(mode="after")
    def _one_or_several(self) -> MeasuredFloat:
        if (self.yarn_cm is None) == (self.yarn_mm is None):
            given = "neither yarn_cm nor yarn_mm" if self.yarn_cm is None else "yarn_cm and yarn_mm"
            raise refusal(given, "one of the two", "yarn_cm for one float, yarn_mm = [31, 29.5, 33] for several")
        return self

    @property
    def mean_cm(self) -> float:
        """The yarn of one, or the mean of several, cm."""
        if self.yarn_mm is None:
            assert self.yarn_cm is not None
            return self.yarn_cm
        return mean(self.yarn_mm) / 10.0

    @property
    def freedom(self) -> int:
        """Degrees of freedom of how they differ: one less than there are."""
        return 0 if self.yarn_mm is None else len(self.yarn_mm) - 1

    @property
    def spread_mm(self) -> float:
        """Standard deviation of several from their mean, mm."""
        return 0.0 if self.yarn_mm is None else stdev(self.yarn_mm)


class Measured(Part):
    """All that was measured; whatever wasn't is left out."""

    plain: Section = Field(default_factory=Section, description="A section in one colour.")
    colourwork: Colourwork = Field(default_factory=Colourwork, description="A section in colourwork.")
    stretched: Stretched = Field(default_factory=Stretched, description="A section stretched by a weight.")
    weighed: Weighed = Field(default_factory=Weighed, description="The whole swatch on the scales.")
    floats: tuple[MeasuredFloat, ...] = Field(default=(), description="Single floats.")

    @property
    def lies(self) -> bool:
        """Whether colourwork was measured as it lies."""
        colourwork = self.colourwork
        return any(one is not None for one in (colourwork.width_cm, colourwork.height_cm, colourwork.pucker_mm))

    @property
    def tells(self) -> bool:
        """Whether anything is in it that floats or fabric could be told from."""
        told = (self.colourwork.width_cm, self.colourwork.pucker_mm, self.stretched.width_cm, self.weighed.grams)
        return bool(self.floats) or any(one is not None for one in told)


def _together(part: Part, *keys: str) -> None:
    missing = [key for key in keys if getattr(part, key) is None]
    if missing and len(missing) < len(keys):
        given = [key for key in keys if key not in missing]
        raise refusal(
            f"{' and '.join(given)} without {' and '.join(missing)}",
            f"{', '.join(keys)} together",
            f"add {' and '.join(missing)}",
        )


def read_measured(path: Path) -> Measured:
    """Return what was measured, written in the TOML file ``path``; raises ``InputError``."""
    return read_part(path, Measured, "what was measured", str(path))
