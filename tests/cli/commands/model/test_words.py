"""What is said of a 3-D file, from bodies that nobody built."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from fabricsim.cli.commands.model.data import for_programs
from fabricsim.cli.commands.model.words import words
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.pins import SEEN_CURLED
from fabricsim.fabric.lying import Unpinned
from fabricsim.render.solid.yarn import SolidBody
from tests.cli.made_up import forecast_of, measures_of, rest_of, scene_of


def body(name: str, low: tuple[float, ...], high: tuple[float, ...]) -> SolidBody:
    """Return a triangle from corner to corner of a box."""
    corners = np.array([low, high, low], dtype=np.float32)
    return SolidBody(name, corners, np.zeros((3, 3)), np.array([[0, 1, 2]]), np.zeros((3, 3), np.uint8))


BODIES = (body("milk", (-0.01, 0.0, -0.001), (0.05, 0.02, 0.0)), body("ink", (0.0, -0.03, 0.0), (0.06, 0.01, 0.002)))


def test_all_that_is_said_of_a_file() -> None:
    rest = rest_of(scene_of())
    found = forecast_of(rest, measures_of(rest))
    said = for_programs(Path("hat.glb"), "yarn", found, BODIES, b" " * 1_234_000)
    assert said == {
        "schema_version": 1,
        "file": "hat.glb",
        "of": "yarn",
        "bodies": ["milk", "ink"],
        "triangles": 2,
        "bytes": 1234000,
        "size_m": [0.07, 0.05, 0.003],
        "edges_curled": False,
        "passes_through_itself": False,
    }
    assert words(found, ".glb", said) == [
        "Made up",
        "Seen as endless repeats, far from any edge and without weight: 12 stitches x 3 rounds.",
        "",
        "Shows      every yarn a body of its own (milk, ink), darker where others shade it",
        "Size       7.0 cm across, 5.0 cm up, 0.3 cm deep",
        "File       2 triangles, 1.2 MB",
        "Units      metres; up is +y, and the face looks towards +z",
    ]
    surface = words(found, ".ply", {**said, "of": "surface", "triangles": 1234567})
    assert surface[3:] == [
        "Shows      one closed sheet, 0.25 cm thick, coloured by stitch on both sides",
        "Size       7.0 cm across, 5.0 cm up, 0.3 cm deep",
        "File       1,234,567 triangles, 1.2 MB",
        "Units      metres; up is +y, and the face looks towards +z",
        "           A program that takes them for millimetres shows it tiny: enlarge it 1000 times there.",
    ]
    loose = Unpinned(rest, 0.14, 0.15, 0.02)
    assert for_programs(Path("hat.glb"), "yarn", found, BODIES, b"", loose)["edges_curled"] is True
    assert for_programs(Path("hat.glb"), "yarn", found, BODIES, b"", replace(loose, rest=None))["edges_curled"] is False
    assert words(found, ".glb", said, loose)[1:4] == [seen_as(rest.scene, rest.mesh), SEEN_CURLED, ""]
    tight = forecast_of(rest, measures_of(rest, crossing=1))
    told = for_programs(Path("hat.glb"), "yarn", tight, BODIES, b"")
    assert told["passes_through_itself"] is True
    assert words(tight, ".glb", told)[-1] == (
        "Beware: so tight, the fabric passes through itself here. Don't trust this shape; try a looser slack."
    )
