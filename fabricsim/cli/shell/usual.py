"""The one usual piece of a scene that is drawn or modelled: as a preview shows it, without the band about it."""

from __future__ import annotations

from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
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
