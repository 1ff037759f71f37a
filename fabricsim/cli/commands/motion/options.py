"""What may be asked of ``motion``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.cli.shell.options import Load
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.render.basics.options import Side

LOOSE, TIGHT = 0.06, -0.10
"""Slack at the loose end, and at the tight end of a scene that has none below 0 (chosen: a loose knitter's, and
tighter than most)."""
FRAMES, SECONDS, WIDTH_PX = 25, 7.0, 600
"""Steps from one end to the other, the time there and back, and the width in pixels (chosen)."""


@dataclass(frozen=True)
class MotionOptions:
    """The ``slacks`` of all fabrics from one end to the other, in their ``load`` case; the ``side`` that is seen, the
    time there and back, and the width of the picture."""

    load: Load
    slacks: tuple[float, ...]
    side: Side = "face"
    seconds: float = SECONDS
    width_px: int = WIDTH_PX


def slacks_between(scene: Scene, load: Load, start: float, end: float | None, frames: int) -> tuple[float, ...]:
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
    return tuple(start + (end - start) * step / (frames - 1) for step in range(frames))
