"""The chart: which yarn makes which stitch, as the designer drew it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

from pydantic import Field, model_validator

from fabricsim.design.scene.limits import check_size
from fabricsim.design.scene.opened import read_text
from fabricsim.design.scene.part import Count, Part, refusal
from fabricsim.design.scene.wording import FileName
from fabricsim.errors import InputError

if TYPE_CHECKING:
    from fabricsim.arrays import ChartGrid
    from fabricsim.design.scene.yarn import Yarn

# Stitches are counted one by one, on plain rows, which needs no numpy; arrays are for whoever calculates with them.
Rows = Sequence[Sequence[int]]
"""The yarn of each stitch: row 0 at the bottom, column 0 at the left of the face."""
RowsOfMarks = Sequence[Sequence[bool]]
"""Stitches picked out, laid out like ``Rows``."""

_Square = TypeVar("_Square", int, bool)

_ROWS = re.compile(r"^\s*(?:chart\.)?rows\s*=\s*\[", re.MULTILINE)
_TEXTS = re.compile(r"""'[^'\n]*'|"(?:[^"\\\n]|\\.)*"|#[^\n]*""")

Times = Annotated[Count, Field(le=1_000_000)]
"""How often something is repeated. The end is chosen: far above any knitting, and short to print."""


class ChartSpec(Part):
    """The chart as drawn (rows, a text file or a picture) and how it is set into the piece."""

    rows: tuple[str, ...] | None = Field(
        default=None,
        description="The chart as printed, seen from the face: one line a row, one symbol a stitch, top row "
        "first, so that row 1 of the knitting is the last line.",
    )
    file: FileName | None = Field(
        default=None, description="A text file beside the scene, holding the rows as printed."
    )
    image: FileName | None = Field(
        default=None,
        description="A PNG beside the scene, one pixel a stitch, in the colours of the yarns.",
    )
    across: Times = Field(default=1, ge=1, description="Repeats of the chart side by side.")
    up: Times = Field(default=1, ge=1, description="Repeats of the chart one above the other.")
    plain_below: Times = Field(default=0, ge=0, description="Plain rows knitted before the chart.")
    plain_above: Times = Field(default=0, ge=0, description="Plain rows knitted after the chart.")
    plain_yarn: str | None = Field(
        default=None, description="Symbol of the yarn of the plain rows; the first yarn if left out."
    )

    @model_validator(mode="after")
    def _one_source(self) -> ChartSpec:
        given = [name for name in ("rows", "file", "image") if getattr(self, name) is not None]
        if len(given) != 1:
            raise refusal(
                " and ".join(given) or "no chart",
                "exactly one of rows, file, image",
                "keep the one that holds your chart" if given else "draw the chart under rows, or name its file",
            )
        return self

    def piece_size(self, rows: int, stitches: int) -> tuple[int, int]:
        """Return rows and stitches of the whole piece, for a chart of so many ``rows`` and ``stitches``."""
        return rows * self.up + self.plain_below + self.plain_above, stitches * self.across

    def piece(self, chart_ij: Sequence[Sequence[_Square]], plain: _Square) -> Sequence[Sequence[_Square]]:
        """Return the whole piece: so many repeats of ``chart_ij``, and rows of ``plain`` below and above."""
        plain_j = (plain,) * (len(chart_ij[0]) * self.across)
        repeat_ij = [tuple(chart_j) * self.across for chart_j in chart_ij]
        return [plain_j] * self.plain_below + repeat_ij * self.up + [plain_j] * self.plain_above


