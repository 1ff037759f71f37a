"""A scene written in inches: its gauge is to 4 inches, and a body that is a number alone is in inches."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fabricsim.design.scene.part import refusal
from fabricsim.units import CM, INCH, PER_4_INCHES, PER_10_CM

CM_PER_INCH = INCH / CM
"""Exact."""


def in_cm(table: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the ``table`` of a scene file with gauge and bodies as all else reads them: to 10 cm, and in cm.

    Only what is a number is changed: whatever else stands there is refused by whoever reads it. A scene that says
    nothing of inches is returned as it is.
    """
    if table.get("units") != "inch":
        return table
    changed = dict(table)
    gauge, sizes = table.get("gauge"), table.get("sizes")
    if isinstance(gauge, dict):
        counts = {key: gauge[key] for key in ("stitches", "rows") if _number(gauge.get(key))}
        changed["gauge"] = gauge | {key: round(count * PER_10_CM / PER_4_INCHES, 9) for key, count in counts.items()}
        coloured = gauge.get("colourwork")
        if isinstance(coloured, dict) and _number(coloured.get("stitches")):
            stitches = round(coloured["stitches"] * PER_10_CM / PER_4_INCHES, 9)
            changed["gauge"] |= {"colourwork": coloured | {"stitches": stitches}}
        washed = gauge.get("washed")
        if isinstance(washed, dict):
            counts = {key: washed[key] for key in ("stitches", "rows") if _number(washed.get(key))}
            counts = {key: round(count * PER_10_CM / PER_4_INCHES, 9) for key, count in counts.items()}
            changed["gauge"] |= {"washed": washed | counts}
    if isinstance(sizes, dict) and isinstance(sizes.get("bodies"), list):
        bodies = [round(one * CM_PER_INCH, 9) if _number(one) else one for one in sizes["bodies"]]
        changed["sizes"] = sizes | {"bodies": bodies}
    return changed


def told_once(given: object, also: str, key: str, times: float = CM_PER_INCH) -> object:
    """Return a table ``given`` with what it says under ``also``, so many ``times``, under ``key``.

    Raises the refusal of a part that says both.
    """
    if not isinstance(given, dict) or not _number(given.get(also)):
        return given
    if given.get(key) is not None:
        raise refusal(f"both {also} and {key}", "one of the two", "leave one out")
    rest = {one: value for one, value in given.items() if one != also}
    return rest | {key: round(given[also] * times, 9)}


def _number(given: object) -> bool:
    return isinstance(given, int | float) and not isinstance(given, bool)
