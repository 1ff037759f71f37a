"""``python -m tests.campaign.worn [PIECES [FIRST_SEED]]``: random whole pieces on forms, 100 from seed 0 by default.

Those of ``whole.py`` that are tubes: hats on heads, mittens on hands, cowls on heads, arms and boards, each form about
as wide as the piece, from a little narrower to a fifth wider: does every one come to rest, outside the form, and pass
nowhere through itself?
"""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form import shapes
from fabricsim.units import MM
from tests.campaign.whole import random_whole

NARROWEST, WIDEST = 0.95, 1.2
"""Of a form, over the piece as plain fabric."""
NARROWER = 0.95
"""A form that a piece doesn't go onto is made so much narrower, until it does."""
LEAST_ROOM = 0.5
"""Of a form over the piece as plain fabric, below which nothing is made narrower."""


@dataclass(frozen=True)
class WornOutcome:
    """What became of a piece on its form. ``told``: it can't be put on, and that was said; ``said``: it came to no
    rest; ``raised``: what ought never to come out.

    ``wide``: round the form over round the plain piece; ``inside``: how far (mm) the middle of the fabric lies inside
    the form at its deepest, negative where it is outside all over; ``sunk``: by how much it is pressed in, in
    thicknesses.
    """

    seed: int
    form: str = ""
    wide: float = 0.0
    stitches: int = 0
    off: int = 0
    factorisations: int = 0
    steps: int = 0
    residual: float = np.inf
    crossing: int = 0
    inside: float = -np.inf
    sunk: float = 0.0
    told: str = ""
    said: str = ""
    raised: str = ""

    @property
    def at_rest(self) -> bool:
        return not (self.told or self.said or self.raised)


def form_for(rng: np.random.Generator, item: str | None, closed: bool, around: float, height: float) -> shapes.Form:
    """Return a form for a piece to be put on, its middle ``around`` (m) round where a piece so high sits on it."""
    if closed:
        return shapes.hand(around, 0.0) if item == "mittens" else shapes.head(around)
    on = str(rng.choice(["head", "arm", "board"]))
    if on == "arm" and around > 0.2 * height:  # from the wrist up it grows by 0.25 round a metre
        upper = (around - 0.5 * height * (1.0 - shapes.WRIST_OF_ARM) / shapes.ARM_LONG) / shapes.WRIST_OF_ARM
        return shapes.arm(upper, 0.0)
    return shapes.board(around, 2.0 * height) if on == "board" else shapes.head(around)


def sits_at(form: shapes.Form, closed: bool, around: float, height: float) -> float:
    """Return the height of a form where a piece is put, as ``study/worn`` has it."""
    from fabricsim.study.worn.on_body import RIM_BELOW

    if form.name == "a head":
        return -RIM_BELOW * around if closed else 0.0
    if form.name == "a hand":
        return form.bottom
    return height if form.is_straight else 0.5 * height


def worn_outcome(seed: int) -> WornOutcome:
    """Return what becomes of the random piece of a ``seed`` on a form."""
    try:
        return _put_on(seed)
    except InputError as why:
        return WornOutcome(seed, told=str(why))
    except Exception as why:  # the campaign is there to find these
        return WornOutcome(seed, raised=f"{type(why).__name__}: {why}")


def _put_on(seed: int) -> WornOutcome:
    from fabricsim.fabric.crossing import crossing_cells
    from fabricsim.fabric.form.laying import is_closed
    from fabricsim.fabric.form.passing import way_on
    from fabricsim.fabric.form.wearing import laid_on, stitches_of, wear
    from fabricsim.fabric.relax import come_to_rest
    from fabricsim.fabric.whole import set_up_whole

    scene = random_whole(seed)
    fabric = set_up_whole(scene).fabric
    mesh = fabric.mesh
    if mesh.case != "round":
        return WornOutcome(seed, told="only a tube is put on")
    off = come_to_rest(fabric)
    rng = np.random.default_rng([seed, 1])
    closed, height = is_closed(mesh), float(np.ptp(off.x_nc[:, 1]))
    plain = int(stitches_of(mesh).max()) * mesh.stitch_width
    wide, turn = float(rng.uniform(NARROWEST, WIDEST)), rng.bit_generator.state
    while True:
        rng.bit_generator.state = turn
        form = form_for(rng, scene.item, closed, wide * plain, height)
        at = sits_at(form, closed, wide * plain, height)
        lay = laid_on(fabric, off, form, at)
        if way_on(mesh, form, lay.x_nc).goes_on:
            break
        wide *= NARROWER
        if wide < LEAST_ROOM:
            return WornOutcome(seed, form.name, told="it goes onto nothing half as wide as it is")
    known = {"form": form.name, "wide": round(wide, 3), "stitches": len(mesh.rest_nc), "off": off.effort.factorisations}
    try:
        worn = wear(fabric, off, form, at, None)
    except NoEquilibriumError as why:
        return WornOutcome(seed, **known, said=str(why))
    if worn is None:
        return WornOutcome(seed, **known, told="it is wider than its form all along")
    rest = worn.on.equilibrium
    if not np.isfinite(rest.x_nc).all():
        return WornOutcome(seed, **known, raised="something is not finite")
    out_s = distances(rest)
    return WornOutcome(
        seed,
        **known,
        factorisations=rest.effort.factorisations,
        steps=rest.effort.steps,
        residual=rest.effort.residual,
        crossing=crossing_cells(mesh, rest.state),
        inside=-float(out_s.min()) / MM,
        sunk=0.5 - float(out_s[: len(rest.x_nc)].min()) / mesh.thickness,
    )


def distances(rest: Equilibrium) -> Floats:
    """Return how far out of the form every stitch lies, and then the middle of every cell of four, (s,) m."""
    from fabricsim.fabric.crossing import Cells

    corner_4sc = Cells.of(rest.mesh).middles.corners(rest.state)
    return rest.contact.energy.term("form").measures(np.concatenate([rest.x_nc, corner_4sc.mean(axis=0)]))


def main(pieces: int = 100, first: int = 0) -> int:
    """Put so many pieces on, print what became of them; return how many did not end well."""
    found = []
    for seed in range(first, first + pieces):
        found.append(worn_outcome(seed))
        one = found[-1]
        if not one.at_rest or one.crossing or one.inside > 0.0 or one.factorisations > 40:
            print(one, flush=True)
    return tell(found)


def tell(found: list[WornOutcome]) -> int:
    """Print the sums; return how many pieces found no rest, raised, or lie through themselves or their form."""
    rested = [one for one in found if one.at_rest]
    told = sum(bool(one.told) for one in found)
    none = len(found) - len(rested) - told
    through, inside = sum(one.crossing > 0 for one in rested), sum(one.inside > 0.0 for one in rested)
    print(
        f"{len(found)} pieces: {len(rested)} at rest on their forms, {told} told that they can't be, {none} at no rest"
    )
    print(f"through themselves: {through}; through their form: {inside}")
    if rested:
        effort = sorted(one.factorisations for one in rested)
        print(
            f"nearest to its form: {-max(one.inside for one in rested):.2f} mm off it; "
            f"deepest pressed in: {max(one.sunk for one in rested):.2f} thicknesses"
        )
        half, most = effort[len(effort) // 2], effort[9 * len(effort) // 10]
        beyond = sum(one > 20 for one in effort)
        print(f"factorisations: half need at most {half}, nine in ten {most}, all {effort[-1]}; {beyond} more than 20")
    return none + through + inside


if __name__ == "__main__":
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")  # one thread a solve
    sys.exit(1 if main(*map(int, sys.argv[1:])) else 0)
