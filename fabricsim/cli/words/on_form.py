"""How a piece sits on whom it is for, to programs."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.words.fabric import rows_said
from fabricsim.fabric.form.wearing import Resting
from fabricsim.study.worn.putting_on import PutOn
from fabricsim.units import CENTINEWTON, CM


def for_programs(put: PutOn) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys; rounds counted from 1, from below: from cast-on of a
    whole piece, whose pattern calls them by their ``name``."""
    way, fit, worn, body = put.way, put.fit, put.worn, put.seat.body
    rows = range(len(way.needed_i))
    names = rows_said(put.off.scene, put.off.mesh)
    measured: list[dict[str, Any]] = [{} for _ in rows]
    if fit is not None:
        measured = [
            {
                "girth_cm": float(fit.girth_i[i]) / CM,
                "stretch_percent": 100.0 * float(fit.stretch_i[i]),
                "pressure_Pa": float(fit.pressure_i[i]),
            }
            for i in rows
        ]
    return {
        "on": put.on,
        "washed": put.washed,
        "body": None if body is None else str(body.name),
        "body_cm": None if body is None else body.middle_cm,
        "goes_on": way.goes_on,
        "first_round": way.first + 1,
        "tightest_round": way.tightest + 1,
        "hangs_loose": put.loose,
        "no_rest_because": put.why_not or None,
        "rounds_from_the_bottom": [
            {
                "round": i + 1,
                "name": names[i],
                "must_pass_cm": float(way.needed_i[i]) / CM,
                "opens_to_cm": float(way.opens_i[i]) / CM,
                **measured[i],
            }
            for i in rows
        ],
        "mean_pressure_Pa": None if fit is None else fit.pressure,
        "floats_taut": None if fit is None else fit.taut,
        "greatest_tension_cN": None if fit is None else fit.greatest / CENTINEWTON,
        "friction_needed": None if worn is None else worn.needs,
        "slick": None if worn is None else {**_end(worn.slick), "answer": worn.hold(worn.slick)},
        "firm": None if worn is None else {**_end(worn.firm), "answer": worn.hold(worn.firm)},
    }


def _end(resting: Resting | None) -> dict[str, Any]:
    if resting is None:
        return {"friction": None, "rides_up_cm": None}
    return {"friction": resting.friction, "rides_up_cm": resting.rides / CM}
