"""The ratios that the records are held against: every target in one place, and whether it is met."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from rich.table import Table

from fabricsim.mechanics.solver.stopping import Status
from tests.benchmarks.table import Record

# All chosen. A solve may cost so many banded factorisations of its own Hessian, and so many seconds:
SOLVE_OVER_ONE = {
    "swatch 100 x 100 at -0.03": 12.0,
    "swatch 100 x 100 at -0.10": 25.0,
    "new slack of a repeat 24 x 24": 10.0,
}
SOLVE_SECONDS = {
    "swatch 100 x 100 at -0.03": 4.0,
    "new slack of a repeat 24 x 24": 0.2,
    "new slack of a repeat 12 x 12": 0.04,
}
# The program must be quicker than the best general optimiser, and than the others by far:
PEER_OVER_OURS = {"CasADi + Ipopt": 1.0, "L-BFGS-B": 10.0, "MuJoCo": 20.0}
# Time as a power of the number of stitches (a planar factorisation by itself is about 1.5), and memory:
GROWTH_EXPONENT = 1.35
LARGEST = 40_000
LARGEST_MB, LARGEST_SECONDS = 2000.0, 45.0
# Rays with shading over the same rays bare, in one process; and a picture of 100 x 100, s by the clock:
RAYS_OVER_BARE = 0.6
PICTURE_SECONDS = 2.5
# A command over importing what it can't do without:
START_UP = 1.5

GROWTH, START = "growth", "start-up"
PICTURE, LARGE_PICTURE = "picture", "large picture"
DRAWN, DRAWN_ALONE = "all processors", "one process"
OURS, ONE, BARE = "fabricsim", "one factorisation", "bare imports"


@dataclass(frozen=True)
class Held:
    """A measured ``value`` and its ``target``, None where it is only told; ``below`` says on which side it must be."""

    what: str
    value: float
    target: float | None
    below: bool = True
    unit: str = ""

    @property
    def met(self) -> bool | None:
        if self.target is None:
            return None
        return self.value <= self.target if self.below else self.value > self.target


def held_against_targets(records: list[Record]) -> list[Held]:
    """Return every ratio whose records are there."""
    return [
        *_over_factorisation(records),
        *_over_ours(records),
        *_growth(records),
        *_start_up(records),
        *_pictures(records),
    ]


def _over_factorisation(records: list[Record]) -> list[Held]:
    units = {one.work: one.seconds for one in records if one.by == ONE}
    ours = [one for one in records if one.by == OURS]
    return [
        *(
            Held(f"{one.work}: solve / {ONE}", one.seconds / units[one.work], SOLVE_OVER_ONE.get(one.work))
            for one in ours
            if one.work in units
        ),
        *(
            Held(f"{one.work}: solve", one.seconds, SOLVE_SECONDS[one.work], unit=" s")
            for one in ours
            if one.work in SOLVE_SECONDS
        ),
    ]


def _over_ours(records: list[Record]) -> list[Held]:
    ours = {(one.work, one.size): one.seconds for one in records if one.by == OURS}
    found = []
    for peer, target in PEER_OVER_OURS.items():
        for one in records:
            if one.by != peer or (one.work, one.size) not in ours:
                continue
            us = ours[one.work, one.size]
            side = int(one.size**0.5)
            short = "" if one.kept["status"] == Status.AT_REST.name else f" ({one.kept['status']}: at least)"
            what = f"{one.work} {side} x {side}: {peer} / ours{short}"
            found.append(Held(what, one.seconds / us, target, below=False))
            if one.kept["build"] is not None:
                found.append(Held(f"{what}, its build left out", (one.seconds - one.kept["build"]) / us, None))
    return found


def _growth(records: list[Record]) -> list[Held]:
    grown = [one for one in records if one.work.startswith(GROWTH)]
    found = []
    if len(grown) > 1:
        sizes, seconds = np.log([one.size for one in grown]), np.log([one.seconds for one in grown])
        ends = f"{min(one.size for one in grown)} to {max(one.size for one in grown)} stitches"
        exponent = float(np.polyfit(sizes, seconds, 1)[0])
        found.append(Held(f"growth of time, {ends}: exponent", exponent, GROWTH_EXPONENT))
    found += [
        Held(f"peak memory at {LARGEST} stitches", one.kept["peak_mb"], LARGEST_MB, unit=" MB")
        for one in grown
        if one.size == LARGEST and one.kept["peak_mb"] is not None
    ]
    found += [
        Held(f"time at {LARGEST} stitches", one.seconds, LARGEST_SECONDS, unit=" s")
        for one in grown
        if one.size == LARGEST
    ]
    return found


def _start_up(records: list[Record]) -> list[Held]:
    started = {one.by: one.seconds for one in records if one.work == START}
    if BARE not in started:
        return []
    return [
        Held(f"{command} / {BARE}", seconds / started[BARE], START_UP)
        for command, seconds in started.items()
        if command != BARE
    ]


def _pictures(records: list[Record]) -> list[Held]:
    found = []
    for one in records:
        if one.by == DRAWN_ALONE:
            found.append(Held(f"{one.work}: shaded over bare rays", one.kept["bare"], RAYS_OVER_BARE, below=False))
        elif one.by == DRAWN and one.work.startswith(PICTURE):
            target = PICTURE_SECONDS if one.size == 10_000 else None
            found.append(Held(f"{one.work}: after yarn and light, by the clock", one.seconds, target, unit=" s"))
        elif one.work == LARGE_PICTURE and one.kept["peak_mb"] is not None:
            found.append(
                Held(f"peak memory of a picture of {one.size} stitches", one.kept["peak_mb"], None, unit=" MB")
            )
    return found


def target_table(held: list[Held]) -> Table:
    """Return the ratios with their targets and whether each is met."""
    table = Table(title="Ratios")
    table.add_column("ratio", no_wrap=True)
    table.add_column("value", justify="right")
    table.add_column("target", justify="right")
    table.add_column("")
    words = {True: "met", False: "NOT met", None: "-"}
    for one in held:
        side = "at most" if one.below else "more than"
        target = "-" if one.target is None else f"{side} {one.target:g}{one.unit}"
        table.add_row(one.what, f"{one.value:.4g}{one.unit}", target, words[one.met])
    return table
