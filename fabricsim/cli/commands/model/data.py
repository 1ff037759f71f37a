"""What ``model`` says to programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fabricsim.fabric.lying import Unpinned
    from fabricsim.render.solid.yarn import SolidBody
    from fabricsim.study.forecast.forecast import Forecast


SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def for_programs(
    path: Path, of: str, found: Forecast, bodies: tuple[SolidBody, ...], data: bytes, loose: Unpinned | None = None
) -> dict[str, Any]:
    """Return what there is to tell of a model, with units; ``loose``: how it lies off its pins, if it is shown so."""
    low = [min(float(body.vertex_vc[:, axis].min()) for body in bodies) for axis in range(3)]
    high = [max(float(body.vertex_vc[:, axis].max()) for body in bodies) for axis in range(3)]
    return {
        "schema_version": SCHEMA_VERSION,
        "file": str(path),
        "of": of,
        "bodies": [body.name for body in bodies],
        "triangles": sum(len(body.triangle_tv) for body in bodies),
        "bytes": len(data),
        "size_m": [round(end - begin, 6) for begin, end in zip(low, high, strict=True)],
        "edges_curled": loose is not None and loose.rest is not None,
        "passes_through_itself": bool(found.measures.crossing),
    }
