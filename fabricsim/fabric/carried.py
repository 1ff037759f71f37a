"""The floats of a load case as they are carried; they are counted without loading what solves."""

from __future__ import annotations

from fabricsim.design.floats.found import Closing, Float
from fabricsim.design.floats.of_scene import floats, floats_of_repeat
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.mesh import CLOSING


def whole_floats(scene: Scene, case: Case, slack: float | None = None) -> tuple[Float, ...]:
    """Return the floats of a load case as they are carried, however far."""
    if case == "repeat":
        return floats_of_repeat(scene, slack=slack)
    return floats(scene, slack=slack, closing=closing_of(scene, case))


def closing_of(scene: Scene, case: Case) -> Closing:
    """Return how rows close for their floats: none was carried over the seam of what is worked flat and sewn up."""
    return CLOSING["swatch" if case == "round" and scene.worked == "flat" else case]
