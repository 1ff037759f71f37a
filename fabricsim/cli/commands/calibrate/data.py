"""What ``calibrate`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.words import knitter as knitter_words
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.study.calibrate.learning import Calibration
from fabricsim.units import MM

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(found: Calibration) -> list[dict[str, object]]:
    """Return a line for each measurement, for a spreadsheet."""
    return [
        {
            "key": one.measurement.key,
            "unit": one.measurement.unit,
            "measured": one.measurement.value,
            "uncertain": one.measurement.uncertain,
            "fitted": one.fitted,
            "uncertainties_off": one.off,
        }
        for one in found.fitted
    ]


def for_programs(scene: Scene, found: Calibration) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    prior = found.prior
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "calibrate",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "case": found.case,
        "second_title": found.second,
        "interval_percent": 95,
        "knitter": knitter_words.for_programs(found.knitter),
        "measurements": lines(found),
        "before": {
            "slack_percent": 100.0 * prior.slack,
            "slack_deviation_percent": 100.0 * prior.slack_doubt,
            "unevenness_percent": 100.0 * prior.unevenness,
            "unevenness_deviation_factor": prior.unevenness_doubt,
            "short_mm": prior.short / MM,
            "short_deviation_mm": prior.short_doubt / MM,
            "yarn_deviation_percent": 100.0 * prior.yarns,
            "stiffness_deviation_factor": prior.stiffness,
            "weight_deviation_percent": 100.0 * prior.weight,
            "gauge_deviation_percent": 100.0 * prior.gauge,
        },
        "left_out": list(found.left_out),
        "fabrics_solved": found.solves,
    }
