"""``fabricsim model``: the fabric at rest as a 3-D file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, get_args

import typer

from fabricsim.cli.shell.answer import JsonOption, print_json
from fabricsim.cli.shell.options import (
    CaseOption,
    InsideOutOption,
    Load,
    SceneArgument,
    SlackOption,
    load_of,
    one_of,
    open_scene,
)
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.counts import count, row_word
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.units import CM

if TYPE_CHECKING:
    from fabricsim.render.solid.yarn import SolidBody
    from fabricsim.study.forecast.forecast import Forecast

Of = Literal["yarn", "surface"]
SUFFIXES = (".glb", ".ply", ".obj")


def model(
    scene: SceneArgument = None,
    of: Annotated[
        str, typer.Option("--of", help="yarn (every strand) or surface (a smooth closed sheet, coloured by stitch).")
    ] = "yarn",
    case: CaseOption = None,
    out: Annotated[
        Path | None,
        typer.Option(help="File ending in .glb, .ply or .obj; by default model/ and the scene's name, as GLB."),
    ] = None,
    slack: SlackOption = None,
    inside_out: InsideOutOption = None,
    detail: Annotated[
        str | None,
        typer.Option(help="Of yarn: fine, medium or coarse; by default the finest that keeps the file handy."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Write the fabric of SCENE at rest as a 3-D file, in metres."""
    read = open_scene(scene)
    load = load_of(read, case, slack, inside_out)
    path = out or Path("model") / f"{scene.stem if scene is not None else 'demo'}.glb"
    suffix = suffix_of(path, SUFFIXES)
    which: Of = one_of("--of", of, get_args(Of))
    if detail is not None and which == "surface":
        raise InputError("--detail", "with --of surface", "with --of yarn only", "leave one of them out")
    with file_for_output(path):
        found, bodies, data = _make(read, load, which, detail, suffix)
        write_bytes_atomically(path, data)
    said = _numbers(found, bodies, data)
    if json:
        print_json({"schema_version": 1, "file": str(path), "of": which, **said})
        return
    page = Page()
    for line in [*_words(found, which, suffix, said), "", f"The 3-D model is in {path}"]:
        page.say(line)


def _make(
    scene: Scene, load: Load, which: Of, detail: str | None, suffix: str
) -> tuple[Forecast, tuple[SolidBody, ...], bytes]:
    """Bring the fabric to rest, as a preview does, and return it with its bodies and the bytes of their file."""
    from fabricsim.render.solid.cloth import cloth_body
    from fabricsim.render.solid.yarn import Detail, SolidKind, as_bytes, yarn_bodies
    from fabricsim.study.forecast.forecast import forecast

    how: Detail | None = None if detail is None else one_of("--detail", detail, get_args(Detail))
    kind: SolidKind = one_of("--out", suffix.removeprefix("."), get_args(SolidKind))
    with Watch() as watch:
        found = forecast(scene, load.case, slack=load.slack, inside_out=load.inside_out, band=False, stage=watch.stage)
        watch.drawing("3-D model")
        bodies = yarn_bodies(found.equilibrium, how) if which == "yarn" else (cloth_body(found.equilibrium),)
        return found, bodies, as_bytes(bodies, kind)


def _numbers(found: Forecast, bodies: tuple[SolidBody, ...], data: bytes) -> dict[str, Any]:
    """Return what there is to tell of a model, with units."""
    low = [min(float(body.vertex_vc[:, axis].min()) for body in bodies) for axis in range(3)]
    high = [max(float(body.vertex_vc[:, axis].max()) for body in bodies) for axis in range(3)]
    return {
        "bodies": [body.name for body in bodies],
        "triangles": sum(len(body.triangle_tv) for body in bodies),
        "bytes": len(data),
        "size_m": [round(end - begin, 6) for begin, end in zip(low, high, strict=True)],
        "passes_through_itself": bool(found.measures.crossing),
    }


def _words(found: Forecast, which: Of, suffix: str, said: dict[str, Any]) -> list[str]:
    from fabricsim.cli.words.fabric import CASE_WORDS

    scene, mesh = found.equilibrium.scene, found.equilibrium.mesh
    across, up, deep = (f"{size / CM:.1f}" for size in said["size_m"])
    rows = count(mesh.rows, row_word(scene))
    if which == "yarn":
        what = f"every yarn a body of its own ({', '.join(said['bodies'])}), darker where others shade it"
    else:
        what = f"one closed sheet, {mesh.thickness / CM:.2f} cm thick, coloured by stitch on both sides"
    lines = [
        scene.title,
        f"Seen as {CASE_WORDS[mesh.case]}: {count(mesh.stitches, 'stitch')} x {rows}.",
        "",
        f"{'Shows':<11}{what}",
        f"{'Size':<11}{across} cm across, {up} cm up, {deep} cm deep",
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
