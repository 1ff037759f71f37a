"""The moving picture of a fabric drawing in, as a file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from fabricsim.cli.commands.motion.options import MotionOptions
from fabricsim.cli.commands.motion.words import caption
from fabricsim.cli.shell.options import one_of
from fabricsim.cli.shell.progress import Watch
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.render import build_yarns
from fabricsim.render.basics.options import Quality
from fabricsim.render.handouts.motion import FilmKind, Frame, as_bytes, canvas_for, frame, still, turns
from fabricsim.study.forecast.sweep import Step, Sweep, sweep

FINE_STITCHES = 1500
"""Stitches up to which every frame is drawn in full quality (chosen: beyond, one takes over five seconds)."""


def film(scene: Scene, options: MotionOptions, kind: str, watch: Watch) -> tuple[Sweep, bytes]:
    """Bring the fabric to rest at every slack, draw each and return them with the bytes of a file of this ``kind``."""
    load, slacks = options.load, options.slacks
    turns(len(slacks), options.seconds)  # says at once if there is too little time
    swept = sweep(scene, load.case, slacks, inside_out=load.inside_out, stage=watch.stage)
    if len(swept.steps) < 2:
        raise NoEquilibriumError(swept.lost[0][1])
    steps = swept.steps if slacks[0] > slacks[-1] else swept.steps[::-1]
    pages = _pages(steps, options, watch)
    order, shown_ms = turns(len(pages), options.seconds)
    form: FilmKind = one_of("--out", kind, get_args(FilmKind))
    return swept, as_bytes([pages[number] for number in order], shown_ms, form)


def _pages(steps: Sequence[Step], options: MotionOptions, watch: Watch) -> list[Frame]:

    rests = [step.rest for step in steps]
    quality: Quality = "full" if len(rests[0].mesh.yarn_n) <= FINE_STITCHES else "draft"
    canvas, pages = None, []
    for number, step in enumerate(steps):
        watch.drawing(f"slack {100 * step.slack:+.3g} % ({number + 1} of {len(steps)})")
        model = build_yarns(step.rest, quality)
        if canvas is None:
            canvas = canvas_for(model, options.side, rests, options.width_px)
        shown = still(model, options.side, canvas)
        pages.append(frame(shown, canvas, caption(step), f"{step.rest.scene.title}: {options.side}"))
    return pages
