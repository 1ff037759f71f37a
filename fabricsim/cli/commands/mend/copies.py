"""A copy of a scene with its chart mended."""

from __future__ import annotations

from fabricsim.design.counted.chart_in_text import printed_rows, text_with_chart
from fabricsim.design.counted.mending import Mending
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.opened import read_text
from fabricsim.errors import InputError


def copy_with(scene: Scene, found: Mending) -> str:
    """Return the scene's own text with the mended chart in it, drawn as rows."""
    source = scene.source
    assert source is not None  # every scene of a command was read from a file
    changed = text_with_chart(read_text(source, str(source)), printed_rows(found.after, scene.symbols))
    if changed is None:
        raise InputError(
            f"{source}: chart",
            "written in a way in which it can't be changed without touching the rest",
            "a line [chart] and its keys below, one a line",
            "write it so, and ask again",
        )
    return changed
