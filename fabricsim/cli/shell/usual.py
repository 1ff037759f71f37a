"""The one usual piece of a scene that is drawn or modelled: as a preview shows it, without the band about it, and as it
lies off its pins."""

from __future__ import annotations

from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.lying import Unpinned, curls_off_pins, unpinned
from fabricsim.study.forecast.forecast import Forecast, forecast


def usual_piece(scene: Scene, load: Load, watch: Watch) -> Forecast:
    """Bring it to rest, looked at as ``load`` says; raises InputError and NoEquilibriumError as ``forecast`` does."""
    return forecast(
        scene,
        load.case,
        slack=load.slack,
        inside_out=load.inside_out,
        even=load.even,
        whole=load.whole,
        band=False,
        stage=watch.stage,
    )


def off_its_pins(rest: Equilibrium, watch: Watch) -> Unpinned | None:
    """Let the edges of what rests pinned flat curl, saying so on the ``watch``; None where none do."""
    return unpinned(rest, watch.stage("off its pins", 0, 1)) if curls_off_pins(rest) else None
