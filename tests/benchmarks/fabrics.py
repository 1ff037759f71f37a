"""Fabrics to be timed: lozenges in worsted wool, of any size."""

from __future__ import annotations

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.setup import Fabric, set_up


def lozenges(rows: int, stitches: int) -> list[str]:
    """Return a chart of lozenges 10 stitches wide and 13 rows tall with a hole in each."""
    i, j = np.indices((rows, stitches))
    away = np.abs(i % 13 - 6) / 6.5 + np.abs(j % 10 - 4.5) / 5.0
    return ["".join("x" if one else "." for one in row) for row in (away <= 1.0) & (away > 0.4)]


def fabric(case: Case, rows: int, stitches: int, slack: float) -> Fabric:
    """Return a worsted fabric of lozenges, ready to be relaxed."""
    scene = Scene.model_validate(
        {
            "title": "benchmark",
            "worked": "round" if case == "round" else "flat",
            "chart": {"rows": lozenges(rows, stitches)},
            "yarns": [
                {"symbol": ".", "name": "light", "colour": "#dddddd", "tex": 500},
                {"symbol": "x", "name": "dark", "colour": "#333333", "tex": 500},
            ],
            "gauge": {"stitches": 19, "rows": 25.5},
            "floats": {"slack": slack},
        }
    )
    return set_up(scene, case)
