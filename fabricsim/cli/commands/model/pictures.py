"""The 3-D file of ``model``."""

from __future__ import annotations

from typing import get_args

from fabricsim.cli.commands.model.options import ModelOptions
from fabricsim.cli.shell.options import one_of
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.usual import off_its_pins, usual_piece
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.lying import Unpinned, as_seen
from fabricsim.render.solid.cloth import cloth_body
from fabricsim.render.solid.yarn import SolidBody, SolidKind, as_bytes, yarn_bodies
from fabricsim.study.forecast.forecast import Forecast


def solid(
    scene: Scene, options: ModelOptions, suffix: str, watch: Watch
) -> tuple[Forecast, Unpinned | None, tuple[SolidBody, ...], bytes]:
    """Bring the fabric to rest, as a preview does, and return it with how it lies off its pins, if it is shown so, its
    bodies and the bytes of their file."""
    kind: SolidKind = one_of("--out", suffix.removeprefix("."), get_args(SolidKind))
    found = usual_piece(scene, options.load, watch)
    loose = off_its_pins(found.equilibrium, watch)
    shown = as_seen(found.equilibrium, loose)
    watch.drawing("3-D model")
    bodies = yarn_bodies(shown, options.detail) if options.of == "yarn" else (cloth_body(shown),)
    return found, loose, bodies, as_bytes(bodies, kind)
