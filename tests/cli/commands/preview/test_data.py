"""What a preview tells programs, number by number, from forecasts that nobody solved."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from fabricsim.cli.commands.preview.data import numbers, to_json
from fabricsim.cli.commands.preview.options import PreviewOptions
from fabricsim.cli.shell.options import Load
from fabricsim.cli.words.advice import advice
from fabricsim.cli.words.float_keys import float_keys
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack
from fabricsim.design.scene.read import scene_hash
from fabricsim.fabric.stiffness import OWNERS
from fabricsim.study.forecast.starts import Start
from fabricsim.units import CENTINEWTON, CM, MICROJOULE
from tests.cli.made_up import forecast_of, measures_of, pieces_of, rest_of, scene_of
from tests.cli.printed import rounded


def test_every_number_with_its_unit() -> None:
    rest = rest_of(scene_of(-0.05), "swatch")
    floats = len(rest.floats)
    rest = replace(
        rest,
        chord_f=np.full(floats, 1.5 * CM),
        way_f=np.full(floats, 1.6 * CM),
        tension_f=np.arange(floats) * CENTINEWTON,
        pressed=tuple((f, f + 1) for f in range(floats)),
    )
    shown = measures_of(
        rest, lost=0.04, narrowest=(2, 0.07), taller=0.02, pucker_mm=3.5, rms_mm=0.8, waves_cm=(2.5, None), taut=2,
        pull_cN=1.25, pressing=1, touching=3,
    )  # fmt: skip
    others = [
        Start("loose to tight", 30 * MICROJOULE, measures_of(rest, lost=0.05, pucker_mm=2.0)),
        Start("random", said="it crumples"),
    ]
    found = forecast_of(rest, shown, pieces_of(rest, (0.06, 5.0), (0.07, 4.0), (0.01, 0.5), None), others)
    over = faults(rest.floats, replace(rest.scene.limits, longest_gap=0))[:3]
    told = numbers(found, over)
    assert told.pop("scene_hash") == scene_hash(rest.scene)
    assert told.pop("advice") == advice(found, over)
    each = told["floats"].pop("each")
    assert each[0] == {
        **float_keys(rest.scene, rest.floats[0]),
        "chord_cm": pytest.approx(1.5),
        "tension_cN": 0.0,
        "taut": True,
        "way_cm": pytest.approx(1.6),
        "presses_on_stitches": [0, 1],
    }
    assert [(one["tension_cN"], one["taut"], one["presses_on_stitches"]) for one in each[1:3]] == [
        (pytest.approx(1.0), True, []), (pytest.approx(2.0), False, []),
    ]  # fmt: skip
    fabric = told.pop("fabric")
    assert {one["owner"] for one in fabric.values()} <= set(OWNERS.values())
    assert rounded({key: one["value"] for key, one in fabric.items()}) == {
        "thickness_mm": 2.45167,
        "areal_mass_g_per_m2": 568.125,
        "stretch_across_N_per_m": 17.6394,
        "stretch_up_N_per_m": 35.2789,
        "shear_N_per_m": 26.4591,
        "poisson_across": 0.66,
        "bending_across_uNm": 41.383,
        "bending_up_uNm": 53.7978,
        "twist_uNm": 47.1838,
        "lock_strain_across": 0.36,
        "lock_strain_up": 0.21,
        "lock_ratio": 10.0,
        "jam_strain": 0.2,
        "jam_ratio": 10.0,
        "float_ratio": 100.0,
        "edge_curl_across_per_m": 0.0,
        "edge_curl_up_per_m": 0.0,
    }
    assert told.pop("solver")["energy_uJ"] == pytest.approx(10.0)
    assert rounded(told) == {
        "schema_version": 3,
        "command": "preview",
        "title": "Made up",
        "worked": "round",
        "case": "swatch",
        "limits": {"longest_gap_stitches": 5, "longest_gap_cm": 2.5},
        "knitter": None,
        "stitches": 12,
        "rows": 3,
        "draw_in": {
            "low_percent": 1.0,
            "nominal_percent": 4.0,
            "high_percent": 7.0,
            "low_cm": 0.06,
            "nominal_cm": 0.24,
            "high_cm": 0.42,
            "plain_width_cm": 6.0,
            "width_cm": 5.76,
            "narrowest_percent": 7.0,
            "narrowest_row": 2,
        },
        "moves_by_handling": pytest.approx({"percent": 6.0, "low_cm": 5.4144, "high_cm": 6.1056}),
        "rows_from_the_bottom": [
            {"row": 1, "width_cm": 5.76, "loss_percent": 4.0},
            {"row": 2, "width_cm": 5.58, "loss_percent": 7.0},
            {"row": 3, "width_cm": 5.76, "loss_percent": 4.0},
        ],
        "stitches_folded_onto_others": 3,
        "cells_passing_through_others": 0,
        "height_change_percent": 2.0,
        "pucker": {
            "low_mm": 0.5,
            "nominal_mm": 3.5,
            "high_mm": 5.0,
            "rms_mm": 0.8,
            "wave_across_cm": 2.5,
            "wave_up_cm": None,
            "word": "puckered",
            "words": {
                "flat": "under 1 mm",
                "faintly rippled": "1 to 3 mm",
                "puckered": "3 to 8 mm",
                "deeply puckered": "8 mm and more",
            },
        },
        "floats": {"count": 7, "over_limit": 3, "taut": 2, "pressing_on_the_back": 1, "greatest_tension_cN": 1.25},
        "waves": None,
        "starts": {
            "shown": "plain fabric",
            "different_shapes": 2,
            "draw_in_percent_least_and_greatest": [4.0, 5.0],
            "pucker_mm_least_and_greatest": [2.0, 3.5],
            "each": [
                {
                    "start": "plain fabric",
                    "energy_uJ": 10.0,
                    "draw_in_percent": 4.0,
                    "pucker_mm": 3.5,
                    "no_rest_because": None,
                },
                {
                    "start": "loose to tight",
                    "energy_uJ": 30.0,
                    "draw_in_percent": 5.0,
                    "pucker_mm": 2.0,
                    "no_rest_because": None,
                },
                {
                    "start": "random",
                    "energy_uJ": None,
                    "draw_in_percent": None,
                    "pucker_mm": None,
                    "no_rest_because": "it crumples",
                },
            ],
        },
        "hands": {
            "slack_within_percent": 3.0,
            "unevenness_percent": 3.0,
            "unevenness_of_rows_percent": 1.5,
            "unevenness_within_times": 1.6,
            "short_mm": 0.45,
            "short_within_mm": 0.25,
            "stretch_within_times": 2.0,
            "bending_within_times": 2.0,
        },
        "pieces": [
            *(
                {
                    "slack_more_percent": -2.0,
                    "unevenness_percent": 2.0,
                    "short_mm": 0.3,
                    "stretch_factor": 1.0,
                    "bending_factor": 2.0,
                    "draw_in_percent": draw_in,
                    "pucker_mm": pucker,
                    "no_rest_because": None,
                }
                for draw_in, pucker in ((6.0, 5.0), (7.0, 4.0), (1.0, 0.5))
            ),
            {
                "slack_more_percent": 1.0,
                "unevenness_percent": 3.0,
                "short_mm": 0.45,
                "stretch_factor": 1.25,
                "bending_factor": 0.8,
                "draw_in_percent": None,
                "pucker_mm": None,
                "no_rest_because": "no rest",
            },
        ],
    }


def test_of_a_draft_no_ends_are_known_and_round_off_is_nothing() -> None:
    rest = rest_of(scene_of(0.05))
    told = numbers(forecast_of(rest, measures_of(rest, lost=-1e-12)), [])
    assert rounded(told["draw_in"]) == {
        "low_percent": None,
        "nominal_percent": 0.0,
        "high_percent": None,
        "low_cm": None,
        "nominal_cm": 0.0,
        "high_cm": None,
        "plain_width_cm": 6.0,
        "width_cm": 6.0,
        "narrowest_percent": -1e-10,
        "narrowest_row": 1,
    }
    assert told["pucker"] == {
        "low_mm": None,
        "nominal_mm": 0.0,
        "high_mm": None,
        "rms_mm": 0.0,
        "wave_across_cm": None,
        "wave_up_cm": None,
        "word": "flat",
        "words": {
            "flat": "under 1 mm",
            "faintly rippled": "1 to 3 mm",
            "puckered": "3 to 8 mm",
            "deeply puckered": "8 mm and more",
        },
    }


def test_who_owns_each_number_of_the_fabric() -> None:
    rest = rest_of(scene_of(0.0, fabric={"areal_mass_g_per_m2": 250.0}))
    told = numbers(forecast_of(rest, measures_of(rest)), [])["fabric"]
    assert told["areal_mass_g_per_m2"] == {"value": pytest.approx(250.0), "owner": "the scene"}
    once, twice = (LearntFactor(value=value, low=1.0, high=3.0, known="measured") for value in (1.0, 2.0))
    slack = LearntSlack(value=0.0, low=-0.1, high=0.1, known="measured")
    scene = scene_of(0.0)
    scene._hands = Knitter(slack=slack, stretch=twice, bending=once, bending_against_stretch=1.0, weight=once)
    learnt = rest_of(scene)
    owners = {key: one["owner"] for key, one in numbers(forecast_of(learnt, measures_of(learnt)), [])["fabric"].items()}
    times = ", times what the knitter's file says"
    assert sorted(key for key, owner in owners.items() if owner.endswith(times)) == [
        "shear_N_per_m",
        "stretch_across_N_per_m",
        "stretch_up_N_per_m",
    ]


def test_as_text_with_what_was_asked_for() -> None:
    rest = rest_of(scene_of(0.05))
    found = forecast_of(rest, measures_of(rest))
    options = PreviewOptions(Load("repeat", 0.05, None), True, 3, 700)
    text = to_json(found, [], options, {"solve_s": 1.5})
    told = json.loads(text)
    assert told.pop("seconds") == {"solve_s": 1.5}
    assert told.pop("asked") == {
        "case": "repeat", "slack": 0.05, "inside_out": None, "even": False, "draft": True, "starts": 3, "width_px": 700,
        "on": None, "size": None,
    }  # fmt: skip
    assert told == json.loads(json.dumps(numbers(found, [])))
    assert text.startswith('{\n  "schema_version": 3,\n')
    assert text.endswith("}\n")
