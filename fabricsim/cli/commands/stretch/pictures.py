"""The picture of ``stretch``: pull against stretch, both ways."""

from __future__ import annotations

from fabricsim.design.scene.model import Scene
from fabricsim.study.stretch.stretching import Stretching

LEAST_LOAD, MOST_LOAD = 0.1, 50.0
"""N/m that can be asked for: half a gram to half a pound on a strip of 5 cm (chosen)."""


def picture(scene: Scene, found: Stretching, suffix: str) -> bytes:
    """Return the two curves as a file that ends in ``suffix``."""
    import numpy as np

    from fabricsim.fabric.stretching import STRIP
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.stretch import Pulled, stretch_curves

    most = max(found.loads)
    load_p = np.linspace(0.0, most, 401)
    ways = []
    for along, way in found.ways.items():
        ranges = [way.at(load) for load in load_p]
        ends = [[getattr(one, end) for one in ranges] for end in ("low", "nominal", "high")]
        low_p, stretch_p, high_p = (np.array([np.nan if v is None else v for v in end], dtype=float) for end in ends)
        from_p = way.curve.first_taut
        shown = from_p is not None and 0.0 < from_p <= stretch_p[-1]
        taut = (from_p, float(np.interp(from_p, stretch_p, load_p))) if from_p is not None and shown else None
        banded, floating = bool(way.others), way.curve.floats > 0
        ways.append(
            Pulled(
                title=f"pulled {along}",
                load_p=load_p,
                stretch_p=stretch_p,
                plain_p=np.array([way.plain.at(load) for load in load_p]) if floating else None,
                low_p=low_p if banded else None,
                high_p=high_p if banded else None,
                first_taut=taut,
            )
        )
    return figures_as(suffix, [stretch_curves(ways, STRIP, f"{scene.title}: stretch")], scene.title)[0]
