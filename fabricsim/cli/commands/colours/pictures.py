"""The chart in colour, in grey and to colour-blind eyes."""

from __future__ import annotations

from fabricsim.design.scene.model import Scene


def picture(scene: Scene, suffix: str) -> bytes:
    """Return it as a file that ends in ``suffix``."""
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.chart.swatches import in_other_eyes

    return figures_as(suffix, [in_other_eyes(scene)], scene.title)[0]
