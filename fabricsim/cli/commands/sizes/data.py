"""Sizes for programs and spreadsheets, units in the keys."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fabricsim import units
from fabricsim.design.counted.yarn_weights import mismatches
from fabricsim.design.piece.depth import verdict
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.sizes.crown import Crown
from fabricsim.design.sizes.every_size import Counted, Size, Sizes
from fabricsim.design.sizes.going_on import TightPlace
from fabricsim.design.sizes.spread import Spread

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def for_programs(found: Sizes, pieces: Mapping[str, WholePiece], why_not: Mapping[str, str]) -> dict[str, Any]:
    """Return all of it for JSON; ``why_not``: of the sizes whose piece can't be worked, by their names."""
    plan = found.plan
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "sizes",
        "scene_hash": scene_hash(plan.scene),
        "title": plan.scene.title,
        "item": plan.item,
        "worked": plan.scene.worked,
        "forecast": found.forecast,
        "measured": found.measured,
        "gauge_stitches_per_10_cm": plan.scene.gauge.stitches,
        "repeat_stitches": plan.chart.repeat,
        "lining_takes_cm": plan.lining_takes / units.CM,
        "ease_percent": {"aim": 100 * plan.aim, "least": 100 * plan.fit.least, "most": 100 * plan.fit.most},
        "gauge_outside_yarn_standard": [
            {
                "yarn": one.yarn,
                "metres_per_100_g": one.metres,
                "stitches_per_4_in": one.stitches,
                "usual_stitches_per_4_in": [one.low, one.high],
            }
            for one in mismatches(plan.scene)
        ],
        "sizes": [
            _size(one, pieces.get(one.body.name), why_not.get(one.body.name, one.why_not)) for one in found.sizes
        ],
    }


def _size(one: Size, piece: WholePiece | None, why_not: str) -> dict[str, Any]:
    spacers = one.spacers
    return {
        "size": one.body.name,
        "body_cm": one.worn_at / units.CM,
        "body_source": one.body.source,
        "wanted_cm": one.wanted / units.CM,
        "step_cm": one.step / units.CM,
        "counted": None if one.counted is None or piece is None else _counted(one, one.counted, piece),
        "why_not": why_not,
        "other_gauges": [
            {
                "repeats": other.repeats,
                "stitches": other.stitches,
                "stitches_per_10_cm": other.stitches_per_10_cm,
            }
            for other in one.gauges
        ],
        "spacers": None
        if spacers is None
        else {
            "after_each_repeat": spacers.spacers,
            "repeats": spacers.repeats,
            "stitches": spacers.stitches,
            "finished_cm": spacers.finished / units.CM,
        },
    }


def _counted(one: Size, known: Counted, piece: WholePiece) -> dict[str, Any]:
    assert one.ease is not None
    assert one.off is not None
    return {
        "repeats": known.repeats,
        "stitches": known.stitches,
        "rib_stitches": known.rib,
        "drawn_in_percent": 100 * known.lost.nominal,
        "finished_cm": known.finished / units.CM,
        "finished_likely_cm": [known.narrowest / units.CM, known.widest / units.CM],
        "ease_percent": 100 * one.ease,
        "off_cm": one.off / units.CM,
        "adjusting": None if known.adjusting is None else _adjusting(known.adjusting),
        "crown": None if known.crown is None else _crown(known.crown, piece),
        "rows_of": {section.kind: len(section.rows) for section in piece.sections},
        "height_cm": piece.height() / units.CM,
        "heights_cm": {section.kind: piece.height(section.kind) / units.CM for section in piece.sections},
        "usual_depth_cm": None if piece.usual_depth is None else piece.usual_depth / units.CM,
        "depth": None if piece.usual_depth is None else verdict(piece.height(), piece.usual_depth),
        "goes_on": known.weakest.answer,
        "weakest_place": known.weakest.name,
        "passes_from_stitches": known.passes_from,
        "places": [_place(place) for place in known.places],
    }


def _adjusting(one: Spread) -> dict[str, Any]:
    return {"before": one.before, "after": one.after, "change": one.change, "words": one.words()}


def _crown(crown: Crown, piece: WholePiece) -> dict[str, Any]:
    first = piece.last.number - crown.rounds[-1].number
    return {
        "wedges": crown.wedges,
        "wedge_stitches": crown.wedge,
        "adjusting": None if crown.first is None else _adjusting(crown.first),
        "rounds": [
            {
                "round": one.number,
                "round_of_piece": first + one.number,
                "stitches": one.after,
                "words": one.words(),
            }
            for one in crown.rounds
        ],
    }


def _place(place: TightPlace) -> dict[str, Any]:
    return {
        "place": place.name,
        "needed_stretch_percent": 100 * place.needed,
        "easy_stretch_percent": 100 * place.easy,
        "most_stretch_percent": 100 * place.most,
        "goes_on": place.answer,
    }


def csv_lines(found: Sizes, pieces: Mapping[str, WholePiece], why_not: Mapping[str, str]) -> list[dict[str, object]]:
    """Return a line a size; empty where no count fits. ``why_not`` as in ``for_programs``."""
    return [_line(one, pieces.get(one.body.name), why_not.get(one.body.name, one.why_not)) for one in found.sizes]


def _line(one: Size, piece: WholePiece | None, why_not: str) -> dict[str, object]:
    known = one.counted
    spelt = known.adjusting.words() if known is not None and known.adjusting is not None else ""
    crown = known.crown if known is not None else None
    return {
        "size": one.body.name,
        "body_cm": _rounded(one.worn_at / units.CM),
        "body_source": one.body.source,
        "wanted_cm": _rounded(one.wanted / units.CM),
        "repeats": known.repeats if known else "",
        "stitches": known.stitches if known else "",
        "rib_stitches": known.rib if known and known.rib is not None else "",
        "crown_wedges": crown.wedges if crown else "",
        "crown_wedge_stitches": crown.wedge if crown else "",
        "drawn_in_percent": _rounded(100 * known.lost.nominal) if known else "",
        "finished_cm": _rounded(known.finished / units.CM) if known else "",
        "finished_least_cm": _rounded(known.narrowest / units.CM) if known else "",
        "finished_most_cm": _rounded(known.widest / units.CM) if known else "",
        "ease_percent": _rounded(100 * one.ease) if one.ease is not None else "",
        "off_cm": _rounded(one.off / units.CM) if one.off is not None else "",
        "weakest_place": known.weakest.name if known else "",
        "goes_on": known.weakest.answer if known else "",
        "adjusting_round": spelt,
        "rounds": len(list(piece.rows)) if piece else "",
        "height_cm": _rounded(piece.height() / units.CM) if piece else "",
        "usual_depth_cm": _rounded(piece.usual_depth / units.CM) if piece and piece.usual_depth is not None else "",
        "why_not": why_not,
    }


def _rounded(number: float) -> float:
    return round(number, 2)
