"""What came of one random fabric."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.behind import PRESSED_IN
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from tests.campaign.scenes import random_scene


@dataclass(frozen=True)
class Outcome:
    """``said`` is the sentence of a failure that was named; ``raised`` what ought never to come out."""

    seed: int
    case: str
    steps: int = 0
    ramp_parts: int = 0
    residual: float = np.inf
    stitches: int = 0
    pressing: int = 0
    touching: int = 0
    crossing: int = 0
    depth: float = 0.0
    digest: str = ""
    said: str = ""
    raised: str = ""

    @property
    def at_rest(self) -> bool:
        return not self.said and not self.raised


def outcome(seed: int) -> Outcome:
    """Return what becomes of the random fabric of a ``seed``. ``depth``: how deep the straight way of any taut float
    that is not on the back cuts into the fabric, in thicknesses."""
    case = ""
    try:
        scene, case = random_scene(seed)
        rest = relax(scene, case)
        measures = measure(rest)
    except NoEquilibriumError as why:
        return Outcome(seed, case, said=str(why))
    except Exception as why:  # the campaign is there to find these
        return Outcome(seed, case, raised=f"{type(why).__name__}: {why}")
    numbers = [rest.x_nc, rest.normal_nc, rest.tension_f, rest.way_f, measures.widths.width_i]
    if not all(np.isfinite(array).all() for array in numbers):
        return Outcome(seed, case, raised="something is not finite")
    cell = rest.solved or rest  # of a chart that repeats itself, the part that was solved
    straight_f = measure(cell).pull.taut_f & ~cell.contact.wrapped_f
    depth_f = cell.contact.tracks.at(cell.state).depth_f
    return Outcome(
        seed=seed,
        case=case,
        steps=rest.effort.steps,
        ramp_parts=rest.effort.ramp_parts,
        residual=rest.effort.residual,
        stitches=len(rest.x_nc),
        pressing=measures.pull.pressing,
        touching=measures.touching,
        crossing=measures.crossing,
        depth=float(depth_f[straight_f].max(initial=0.0)) / rest.mesh.thickness,
        digest=hashlib.sha256(rest.x_nc.tobytes()).hexdigest(),
    )


def deep_enough_to_count(one: Outcome) -> bool:
    """Whether any straight float cuts into the fabric by more than the contact lets it."""
    return one.depth > PRESSED_IN
