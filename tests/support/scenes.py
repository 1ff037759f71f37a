"""Small scenes and the fabrics made of them, or of any mesh."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.design.scene.model import Scene
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.stiffness import Stiffness
from tests.support.meshes import GAUGE, WORSTED

COLOURS = {".": "#dddddd", "#": "#333333", "o": "#883322"}


def scene_of(rows: Sequence[str], slack: float = 0.0, *, worked: str = "round", **more: object) -> Scene:
    """Return a scene of the chart drawn (row 1 at the bottom) in worsted yarns; ``more`` are its other tables."""
    floats = more.pop("floats", {})
    chart = more.pop("chart", {})
    assert isinstance(floats, dict)
    assert isinstance(chart, dict)
    used = [symbol for symbol in COLOURS if any(symbol in row for row in rows)]
    return Scene.model_validate(
        {
            "title": "small",
            "worked": worked,
            "chart": {"rows": list(rows), **chart},
            "yarns": [{"symbol": s, "name": s, "colour": COLOURS[s], "tex": GAUGE[2]} for s in used],
            "gauge": {"stitches": GAUGE[0], "rows": GAUGE[1]},
            "floats": {"slack": slack, **floats},
            **more,
        }
    )


def fabric_of(mesh: Mesh, stiffness: Stiffness = WORSTED) -> Fabric:
    """Return a fabric of any mesh, such as no scene can describe; its scene is only there to be named."""
    return Fabric(scene_of(["." * 6] * 2), (), mesh, stiffness, "test")
