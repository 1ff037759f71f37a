"""Random scenes: charts of one to four yarns, gauges from the finest to the bulkiest, tight and loose floats."""

from __future__ import annotations

from typing import Any

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene

CASES: tuple[Case, ...] = ("repeat", "swatch", "round")
FINEST, BULKIEST = 39.4, 5.0
"""Stitches to 10 cm. The Craft Yarn Council's Standard Yarn Weight System goes from 40 to 4 inches (lace) down to 6 and
fewer (jumbo, memory)."""
TIGHTEST, LOOSEST = -0.25, 0.40
SYMBOLS = ".xo+"


def random_scene(seed: int) -> tuple[Scene, Case]:
    """Return the random scene of a ``seed``, and the case that it is to be brought to rest in."""
    rng = np.random.default_rng(seed)
    case = CASES[int(rng.integers(3))]
    yarns = int(rng.integers(1, 5))
    rows, stitches = int(rng.integers(3, 21)), int(rng.integers(4, 25))
    gauge = float(np.exp(rng.uniform(np.log(BULKIEST), np.log(FINEST))))
    plain = [int(rng.integers(0, 3)) for _ in range(2)]
    across = int(rng.integers(2, 5)) if case == "round" else int(rng.integers(1, 3))
    printed = _chart(rng, rows, stitches, yarns)
    chart: dict[str, Any] = {
        "rows": printed,
        "across": across,
        "plain_below": plain[0],
        "plain_above": plain[1],
    }
    floats: dict[str, Any] = {"slack": round(float(rng.uniform(TIGHTEST, LOOSEST)), 3)}
    if rng.random() < 0.3:
        stranded = [row for row, line in enumerate(reversed(printed), 1) if len(set(line)) > 1]
        squares = {(row, int(rng.integers(1, stitches + 1))) for row in stranded for _ in range(2)}
        floats["catches"] = [{"row": row, "stitch": stitch} for row, stitch in sorted(squares)]
    if yarns > 1 and rng.random() < 0.5:
        floats["slack_by_yarn"] = {SYMBOLS[k]: round(float(rng.uniform(TIGHTEST, LOOSEST)), 3) for k in range(yarns)}
    scene = Scene.model_validate(
        {
            "title": f"random {seed}",
            "worked": "round" if case == "round" else "flat",
            "chart": chart,
            "yarns": [
                {"symbol": SYMBOLS[k], "name": f"yarn {k}", "colour": f"#{60 * k:02x}8080", "tex": _tex(rng, gauge)}
                for k in range(yarns)
            ],
            "gauge": {"stitches": round(gauge, 1), "rows": round(gauge * float(rng.uniform(1.2, 1.5)), 1)},
            "floats": floats,
        }
    )
    return scene, case


def _chart(rng: np.random.Generator, rows: int, stitches: int, yarns: int) -> list[str]:
    """Return a chart: speckles, stripes up, or blobs, so that gaps of all lengths come about."""
    kind = int(rng.integers(3))
    if kind == 0:
        number_ij = rng.integers(0, yarns, (rows, stitches))
    elif kind == 1:
        number_ij = np.broadcast_to(rng.integers(0, yarns, stitches), (rows, stitches))
    else:
        i, j = np.indices((rows, stitches))
        wave = np.sin(2 * np.pi * (i / rows + rng.random())) + np.sin(2 * np.pi * (j / stitches + rng.random()))
        number_ij = np.clip(((wave + 2.0) / 4.0 * yarns).astype(int), 0, yarns - 1)
    chart = number_ij.copy()
    chart[0, :yarns] = np.arange(yarns)  # every yarn is in it somewhere
    return ["".join(SYMBOLS[k] for k in row) for row in chart]


def _tex(rng: np.random.Generator, gauge: float) -> float:
    """Return a yarn fit for the gauge: 500 tex at 19 stitches, thicker as the square of the stitch width (chosen)."""
    return round(500.0 * (19.0 / gauge) ** 2 * float(rng.uniform(0.8, 1.25)), 1)
