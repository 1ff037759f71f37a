"""How sure a preview is, and of which hands."""

from __future__ import annotations

from math import exp

from fabricsim.cli.words.counts import count
from fabricsim.cli.words.pucker import SAID_HEIGHT
from fabricsim.fabric.setup import scene_row
from fabricsim.fabric.whole import as_numbered
from fabricsim.lengths import fine, fine_number
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.hands.prior import EVEN, UNKNOWN_SLACK


def hands_told(forecast: Forecast) -> str:
    """Return what hands and what fabric the likely range is over."""
    hands = forecast.hands
    within = 100.0 * hands.all_slack / EVEN
    about = "slack as written" if _written(forecast) else "slack as the knitter's file says"
    if _unknown(forecast):
        about = "floats that just reach"
    parts = [f"{about}, {within:.2g} % tighter to {within:.2g} % looser"]
    if hands.floats > 0.0:
        parts.append(f"uneven by {100.0 * hands.floats:.2g} % from float to float" + _factor(hands.unevenness_log))
    low, high = (max(0.0, hands.short + sign * hands.short_spread / EVEN) for sign in (-1.0, 1.0))
    if high > 0.0:
        between = f"{fine_number(low)} to {fine(high)}" if high - low > SAID_HEIGHT else fine(high)
        parts.append(f"each {between} shorter")
    stiff = exp(max(hands.stretch, hands.bending) / EVEN)
    parts.append(f"and fabric up to {stiff:.2g} times as stiff or as soft")
    return ", ".join(parts)


def other_slack(forecast: Forecast) -> bool:
    """Return whether the slack was asked for in place of what the scene says."""
    scene, case = forecast.equilibrium.scene, forecast.equilibrium.mesh.case
    for one in as_numbered(forecast.equilibrium):
        band = scene.band_of(scene_row(scene, case, one.row))
        if one.slack != scene.slack_of_yarns[one.yarn] + (0.0 if band is None else band.looser):
            return True
    return False


def _unknown(forecast: Forecast) -> bool:
    """Return whether nobody has written a slack, nor measured one."""
    return forecast.hands.all_slack == UNKNOWN_SLACK * EVEN and not forecast.equilibrium.scene.slack_is_learnt


def _factor(log: float) -> str:
    return f" (or {exp(log / EVEN):.2g} times more or less)" if log else ""


def _written(forecast: Forecast) -> bool:
    scene = forecast.equilibrium.scene
    asked = other_slack(forecast)
    return asked or not scene.slack_is_learnt


def trust(forecast: Forecast) -> list[str]:
    if not forecast.pieces:
        if not forecast.equilibrium.floats:
            return ["Nothing floats, so nothing is uncertain but the gauge."]
        way = "" if forecast.found.starts[1:] else " from one start"
        return [f"This was a draft: one forecast{way}, no likely range. Leave out --draft for that."]
    even = forecast.hands.floats == 0.0
    shown = (
        "Every float is taken alike; uneven ones draw in more."
        if even
        else "The one shown draws in as the middle of them."
    )
    said = [
        f"'Likely': nine pieces in ten lie there, of {len(forecast.pieces)} knitted by hands that might be yours: "
        f"{hands_told(forecast)}. {shown} The mechanics is checked against exact "
        "solutions, not against hand-knits: knit a swatch" + _calibrate(forecast)
    ]
    if forecast.lost:
        crumpled = (
            "crumpled and found no rest; it counts" if forecast.lost == 1 else "crumpled and found no rest; they count"
        )
        said.append(f"{count(forecast.lost, 'piece')} {crumpled} as drawn in further than the rest.")
    return said


def _calibrate(forecast: Forecast) -> str:
    """Return what narrows the range, where nobody has measured the hands."""
    if not _unknown(forecast):
        return "."
    return ", and 'fabricsim calibrate' learns your hands from it, which narrows this range the most."
