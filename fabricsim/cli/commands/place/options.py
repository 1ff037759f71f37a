"""What may be asked of ``place``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.cli.shell.advice_options import AdviceOptions
from fabricsim.design.scene.limits import check_size
from fabricsim.errors import InputError


@dataclass(frozen=True, kw_only=True)
class PlaceOptions(AdviceOptions):
    """The number of ``stitches`` that the chart is to meet, if any. Raises ``InputError`` for one that it can't."""

    stitches: int | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.stitches is None:
            return
        scene, wide = self.scene, self.scene.stitches_per_repeat
        if self.stitches < wide:
            allowed = f"at least {wide}, one repeat of the chart"
            raise InputError("--stitches", str(self.stitches), allowed, "give more")
        rows = len(scene.chart_rows()) * scene.chart.up
        check_size((rows, self.stitches + wide), scene.simulation.stitch_limit, "--stitches")
