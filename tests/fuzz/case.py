"""The scene of a seed, the files beside it, and what is asked about them."""

from __future__ import annotations

import copy
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from fabricsim.design.scene.choices import STITCH_LIMIT
from tests.fuzz.fitting import Files, Table, changed
from tests.fuzz.questions import MEASURED, SCENE, STUDY, Words, questions
from tests.fuzz.spoiling import spoil_bytes, spoil_text, spoil_values
from tests.fuzz.toml_text import toml_text

SCENES = Path(__file__).parents[2] / "scenes"
SPOILT = 0.5
"""How many cases are spoilt."""


@dataclass(frozen=True)
class Case:
    """The ``files`` of a folder, by name, and the ``questions`` about them: words of command lines, in their turn."""

    files: Files
    questions: tuple[Words, ...]


def case_of(seed: int) -> Case:
    """Return the case of a ``seed``: a demo scene, changed as scenes may be, and half of the time spoilt."""
    rng = Random(seed)
    scene, files = copy.deepcopy(_demos()[rng.choice(sorted(_demos()))])
    changed(rng, scene, files, rng.choice((0, 1, 2, 4, 8)))
    if scene["chart"].get("image") != "chart.png":
        files.pop("chart.png", None)  # a picture that the scene no longer reads may be written over by another
    if rng.random() < 0.05:
        files[MEASURED] = toml_text(_measured(rng, scene)).encode()
    if rng.random() < 0.05:
        files[STUDY] = toml_text(_study(rng)).encode()
    files[SCENE] = toml_text(scene).encode()
    if rng.random() < SPOILT:
        victim = rng.choice((SCENE, *sorted(files)))
        files[victim] = _spoilt(rng, victim, files[victim])
    return Case(files, tuple(questions(rng, sorted(files))))


@cache
def _demos() -> dict[str, tuple[Table, Files]]:
    """Return the demo scenes by name, each with the pictures that it names."""
    pictures = {path.name: path.read_bytes() for path in SCENES.glob("*.png")}
    found = {}
    for path in SCENES.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        found[path.stem] = (tomllib.loads(text), {name: data for name, data in pictures.items() if name in text})
    return found


def _measured(rng: Random, scene: Table) -> Table:
    """Return what may have been measured on a swatch."""
    symbol = rng.choice(scene["yarns"])["symbol"]
    return {
        "plain": {"stitches": 20, "width_cm": 9.5, "rows": 20, "height_cm": 7.0},
        "colourwork": {"stitches": 24, "width_cm": 11.0, "pucker_mm": rng.choice((0, 3.5, 200))},
        "stretched": {"section": "plain", "stitches": 24, "width_cm": 13.0, "grams": 200, "strip_cm": 8},
        "weighed": {"grams": rng.choice((0.01, 14, 100_000))},
        "floats": [{"gap": 5, "yarn_cm": rng.choice((0.1, 3.0, 1000)), "yarn": symbol}],
    }


def _study(rng: Random) -> Table:
    """Return the settings of a comparison."""
    return {
        "scenes": [SCENE] * rng.choice((1, 2)),
        "case": rng.sample(["repeat", "swatch", "round"], 2),
        "gauge": rng.choice((["19x25.5", 1.1], 0.1, "10:12:1")),
        "slack": rng.choice(("-0.1:0.1:0.05", [-0.05, 0.0], 1, "0:1:1e-9")),
        "catches": rng.sample(["scene", "none", "planned"], 2),
        "longest_gap": rng.choice(([3, 5], 0, "1:1000000:1")),
        "slack_by_yarn": {rng.choice(".bwx"): [0.0, 0.05]},
    }


def _spoilt(rng: Random, name: str, data: bytes) -> bytes:
    """Return a file spoilt: one in TOML in its values or in its text, another in its bytes."""
    if not name.endswith(".toml"):
        return spoil_bytes(rng, data)
    if rng.random() < 0.25:
        return spoil_text(rng, data.decode())
    table = tomllib.loads(data.decode())
    spoil_values(rng, table, rng.choice((1, 1, 2, 5)))
    _within_memory(table)
    return toml_text(table).encode("utf-8", "replace")


def _within_memory(scene: Any) -> None:
    """Leave out a limit above the usual one: who raises it has been told what memory that takes."""
    simulation = scene.get("simulation")
    limit = simulation.get("stitch_limit") if isinstance(simulation, dict) else None
    if isinstance(limit, int) and limit > STITCH_LIMIT:
        del simulation["stitch_limit"]
