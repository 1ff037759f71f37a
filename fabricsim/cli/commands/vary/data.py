"""What ``vary`` says to a program and a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fabricsim.design.scene.read import scene_hash
from fabricsim.study.vary.pieces import Outcome, Piece
from fabricsim.study.vary.shares import Shares
from fabricsim.study.vary.summary import QUANTILES, Summary, summary
from fabricsim.study.vary.variation import Variation
from fabricsim.units import CENTINEWTON, CM, MM

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""
OUTPUT_WORDS = {"lost": "draw-in", "width": "finished width", "pucker": "pucker"}


@dataclass(frozen=True)
class Quantity:
    """A quantity as it is told: its ``value`` of an outcome (or a piece) in its unit, to so many ``digits``."""

    label: str
    key: str
    digits: int
    value: Callable[[Piece, Outcome], float]


TOLD = (
    Quantity("narrower, %", "draw_in_percent", 1, lambda piece, one: 100.0 * one.lost),
    Quantity("narrower, cm", "draw_in_cm", 1, lambda piece, one: (one.plain - one.width) / CM),
    Quantity("finished width, cm", "width_cm", 1, lambda piece, one: one.width / CM),
    Quantity("pucker, mm", "pucker_mm", 1, lambda piece, one: one.pucker / MM),
    Quantity("hardest pull, cN", "hardest_pull_cN", 2, lambda piece, one: one.pull / CENTINEWTON),
    Quantity("slack of the tightest float, %", "tightest_slack_percent", 1, lambda piece, one: 100.0 * piece.tightest),
)


def quantities(found: Variation) -> list[tuple[Quantity, float, Summary]]:
    """Return every quantity: with every float alike, and what the pieces came to."""
    written = found.even
    assert written.outcome is not None
    at_rest = [(piece, piece.outcome) for piece in found.pieces if piece.outcome is not None]
    return [(one, one.value(written, written.outcome), summary([one.value(*both) for both in at_rest])) for one in TOLD]


def lines(found: Variation) -> list[dict[str, object]]:
    """Return a line a piece, for a spreadsheet."""
    return [_line(found, number, piece) for number, piece in enumerate(found.pieces, start=1)]


def _line(found: Variation, number: int, piece: Piece) -> dict[str, object]:
    one = piece.outcome
    pulling = found.fabric.floats[one.hardest] if one is not None and one.hardest >= 0 else None
    return {
        "piece": number,
        "at_rest": one is not None,
        **{each.key: None if one is None else each.value(piece, one) for each in TOLD},
        "hardest_pull_row": None if pulling is None else pulling.row + 1,
        "hardest_pull_yarn": None if pulling is None else found.fabric.scene.yarns[pulling.yarn].symbol,
        "taut_floats": None if one is None else one.taut,
        "slack_more_percent": 100.0 * piece.slack,
        "unevenness_percent": 100.0 * piece.unevenness,
        "short_mm": piece.short / MM,
        "loosest_slack_percent": 100.0 * piece.loosest,
        "stitch_width_factor": piece.gauge,
        "stretch_factor": piece.stretch,
        "bending_factor": piece.bending,
        "said": piece.said,
    }


def for_programs(found: Variation) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    scene, hands, asked = found.fabric.scene, found.asked.hands, found.asked
    lost = found.of(lambda one: 100.0 * one.lost)
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "vary",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "case": found.fabric.mesh.case,
        "seed": asked.seed,
        "pieces": len(found.pieces),
        "pieces_at_rest": len(found.outcomes),
        "most_pieces": asked.runs,
        "wanted_error_percent": 100.0 * asked.error,
        "error_percent": lost.error,
        "reached": found.reached,
        "hands": {
            **{f"{name}_percent": 100.0 * hands.of(name) for name in ("slack", "rows", "floats", "gauge")},
            "unevenness_log": hands.unevenness_log,
            "short_mm": hands.short / MM,
            "short_spread_mm": hands.short_spread / MM,
            "stretch_log": hands.stretch,
            "bending_log": hands.bending,
        },
        "quantities": {one.key: _summed(written, came) for one, written, came in quantities(found)},
        "shares": None if found.shares is None else _shared(found.shares),
        "runs": lines(found),
    }


def _summed(written: float, came: Summary) -> dict[str, Any]:
    return {
        "floats_alike": written,
        "mean": came.mean,
        "mean_error": came.error,
        "standard_deviation": came.deviation,
        "quantiles": [
            {"at_percent": 100.0 * share, "value": value, "error": error}
            for share, value, error in zip(QUANTILES, came.quantiles, came.errors, strict=True)
        ],
    }


def _shared(shares: Shares) -> dict[str, Any]:
    return {
        "pairs": shares.samples,
        "pairs_left_out": shares.lost,
        "pieces": shares.pieces,
        "of": [
            {
                "output": OUTPUT_WORDS[output],
                "input": name,
                "alone_percent": 100.0 * float(shares.alone[row, column]),
                "alone_error_percent": 100.0 * float(shares.alone_error[row, column]),
                "in_all_percent": 100.0 * float(shares.whole[row, column]),
                "in_all_error_percent": 100.0 * float(shares.whole_error[row, column]),
            }
            for row, output in enumerate(shares.outputs)
            for column, name in enumerate(shares.inputs)
        ],
    }
