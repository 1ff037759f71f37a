"""The 3-D file of ``model``."""

from __future__ import annotations

from typing import get_args

from fabricsim.cli.commands.model.options import ModelOptions
from fabricsim.cli.shell.options import one_of
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.shell.usual import usual_piece
from fabricsim.design.scene.model import Scene
from fabricsim.render.solid.cloth import cloth_body
from fabricsim.render.solid.yarn import SolidBody, SolidKind, as_bytes, yarn_bodies
from fabricsim.study.forecast.forecast import Forecast


def solid(
    scene: Scene, options: ModelOptions, suffix: str, watch: Watch
) -> tuple[Forecast, tuple[SolidBody, ...], bytes]:
    """Bring the fabric to rest, as a preview does, and return it with its bodies and the bytes of their file."""
    kind: SolidKind = one_of("--out", suffix.removeprefix("."), get_args(SolidKind))
    found = usual_piece(scene, options.load, watch)
    watch.drawing("3-D model")
    bodies = (
        yarn_bodies(found.equilibrium, options.detail) if options.of == "yarn" else (cloth_body(found.equilibrium),)
    )
    return found, bodies, as_bytes(bodies, kind)
