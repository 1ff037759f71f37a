"""What the table says of a fabric: the numbers and words of ``preview``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fabricsim.table.messages.fabrics import FloatSaid, RowSaid, TellSaid
from fabricsim.table.solving.order import Which

if TYPE_CHECKING:
    from fabricsim.study.forecast.forecast import Forecast

HARDEST = 12
"""Floats that are told one by one, those that pull hardest (chosen: more than anyone looks at)."""


def told(forecast: Forecast, revision: int, which: Which, *, likely: bool) -> TellSaid:
    """Return what a ``forecast`` comes to; ``likely``: with its ranges."""
    # The server hands this to its processes, and needs none of what it takes.
    from fabricsim.cli.commands.preview.data import numbers
    from fabricsim.cli.commands.preview.words import words
    from fabricsim.design.floats.faults import faults
    from fabricsim.fabric.carried import whole_floats

    equilibrium = forecast.equilibrium
    over = faults(whole_floats(equilibrium.scene, equilibrium.mesh.case), equilibrium.scene.limits)
    said = numbers(forecast, over)
    draw_in, pucker, floats = said["draw_in"], said["pucker"], said["floats"]
    return TellSaid(
        revision=revision,
        which=which,
        sure="likely" if likely else "rest",
        width_cm=draw_in["width_cm"],
        plain_cm=draw_in["plain_width_cm"],
        loss_percent=draw_in["nominal_percent"],
        likely_loss_percent=_pair(draw_in, "percent"),
        likely_width_cm=_widths(draw_in),
        height_percent=said["height_change_percent"],
        pucker_mm=pucker["nominal_mm"],
        likely_pucker_mm=_pair(pucker, "mm"),
        pucker_word=pucker["word"],
        floats=floats["count"],
        over=floats["over_limit"],
        taut=floats["taut"],
        greatest_cN=floats["greatest_tension_cN"],
        rows=tuple(
            RowSaid(row=one["row"] - 1, width_cm=one["width_cm"], loss_percent=one["loss_percent"])
            for one in said["rows_from_the_bottom"]
        ),
        hardest=_hardest(forecast, floats["each"]),
        words=tuple(words(forecast, over)),
        advice=tuple(said["advice"]),
    )


def _pair(band: dict[str, Any], unit: str) -> tuple[float, float] | None:
    low, high = band[f"low_{unit}"], band[f"high_{unit}"]
    return None if low is None or high is None else (low, high)


def _widths(draw_in: dict[str, Any]) -> tuple[float, float] | None:
    """Return the likely width, least and greatest."""
    lost = _pair(draw_in, "cm")
    return None if lost is None else (draw_in["plain_width_cm"] - lost[1], draw_in["plain_width_cm"] - lost[0])


def _hardest(forecast: Forecast, each: list[dict[str, Any]]) -> tuple[FloatSaid, ...]:
    """Return the floats that pull hardest, the hardest first."""
    floats = forecast.equilibrium.floats
    order = sorted(range(len(each)), key=lambda f: -each[f]["tension_cN"])
    return tuple(
        FloatSaid(
            row=floats[f].row,
            column=(floats[f].start + floats[f].direction * (floats[f].gap + 1) // 2) % floats[f].stitches,
            gap=floats[f].gap,
            yarn=floats[f].yarn,
            pull_cN=each[f]["tension_cN"],
        )
        for f in order[:HARDEST]
        if each[f]["taut"]
    )