def read_chart(spec: ChartSpec, yarns: Sequence[Yarn], *, scene: Path | None, stitch_limit: int) -> Rows:
    """Return the chart as yarn indices.

    ``scene`` is the scene's own file: charts are looked for beside it, and errors name it (without it, in the
    current folder). Raises ``InputError`` for a chart that can't be read, isn't a rectangle, has a stitch
    without a yarn, or makes a piece of more than ``stitch_limit`` stitches (refused before it fills the
    memory).
    """
    folder = scene.parent if scene is not None else Path()
    if spec.image is not None:
        from fabricsim.design.scene.chart_png import read_png

        where = at(scene, "chart.image")
        return rows_of(read_png(folder / spec.image, spec, yarns, where=where, stitch_limit=stitch_limit))
    if spec.file is not None:
        where, text = at(scene, "chart.file"), read_text(folder / spec.file, at(scene, "chart.file"))
        first = len(text[: len(text) - len(text.lstrip("\r\n\t "))].splitlines())
        lines = tuple(line.strip() for line in text.strip("\r\n\t ").splitlines())

        def line_of(number: int) -> str:
            return f"line {first + number + 1} of {spec.file}"
    else:
        assert spec.rows is not None
        where, lines = at(scene, "chart.rows"), spec.rows

        def line_of(number: int) -> str:
            return _line_in(scene, number) or f"line {number + 1} as printed"

    return _rows_of_lines(lines, spec, yarns, where=where, stitch_limit=stitch_limit, line_of=line_of)


def rows_of(grid_ij: ChartGrid | Rows) -> Rows:
    """Return a chart or piece as plain rows, whichever way it was given."""
    if isinstance(grid_ij, Sequence):
        return grid_ij
    rows: Rows = tuple(map(tuple, grid_ij.tolist()))
    return rows


def at(scene: Path | None, key: str) -> str:
    """Return the place that an error names: the scene's file, where there is one, and the key in it."""
    return f"{scene}: {key}" if scene is not None else key


def _line_in(scene: Path | None, number: int) -> str | None:
    """Return the line of the scene's file in which the row of this ``number``, from 0 at the top, is drawn.

    None where it isn't found: there is no file, or its rows are written in a way of their own.
    """
    if scene is None:
        return None
    text = read_text(scene, str(scene))
    begun = _ROWS.search(text)
    if begun is None:
        return None
    drawn = [one for one in _TEXTS.finditer(text, begun.end()) if not one[0].startswith("#")]
    return f"line {text.count(chr(10), 0, drawn[number].start()) + 1} of the file" if number < len(drawn) else None


def _rows_of_lines(
    lines: Sequence[str],
    spec: ChartSpec,
    yarns: Sequence[Yarn],
    *,
    where: str,
    stitch_limit: int,
    line_of: Callable[[int], str],
) -> Rows:
    """Return the chart drawn as ``lines`` of symbols, top row first; ``line_of``: where the one of a number stands."""
    if not any(lines):
        raise InputError(where, "an empty chart", "at least one row of one stitch", "draw the chart")
    widths = [len(line) for line in reversed(lines)]
    rows = len(lines)
    check_size(spec.piece_size(rows, max(widths)), stitch_limit, where)
    stitches = max((count, width) for width, count in Counter(widths).items())[1]  # as in most rows
    for row, width in enumerate(widths, start=1):
        if width != stitches:
            raise InputError(
                where,
                f"{width} stitches in row {row}, while most rows have {stitches}",
                "rows of equal length",
                f"make row {row} ({line_of(rows - row)}) {stitches} stitches long",
            )
    index = {yarn.symbol: number for number, yarn in enumerate(yarns)}
    yarn_ij = []
    for row, line in enumerate(reversed(lines)):
        try:
            yarn_ij.append(tuple([index[symbol] for symbol in line]))
        except KeyError:
            column = next(place for place, symbol in enumerate(line) if symbol not in index)
            raise InputError(
                where,
                f"'{line[column]}' in row {row + 1} ({line_of(rows - row - 1)}), stitch {stitches - column} from the "
                "right",
                f"a symbol of one of the yarns ({', '.join(index)})",
                "add a yarn with this symbol, or mend the chart",
            ) from None
    return tuple(yarn_ij)
