"""Small scenes for tests."""

from __future__ import annotations

from typing import Any

import numpy as np

from fabricsim.design.scene.model import Scene

YARNS = (
    {"symbol": ".", "name": "oat", "colour": "#ffffff", "tex": 500},
    {"symbol": "A", "name": "pine", "colour": "#004000", "metres_per_100_g": 200},
)


def scene(
    rows: list[str] | None = None,
    *,
    worked: str = "round",
    yarns: Any = YARNS,
    floats: Any = None,
    **chart: Any,
) -> Scene:
    """Return a worsted scene of these chart ``rows`` (as printed), with the chart's other keys."""
    return Scene.model_validate(scene_table(rows, worked=worked, yarns=yarns, floats=floats, **chart))


def scene_table(
    rows: list[str] | None = None,
    *,
    worked: str = "round",
    yarns: Any = YARNS,
    floats: Any = None,
    **chart: Any,
) -> dict[str, Any]:
    """Return the same as the tables of a scene file."""
    return {
        "title": "a test",
        "worked": worked,
        "chart": {"rows": rows, **chart} if rows is not None else chart,
        "yarns": list(yarns),
        "gauge": {"stitches": 19, "rows": 25.5},
        "floats": floats or {},
    }


def everything_at(caught_ij: np.ndarray, yarns: int) -> dict[tuple[int, int], frozenset[int]]:
    """Return catches that hold whatever passes behind the stitches marked in ``(rows, stitches) bool``."""
    return {(int(row), int(column)): frozenset(range(yarns)) for row, column in np.argwhere(caught_ij)}
