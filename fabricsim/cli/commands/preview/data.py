"""What a preview says to a program: every number of the forecast, units in the keys."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from math import exp
from typing import Any

from fabricsim.cli.commands.preview.options import PreviewOptions
from fabricsim.cli.words import knitter as knitter_words
from fabricsim.cli.words.advice import advice
from fabricsim.cli.words.corners import corners_for_programs
from fabricsim.cli.words.crowns import top_for_programs
from fabricsim.cli.words.fabric import row_said
from fabricsim.cli.words.float_keys import float_keys, limits
from fabricsim.cli.words.on_form import for_programs
from fabricsim.cli.words.pucker import PUCKER_WORDS, pucker_word
from fabricsim.cli.words.washed import rest_band, washed_for_programs
from fabricsim.design.floats.faults import FloatFault
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.knitter import LearntFactor
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.corner_line import CornerLine, TurnedOut, corner_line
from fabricsim.fabric.crown import crown_shape
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.lying import Unpinned
from fabricsim.fabric.setup import OVERRIDES
from fabricsim.fabric.shaped_measures import counts, drawn_apart
from fabricsim.fabric.stiffness import OWNERS
from fabricsim.fabric.whole import as_numbered, is_whole
from fabricsim.study.forecast.forecast import Band, Forecast
from fabricsim.study.forecast.waves import LONGEST
from fabricsim.study.hands.prior import EVEN
from fabricsim.study.washed.washing import Washed
from fabricsim.study.worn.putting_on import PutOn
from fabricsim.units import CENTINEWTON, CM, MICROJOULE, MM

SCHEMA_VERSION = 3
"""Raised whenever a key changes its meaning or goes."""


def to_json(
    forecast: Forecast,
    over: Sequence[FloatFault],
    options: PreviewOptions,
    seconds: Mapping[str, float],
    put: PutOn | None = None,
    wash: Washed | None = None,
    turned: TurnedOut | None = None,
    loose: Unpinned | None = None,
) -> str:
    """Return the forecast as JSON text, with what was asked for; ``seconds``: what its parts took."""
    worn: dict[str, Any] = {} if put is None else {"worn": for_programs(put)}
    if wash is not None:
        worn["washed"] = washed_for_programs(wash)
    if loose is not None:
        worn["unpinned"] = None if loose.rest is None else _unpinned(loose)
    told = {**numbers(forecast, over, turned), **worn, "asked": _asked(options), "seconds": dict(seconds)}
    return json.dumps(told, indent=2, allow_nan=False) + "\n"


def _corners(line: CornerLine, rest: Equilibrium, turned: TurnedOut | None) -> dict[str, Any]:
    below = piece_of(rest.scene).rows_below if is_whole(rest.mesh) else 0
    return corners_for_programs(line, int(counts(rest.mesh)[line.row_r[0]]), turned, below)


def _unpinned(loose: Unpinned) -> dict[str, float]:
    return {"width_cm": loose.width / CM, "stands_cm": loose.stands / CM, "edges_curl_cm": loose.depth / CM}


def _asked(options: PreviewOptions) -> dict[str, Any]:
    return {
        "case": options.load.case,
        "slack": options.load.slack,
        "inside_out": options.load.inside_out,
        "even": options.load.even,
        "draft": options.draft,
        "starts": options.starts,
        "width_px": options.width_px,
        "on": options.on,
        "size": options.size,
    }


def numbers(forecast: Forecast, over: Sequence[FloatFault], turned: TurnedOut | None = None) -> dict[str, Any]:
    """Return every number of the forecast, units in the keys."""
    equilibrium, measures = forecast.equilibrium, forecast.measures
    scene, mesh, effort = equilibrium.scene, equilibrium.mesh, equilibrium.effort
    known = bool(forecast.pieces)
    line, top = corner_line(equilibrium), crown_shape(equilibrium)
    row_names = [row_said(scene, mesh, row) for row in range(len(measures.widths.loss_i))] if is_whole(mesh) else []
    widths, pucker, pull = measures.widths, measures.pucker, measures.pull
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "preview",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "case": mesh.case,
        **({"whole": True, "row_names": row_names} if is_whole(mesh) else {}),
        "limits": limits(scene),
        "knitter": knitter_words.for_programs(scene.hands),
        "stitches": mesh.stitches,
        "rows": mesh.rows,
        "draw_in": {
            **_band(forecast.draw_in, 0.01, "percent", known),
            **_band(forecast.draw_in, CM / widths.plain, "cm", known),
            "plain_width_cm": widths.plain / CM,
            "width_cm": widths.width / CM,
            "narrowest_percent": 100.0 * widths.narrowest,
            "narrowest_row": int(widths.loss_i.argmax()) + 1,
        },
        "moves_by_handling": rest_band(widths.width),
        "rows_from_the_bottom": [
            {"row": row, "width_cm": width / CM, "loss_percent": 100.0 * loss}
            for row, (width, loss) in enumerate(zip(widths.width_i.tolist(), widths.loss_i.tolist(), strict=True), 1)
        ],
        "stitches_folded_onto_others": measures.touching,
        "cells_passing_through_others": measures.crossing,
        "height_change_percent": 100.0 * measures.height_change,
        "pucker": {
            **_band(forecast.pucker, MM, "mm", known),
            "rms_mm": pucker.rms / MM,
            "wave_across_cm": None if pucker.wave_across is None else pucker.wave_across / CM,
            "wave_up_cm": None if pucker.wave_up is None else pucker.wave_up / CM,
            "word": pucker_word(pucker.peak_to_valley).word,
            "words": {word.word: word.range_mm for word in PUCKER_WORDS},
        },
        "floats": {
            "count": len(mesh.floats),
            "over_limit": len(over),
            "taut": pull.taut,
            **(
                {"taut_where_shaping_draws_apart": int((drawn_apart(mesh) & pull.taut_f).sum())}
                if is_whole(mesh)
                else {}
            ),
            "pressing_on_the_back": pull.pressing,
            "greatest_tension_cN": pull.greatest / CENTINEWTON,
            "each": _each_float(forecast),
        },
        "waves": _waves(forecast),
        **({} if top is None else {"crown": top_for_programs(top)}),
        **({} if line is None else {"needle_corners": _corners(line, equilibrium, turned)}),
        "starts": _starts(forecast),
        "hands": {
            "slack_within_percent": 100.0 * forecast.hands.all_slack / EVEN,
            "unevenness_percent": 100.0 * forecast.hands.floats,
            "unevenness_of_rows_percent": 100.0 * forecast.hands.rows,
            "unevenness_within_times": exp(forecast.hands.unevenness_log / EVEN),
            "short_mm": forecast.hands.short / MM,
            "short_within_mm": forecast.hands.short_spread / EVEN / MM,
            "stretch_within_times": exp(forecast.hands.stretch / EVEN),
            "bending_within_times": exp(forecast.hands.bending / EVEN),
        },
        "pieces": [
            {
                "slack_more_percent": 100.0 * one.slack,
                "unevenness_percent": 100.0 * one.unevenness,
                "short_mm": one.short / MM,
                "stretch_factor": one.stretch,
                "bending_factor": one.bending,
                "draw_in_percent": None if one.measures is None else 100.0 * one.measures.widths.overall,
                "pucker_mm": None if one.measures is None else one.measures.pucker.peak_to_valley / MM,
                "no_rest_because": one.said or None,
            }
            for one in forecast.pieces
        ],
        "fabric": {
            key: {"value": getattr(equilibrium.stiffness, field) / factor, "owner": _owner(forecast, key, field)}
            for key, (field, factor) in OVERRIDES.items()
        },
        "solver": {
            "status": effort.status.name.lower(),
            "status_text": effort.status.text,
            "steps": effort.steps,
            "factorisations": effort.factorisations,
            "residual_over_force_scale": effort.residual,
            "energy_uJ": effort.energy / MICROJOULE,
            "ramp_parts": effort.ramp_parts,
        },
        "advice": advice(forecast, over),
    }


def _starts(forecast: Forecast) -> dict[str, Any]:
    """Return every way in, which was chosen, and how far they spread."""
    found = forecast.found
    draw_in, pucker = found.spread(lambda m: m.widths.overall), found.spread(lambda m: m.pucker.peak_to_valley)
    return {
        "shown": found.best.name,
        "different_shapes": found.shapes,
        "draw_in_percent_least_and_greatest": [100.0 * value for value in draw_in],
        "pucker_mm_least_and_greatest": [value / MM for value in pucker],
        "each": [
            {
                "start": one.name,
                "energy_uJ": None if one.energy is None else one.energy / MICROJOULE,
                "draw_in_percent": None if one.measures is None else 100.0 * one.measures.widths.overall,
                "pucker_mm": None if one.measures is None else one.measures.pucker.peak_to_valley / MM,
                "no_rest_because": one.said or None,
            }
            for one in found.starts
        ],
    }


def _waves(forecast: Forecast) -> dict[str, Any] | None:
    """Return the wave of several repeats that an endless fabric folds in, and where it begins to pucker; None in other
    cases."""
    mesh, wave, begins = forecast.equilibrium.mesh, forecast.found.wave, forecast.onset
    if mesh.case != "repeat":
        return None
    across, up = forecast.equilibrium.repeats
    return {
        "repeats_across": across,
        "repeats_up": up,
        "length_cm": None if wave is None else wave.length / CM,
        "softness_of_the_flat": None if wave is None else wave.softness,
        "onset_slack_percent": None if begins is None else 100.0 * begins.slack,
        "onset_shift_percent": None if begins is None else 100.0 * begins.shift,
        "onset_wave_cm": None if begins is None or begins.wave is None else begins.wave.length / CM,
        "onset_looked_for": bool(forecast.pieces),
        "longest_looked_for_cm": LONGEST / CM,
    }


def _band(band: Band, unit: float, name: str, known: bool) -> dict[str, float | None]:
    """Return the three values of a band, what is below the solver's precision as nothing; low and high if ``known``."""
    clean = {end: 0.0 if abs(value) < 1e-9 else value / unit for end, value in asdict(band).items()}
    return {f"{end}_{name}": value if known or end == "nominal" else None for end, value in clean.items()}


