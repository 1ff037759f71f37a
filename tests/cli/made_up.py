"""Forecasts that nobody solved: what people are told is tested from them, number by number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, Pucker, Pull, Widths
from fabricsim.fabric.relax import relax
from fabricsim.fabric.setup import set_up
from fabricsim.study.forecast.forecast import Forecast, KnitPiece
from fabricsim.study.forecast.starts import Found, Start
from fabricsim.study.hands.prior import Hands, hands_of
from fabricsim.units import CENTINEWTON, CM, MICROJOULE, MM


class Told(Page):
    """A page that nobody reads: what was said and the tables by their titles."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.tables: dict[str, Table] = {}

    def say(self, text: str, *, bold: bool = False, wrap: bool = False) -> None:
        self.said.append(text)

    def table(self, table: Table) -> None:
        self.tables[table.title] = table


CHART = ["o....." * 2, ".ooo.." * 2, "......" * 2]
"""Two rows with floats and one without, twelve stitches to the repeat, row 1 at the bottom."""


def scene_of(slack: float = -0.05, rows: Sequence[str] = CHART, **more: object) -> Scene:
    """Return a scene of 10 x 10 stitches to 5 cm, so that 12 stitches are 6 cm; ``more``: its other tables."""
    floats = {"slack": slack, **more.pop("floats", {})}  # type: ignore[call-overload]
    return Scene.model_validate(
        {
            "title": "Made up",
            "worked": "round",
            "chart": {"rows": list(rows), **more.pop("chart", {})},  # type: ignore[call-overload]
            "yarns": [
                {"symbol": ".", "name": "milk", "colour": "#eeeae0", "tex": 500},
                {"symbol": "o", "name": "ink", "colour": "#1d2b4f", "tex": 500},
            ],
            "gauge": {"stitches": 20, "rows": 20},
            "floats": floats,
            **more,
        }
    )


def rest_of(
    scene: Scene, case: Case = "repeat", *, slack: float | None = None, inside_out: bool = False
) -> Equilibrium:
    """Return the fabric of a scene, its floats as slack as it says, lying as plain fabric does."""
    fabric = set_up(scene, case, slack=slack, inside_out=inside_out)
    plain = relax(scene, case, slack=0.5)  # nothing pulls, so there is nothing to solve
    return replace(plain, mesh=fabric.mesh, floats=fabric.floats)


def measures_of(
    rest: Equilibrium,
    *,
    lost: float = 0.0,
    narrowest: tuple[int, float] | None = None,
    taller: float = 0.0,
    pucker_mm: float = 0.0,
    rms_mm: float = 0.0,
    waves_cm: tuple[float | None, float | None] = (None, None),
    taut: int = 0,
    pull_cN: float = 0.0,
    spare: float = 0.0,
    pressing: int = 0,
    touching: int = 0,
    crossing: int = 0,
) -> Measures:
    """Return measures of it: every row ``lost`` that share of its width, but the ``narrowest`` (row from 1, share)."""
    mesh, floats = rest.mesh, len(rest.mesh.floats)
    plain_i = np.full(mesh.rows, mesh.stitches * mesh.stitch_width)
    loss_i = np.full(mesh.rows, lost)
    if narrowest is not None:
        loss_i[narrowest[0] - 1] = narrowest[1]
    wave_across, wave_up = (None if one is None else one * CM for one in waves_cm)
    return Measures(
        widths=Widths(plain_i, plain_i * (1.0 - loss_i), loss_i, lost, float(loss_i.max())),
        height_change=taller,
        pucker=Pucker(np.zeros(len(mesh.rest_nc)), rms_mm * MM, pucker_mm * MM, wave_across, wave_up),
        pull=Pull(
            np.arange(floats) < taut, pull_cN * CENTINEWTON, np.full(floats, spare), np.arange(floats) < pressing
        ),
        touching=touching,
        crossing=crossing,
    )


def forecast_of(
    rest: Equilibrium,
    measures: Measures,
    pieces: Sequence[KnitPiece] = (),
    others: Sequence[Start] = (),
    *,
    energy_uJ: float = 10.0,
    hands: Hands | None = None,
) -> Forecast:
    """Return the forecast that shows these ``measures``, with the ``pieces`` of its band; ``others``: ways in beside
    the first; ``hands``: those that the scene speaks of, unless others are given."""
    rest = replace(rest, effort=replace(rest.effort, energy=energy_uJ * MICROJOULE))
    first = Start("plain fabric", energy_uJ * MICROJOULE, measures)
    found = Found((first, *others), 0, rest)
    return Forecast(found, rest, 0.0, measures, tuple(pieces), hands or hands_of(rest.scene))


def pieces_of(rest: Equilibrium, *lost_and_pucker_mm: tuple[float, float] | None) -> tuple[KnitPiece, ...]:
    """Return the pieces of a band: what is lost and how far each puckers, None where there is no rest. Of fewer than 19
    "likely" is from the least to the greatest."""
    return tuple(
        KnitPiece(0.01, 0.03, 0.45 * MM, 1.25, 0.8, None, "no rest")
        if came is None
        else KnitPiece(-0.02, 0.02, 0.3 * MM, 1.0, 2.0, measures_of(rest, lost=came[0], pucker_mm=came[1]))
        for came in lost_and_pucker_mm
    )
