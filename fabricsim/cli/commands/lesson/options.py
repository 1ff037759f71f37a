"""What may be asked of ``lesson``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fabricsim.cli.shell.options import Load
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.design.scene.worn_on import On
from fabricsim.errors import InputError

STEPS = (-0.10, -0.08, -0.06, -0.04, -0.02, 0.0, 0.05, 0.10, 0.20)
"""Slacks of the slider (chosen: close where the fabric changes; 5 to 10 % is the usual aim, 20 % hangs)."""
MOST_STEPS = 21
"""Most steps of a slider (chosen: a page of 10 MB)."""


@dataclass(frozen=True)
class LessonOptions:
    """What a lesson is made of: its ``load`` case, its ``slacks``, where the page goes, whether one in 3-D too; ``on``
    what, of which ``size``, tight and right are put, if on anything."""

    load: Load
    slacks: tuple[float, ...]
    out: Path
    solid: bool
    on: On | None = None
    size: str | None = None

    @property
    def solid_out(self) -> Path:
        """Where the page in 3-D goes."""
        return self.out.with_name(f"{self.out.stem}-3d.html")


def slacks_in(given: str) -> tuple[float, ...]:
    """Return the slacks in ``given``, a list with commas; raises ``InputError`` for what makes no slider."""
    allowed = f"2 to {MOST_STEPS} different slacks with commas between them, each above -1 and at most 1"
    example = "such as --steps -0.1,-0.05,0,0.1,0.2"
    slacks = []
    for word in given.split(","):
        try:
            slacks.append(float(word))
        except ValueError:
            raise InputError("--steps", f"'{word.strip()}'", allowed, example) from None
        checked_slack(slacks[-1], "--steps")
    if not 2 <= len(set(slacks)) <= MOST_STEPS:
        raise InputError("--steps", f"{len(set(slacks))} of them", allowed, example)
    return tuple(sorted(set(slacks)))


def check_floats(scene: Scene, load: Load) -> None:
    """Raise ``InputError`` for a scene without floats: it has nothing to teach."""
    from fabricsim.fabric.whole import carried_floats

    if carried_floats(scene, load.case, whole=load.whole):
        return
    raise InputError(
        scene.where("chart"),
        f"no floats in the case '{load.case}'",
        "a chart in which a yarn passes behind stitches, as its slack is what a lesson changes",
        "draw rows of two colours",
    )
