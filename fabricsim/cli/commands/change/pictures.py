"""Face and back of a scene as it is and of every way to change it, side by side."""

from __future__ import annotations

from fabricsim.cli.commands.change.words import result_said
from fabricsim.study.change.found_ways import Changing


def picture(found: Changing) -> bytes:
    """Return it as a PNG, all at one scale."""
    from fabricsim.render.basics.files import page_png
    from fabricsim.render.handouts.multiples import Shown, multiples_page

    shown = [Shown(found.now.forecast.equilibrium, "as it is", result_said(found.now))]
    for number, way in enumerate(found.ways, start=1):
        if way.tried is not None:
            shown.append(Shown(way.tried.forecast.equilibrium, f"way {number}", result_said(way.tried)))
    return page_png(multiples_page(shown, found.scene.title, columns=min(2, len(shown))))
