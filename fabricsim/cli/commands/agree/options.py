"""What may be asked of ``agree``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from fabricsim.cli.shell.advice_options import AdviceOptions
from fabricsim.cli.shell.outputs import Output, said_of, suffix_of
from fabricsim.cli.shell.picked import check_pick
from fabricsim.design.scene.chart import Rows
from fabricsim.errors import InputError
from fabricsim.study.change.banding import ChartBand, bands_of_chart
from fabricsim.units import PER_CENT

USUAL_WITHIN, LEAST_WITHIN, MOST_WITHIN = 2.0, 0.1, 20.0
"""Per cent of the width by which bands may differ: unless asked for otherwise, at least and at most (chosen: 1 cm
round a head is hardly seen; less than a tenth no needle keeps)."""
WAYS = 4
"""Ways that may be found: ``--pick`` names one of them by its number."""
BAND = re.compile(r"\s*(\d{1,7})\s*(?:-\s*(\d{1,7})\s*)?")


def bands_named(given: str, chart_ij: Rows) -> tuple[ChartBand, ...]:
    """Return the bands that rows of a chart such as ``1-9,14-22`` name, the lowest first; raises ``InputError``."""
    rows, made = len(chart_ij), list[ChartBand]()
    for part in given.split(","):
        found = BAND.fullmatch(part)
        first, last = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
        if not 1 <= first <= last <= rows:
            allowed = f"rows of the chart, 1 to {rows}, such as 1-{max(1, rows // 2)},{rows // 2 + 2}-{rows}"
            raise InputError(
                "--bands", f"'{part.strip()}'", allowed, "name the lowest and the highest row of each band"
            )
        band = ChartBand(first - 1, last - 1)
        if any(one.first <= band.last and band.first <= one.last for one in made):
            raise InputError("--bands", f"'{part.strip()}'", "every row in one band", "part them")
        if all(len(set(yarn_j)) == 1 for yarn_j in chart_ij[band.first : band.last + 1]):
            allowed = "rows of which one has two yarns or more"
            raise InputError("--bands", f"'{part.strip()}', plain rows", allowed, "name rows with floats")
        made.append(band)
    return tuple(sorted(made))


@dataclass(frozen=True, kw_only=True)
class AgreeOptions(AdviceOptions):
    """By how many per cent bands may differ (``within``); the rows of the ``bands``, None to find them by the plain
    rows between; whether it is only a ``draft``, without how hands spread the steps; where ``plots`` of the widths go;
    which way is ``pick``ed for the copy. Raises ``InputError`` for what can't be."""

    within: float = USUAL_WITHIN
    bands: str | None = None
    draft: bool = False
    plots: Path | None = None
    pick: int | None = None
    plotted: ClassVar[tuple[str, ...]] = (".png", ".svg", ".pdf")

    def __post_init__(self) -> None:
        super().__post_init__()
        if not LEAST_WITHIN <= self.within <= MOST_WITHIN:
            allowed = f"{LEAST_WITHIN:g} to {MOST_WITHIN:g} per cent of the width"
            raise InputError("--within", f"{self.within:g}", allowed, "give per cent, as in 2")
        if self.load.case == "repeat":
            allowed = "with the case 'round' or 'swatch'"
            raise InputError("--case", "'repeat'", allowed, "an endless fabric is equally wide everywhere")
        check_pick(self.pick, self.write, WAYS)
        if self.plots is not None:
            with said_of("--plots"):
                suffix_of(self.plots, self.plotted)
        if len(self.of_chart) < 2:
            said = "no band" if not self.of_chart else "one band alone"
            todo = "name the rows of each with --bands 1-9,14-22"
            raise InputError("--bands", said, "two bands or more, with two plain rows or more between", todo)

    @property
    def of_chart(self) -> tuple[ChartBand, ...]:
        """The bands asked about, the lowest first."""
        chart_ij = self.scene.chart_rows()
        return tuple(bands_of_chart(chart_ij)) if self.bands is None else bands_named(self.bands, chart_ij)

    @property
    def share(self) -> float:
        """The share of the width by which bands may differ."""
        return self.within * PER_CENT

    @property
    def files(self) -> list[Output]:
        """What is written beside the answer."""
        return [*super().files, Output(self.plots, "--plots")]