def _owner(forecast: Forecast, key: str, field: str) -> str:
    scene = forecast.equilibrium.scene
    if getattr(scene.fabric, key) is not None:
        return "the scene"
    return OWNERS[field] + (", times what the knitter's file says" if _learnt(scene, field) else "")


def _learnt(scene: Scene, field: str) -> bool:
    """Return whether a knitter's file changes this field."""
    hands = scene.hands
    if hands is None:
        return False
    learnt = {"stretch": hands.stretch, "shear": hands.stretch, "bend": hands.bending, "twist": hands.bending}
    return {**learnt, "areal": hands.weight}.get(field.split("_")[0], _NOTHING).used != 1.0


_NOTHING = LearntFactor(value=1.0, low=1.0, high=1.0, known="not told")


def _each_float(forecast: Forecast) -> list[dict[str, Any]]:
    """Return every float as it is counted, and what it does at rest."""
    equilibrium, pull = forecast.equilibrium, forecast.measures.pull
    return [
        {
            **float_keys(equilibrium.scene, one),
            "chord_cm": float(equilibrium.chord_f[f]) / CM,
            "tension_cN": float(equilibrium.tension_f[f]) / CENTINEWTON,
            "taut": bool(pull.taut_f[f]),
            "way_cm": float(equilibrium.way_f[f]) / CM,
            "presses_on_stitches": list(equilibrium.pressed[f]) if pull.pressing_f[f] else [],
        }
        for f, one in enumerate(as_numbered(equilibrium))
    ]
