"""What ``model`` says to a person."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fabricsim.cli.words.crowns import said_of_shape
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.pins import pins_said
from fabricsim.lengths import long

if TYPE_CHECKING:
    from fabricsim.fabric.lying import Unpinned
    from fabricsim.study.forecast.forecast import Forecast


def words(found: Forecast, suffix: str, said: dict[str, Any], loose: Unpinned | None = None) -> list[str]:
    """Return what is in the file, line by line; ``said``: the same for programs; ``loose``: how it lies off its
    pins, if it is shown so."""
    scene, mesh = found.equilibrium.scene, found.equilibrium.mesh
    across, up, deep = (long(size) for size in said["size_m"])
    if said["of"] == "yarn":
        what = f"every yarn a body of its own ({', '.join(said['bodies'])}), darker where others shade it"
    else:
        what = f"one closed sheet, {long(mesh.thickness, 2)} thick, coloured by stitch on both sides"
    lines = [
        scene.title,
        seen_as(scene, mesh),
        *said_of_shape(found.equilibrium),
        *pins_said(loose),
        "",
        f"{'Shows':<11}{what}",
        f"{'Size':<11}{across} across, {up} up, {deep} deep",
        f"{'File':<11}{said['triangles']:,} triangles, {said['bytes'] / 1e6:.1f} MB",
        f"{'Units':<11}metres; up is +y, and the face looks towards +z",
    ]
    if suffix != ".glb":
        lines.append(f"{'':<11}A program that takes them for millimetres shows it tiny: enlarge it 1000 times there.")
    if said["passes_through_itself"]:
        lines.append(
            "Beware: so tight, the fabric passes through itself here. Don't trust this shape; try a looser slack."
        )
    return lines
