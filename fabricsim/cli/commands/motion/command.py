"""``fabricsim motion``: a moving picture of the fabric drawing in as its floats get tighter."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, get_args

import typer

from fabricsim.cli.shell.options import (
    CaseOption,
    InsideOutOption,
    Load,
    SceneArgument,
    load_of,
    one_of,
    open_scene,
    slack_option,
)
from fabricsim.cli.shell.outputs import file_for_output, suffix_of, write_bytes_atomically
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.render.basics.options import Quality, Side
from fabricsim.units import CM, MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from fabricsim.render.handouts.motion import Caption, Frame
    from fabricsim.study.forecast.sweep import Step, Sweep

SUFFIXES = (".webp", ".gif")
LOOSE, TIGHT = 0.06, -0.10
"""Slack at the loose end, and at the tight end of a scene that has none below 0 (chosen: a loose knitter's, and
tighter than most)."""
FRAMES, SECONDS, WIDTH_PX = 25, 7.0, 600
"""Steps from one end to the other, the time there and back, and the width in pixels (chosen)."""
HEAVY = 4_000_000
"""Bytes of a GIF above which something lighter is pointed out (chosen: what many sites take)."""
FINE_STITCHES = 1500
"""Stitches up to which every frame is drawn in full quality (chosen: beyond, one takes over five seconds)."""


def motion(
    scene: SceneArgument = None,
    start: Annotated[float, slack_option("--from", "Slack of every float at first.")] = LOOSE,
    end: Annotated[
        float | None,
        slack_option("--to", "Slack at the other end; by default the scene's tightest, or -0.10 if none is tight."),
    ] = None,
    frames: Annotated[int, typer.Option(min=2, max=200, help="Fabrics from one end to the other.")] = FRAMES,
    side: Annotated[str, typer.Option(help="face or back.")] = "face",
    case: CaseOption = None,
    inside_out: InsideOutOption = None,
    seconds: Annotated[float, typer.Option(min=0.5, max=120, help="Time there and back.")] = SECONDS,
    width: Annotated[int, typer.Option(min=200, max=2000, help="Width of the picture, pixels.")] = WIDTH_PX,
    out: Annotated[
        Path | None,
        typer.Option(help="File ending in .webp or .gif; by default motion/ and the scene's name, as WebP."),
    ] = None,
) -> None:
    """Write a moving picture of SCENE drawing in as its floats get tighter, there and back."""
    read = open_scene(scene)
    load = load_of(read, case, None, inside_out)
    path = out or Path("motion") / f"{scene.stem if scene is not None else 'demo'}.webp"
    kind = suffix_of(path, SUFFIXES).removeprefix(".")
    which: Side = one_of("--side", side, get_args(Side))
    slacks = _slacks(read, load, start, end, frames)
    with file_for_output(path):
        swept, data = _make(read, load, slacks, _Look(which, seconds, width, kind))
        write_bytes_atomically(path, data)
    page = Page()
    lines = _words(swept, data, seconds)
    if kind == "gif" and len(data) > HEAVY:
        lines.append(f"{'':<11}(a GIF of yarn is heavy: .webp takes a third of that, --width {width // 2} a quarter)")
    for line in [*lines, "", f"The moving picture is in {path}"]:
        page.say(line)


@dataclass(frozen=True)
class _Look:
    """How it is to look: side, time, width and kind of file."""

    side: Side
    seconds: float
    width_px: int
    kind: str


def _slacks(scene: Scene, load: Load, start: float, end: float | None, frames: int) -> list[float]:
    """Return the slack of every step; raises ``InputError`` where nothing would move."""
    from fabricsim.fabric.setup import case_floats

    floats = case_floats(scene, load.case)
    if not floats:
        raise InputError("SCENE", "a chart without floats", "one in which some row has two colours", "add a colour")
    if end is None:
        tightest = min(one.slack for one in floats)
        end = tightest if tightest < 0.0 else TIGHT
    if round(start, 6) == round(end, 6):
        raise InputError("--from", f"{start:g}, and the same --to", "two different slacks", "change one of them")
    return [start + (end - start) * step / (frames - 1) for step in range(frames)]


def _make(scene: Scene, load: Load, slacks: Sequence[float], look: _Look) -> tuple[Sweep, bytes]:
    """Bring the fabric to rest at every slack, draw each and return them with the bytes of the moving picture."""
    from fabricsim.render.handouts.motion import FilmKind, as_bytes, turns
    from fabricsim.study.forecast.sweep import sweep

    turns(len(slacks), look.seconds)  # says at once if there is too little time
    with Watch(in_turn=True) as watch:
        swept = sweep(scene, load.case, slacks, inside_out=load.inside_out, stage=watch.stage)
        if len(swept.steps) < 2:
            raise NoEquilibriumError(swept.lost[0][1])
        steps = swept.steps if slacks[0] > slacks[-1] else swept.steps[::-1]
        pages = _pages(steps, look, watch)
        order, shown_ms = turns(len(pages), look.seconds)
        kind: FilmKind = one_of("--out", look.kind, get_args(FilmKind))
        return swept, as_bytes([pages[number] for number in order], shown_ms, kind)


def _pages(steps: Sequence[Step], look: _Look, watch: Watch) -> list[Frame]:
    from fabricsim.render import build_yarns
    from fabricsim.render.handouts.motion import canvas_for, frame, still

    rests = [step.rest for step in steps]
    quality: Quality = "full" if len(rests[0].mesh.yarn_n) <= FINE_STITCHES else "draft"
    canvas, pages = None, []
    for number, step in enumerate(steps):
        watch.drawing(f"slack {100 * step.slack:+.3g} % ({number + 1} of {len(steps)})")
        model = build_yarns(step.rest, quality)
        if canvas is None:
            canvas = canvas_for(model, look.side, rests, look.width_px)
        shown = still(model, look.side, canvas)
        pages.append(frame(shown, canvas, _caption(step), f"{step.rest.scene.title}: {look.side}"))
    return pages


def _caption(step: Step) -> Caption:
    """Return what is told of a step: the width of the whole piece, and of a tube the girth; and what is drawn of it."""
    from fabricsim.render.handouts.motion import Caption
    from fabricsim.render.yarn.tiling import repeats_shown

    widths, mesh = step.measures.widths, step.rest.mesh
    drawn, what = widths.plain, "{} cm wide"
    if mesh.case == "round":
        drawn, what = drawn / pi, "{} cm round"
    elif mesh.period_a is not None:
        drawn, what = repeats_shown(step.rest)[0] * float(mesh.period_a[0]), "the whole piece {} cm"
    left = 1.0 - widths.overall
    words = (
        f"slack {round(100 * step.slack, 1) + 0.0:+.1f} %",
        what.format(f"{widths.width / CM:.1f}"),
        f"{abs(100 * widths.overall):.1f} % narrower",
    )
    return Caption(words, drawn, drawn * left)


def _words(swept: Sweep, data: bytes, seconds: float) -> list[str]:
    from fabricsim.cli.words.shares import SAID

    first, last = swept.steps[0], swept.steps[-1]
    lines = [first.rest.scene.title]
    for name, step in (("Loose", first), ("Tight", last)):
        widths = step.measures.widths
        width = f"{widths.width / CM:.1f} cm"
        wide = (
            f"as wide as plain fabric, {width}"
            if abs(widths.overall) < SAID
            else f"{100 * widths.overall:.1f} % narrower, {widths.plain / CM:.1f} cm to {width}"
        )
        pucker = f"pucker {step.measures.pucker.peak_to_valley / MM:.1f} mm"
        lines.append(f"{name:<11}slack {100 * step.slack:+.3g} %: {wide}; {pucker}")
    lines.append(
        f"{'Film':<11}{len(swept.steps)} fabrics at rest, there and back in {seconds:g} s, {len(data) / 1e6:.1f} MB"
    )
    if swept.lost:
        lost = ", ".join(f"{100 * slack:+.3g} %" for slack, _ in swept.lost)
        lines.append(f"{'Left out':<11}slack {lost}: no rest was found there")
    if any(step.measures.crossing for step in swept.steps):
        lines.append(
            "Beware: at its tightest the fabric passes through itself. Don't trust that; stop at a looser --to."
        )
    return lines
