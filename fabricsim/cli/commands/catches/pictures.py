"""The map of the back with its catches."""

from __future__ import annotations

from fabricsim.design.catches.plan import CatchPlan
from fabricsim.design.scene.model import Scene


def picture(scene: Scene, plan: CatchPlan, suffix: str) -> bytes:
    """Return it as a file that ends in ``suffix``."""
    from fabricsim.render.basics.files import figure_pdf, figure_png, figure_svg
    from fabricsim.render.chart.back_map import catch_map

    figure = catch_map(scene, plan)
    if suffix == ".pdf":
        return figure_pdf(figure, scene.title)
    return figure_svg(figure) if suffix == ".svg" else figure_png(figure)
