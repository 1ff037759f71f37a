"""``python -m tests.campaign.whole [PIECES [FIRST_SEED]]``: random whole pieces, 100 from seed 0 by default.

Hats, mittens and cowls in the round and flat, with rib, in all gauges, crowns that close slowly and fast, floats tight
and loose: does every one come to rest, and pass nowhere through itself?
"""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from typing import Any

import numpy as np

from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError

TIGHTEST, LOOSEST = -0.12, 0.30


@dataclass(frozen=True)
class WholeOutcome:
    """What became of a piece. ``told``: it can't be, and that was said; ``said``: it came to no rest; ``raised``: what
    ought never to come out. ``search``, ``factorisations``: of the plain shape and of the rest."""

    seed: int
    stitches: int = 0
    search: int = 0
    factorisations: int = 0
    crossing: int = 0
    told: str = ""
    said: str = ""
    raised: str = ""


def random_whole(seed: int) -> Scene:
    """Return the random piece of a ``seed``."""
    rng = np.random.default_rng(seed)
    repeat, rows = int(rng.integers(2, 13)), int(rng.integers(2, 12))
    gauge = float(np.exp(rng.uniform(np.log(9.0), np.log(36.0))))
    around = int(rng.integers(48, 121))
    sizing: dict[str, Any] = {"rib_cm": round(float(rng.uniform(1.0, 5.0)), 1), "rib": str(rng.choice(["1x1", "2x2"]))}
    item = str(rng.choice(["hat", "hat", "hat", "mittens", "cowl"]))
    if item != "cowl" and rng.random() < 0.7:
        sizing["crown_every"] = int(rng.integers(1, 4))
    return Scene.model_validate(
        {
            "title": f"random piece {seed}",
            "item": item,
            "worked": "flat" if rng.random() < 0.15 else "round",
            "chart": {
                "rows": ["".join(rng.choice(list("..x"), repeat)) for _ in range(rows)],
                "across": max(2, around // repeat),
                "plain_below": int(rng.integers(0, 5)),
                "plain_above": int(rng.integers(0, 5)),
            },
            "yarns": [
                {"symbol": symbol, "name": f"yarn {symbol}", "colour": colour, "tex": round(180000.0 / gauge**2, 1)}
                for symbol, colour in ((".", "#8090a0"), ("x", "#402010"))
            ],
            "gauge": {"stitches": round(gauge, 1), "rows": round(gauge * float(rng.uniform(1.2, 1.5)), 1)},
            "floats": {"slack": round(float(rng.uniform(TIGHTEST, LOOSEST)), 3)},
            "sizes": sizing,
        }
    )


def whole_outcome(seed: int) -> WholeOutcome:
    """Return what becomes of the random piece of a ``seed``."""
    from fabricsim.fabric.crossing import crossing_cells
    from fabricsim.fabric.relax import come_to_rest
    from fabricsim.fabric.whole import set_up_whole

    try:
        whole = set_up_whole(random_whole(seed))
        rest = come_to_rest(whole.fabric)
    except InputError as why:
        return WholeOutcome(seed, told=str(why))
    except NoEquilibriumError as why:
        return WholeOutcome(seed, said=str(why))
    except Exception as why:  # the campaign is there to find these
        return WholeOutcome(seed, raised=f"{type(why).__name__}: {why}")
    if not np.isfinite(rest.x_nc).all():
        return WholeOutcome(seed, raised="something is not finite")
    return WholeOutcome(
        seed,
        stitches=len(rest.x_nc),
        search=whole.search.factorisations,
        factorisations=rest.effort.factorisations,
        crossing=crossing_cells(whole.fabric.mesh, rest.state),
    )


def main(pieces: int = 100, first: int = 0) -> int:
    """Bring so many pieces to rest, print what became of them; return how many did not end well."""
    found = []
    for seed in range(first, first + pieces):
        found.append(whole_outcome(seed))
        one = found[-1]
        if one.told or one.said or one.raised or one.crossing or one.search + one.factorisations > 60:
            print(one, flush=True)
    rested = [one for one in found if not (one.told or one.said or one.raised)]
    told = sum(bool(one.told) for one in found)
    bad, through = pieces - len(rested) - told, sum(one.crossing > 0 for one in rested)
    effort = sorted(one.search + one.factorisations for one in rested)
    print(f"{pieces} pieces: {len(rested)} at rest, {told} told that they can't be, {bad} at no rest")
    print(
        f"through themselves: {through}; factorisations: half need at most {effort[len(effort) // 2]}, all {effort[-1]}"
    )
    return bad + through


if __name__ == "__main__":
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")  # one thread a solve
    sys.exit(1 if main(*map(int, sys.argv[1:])) else 0)
