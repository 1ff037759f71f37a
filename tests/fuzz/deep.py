"""Small fabrics as extreme as a scene may say, each brought to rest in a process of its own that has its limits."""

from __future__ import annotations

import multiprocessing
import resource
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from multiprocessing.connection import Connection
from random import Random

import numpy as np

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_schema
from fabricsim.errors import FabricsimError, NoEquilibriumError
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from tests.campaign.scenes import random_scene
from tests.fuzz.allowed import allowed_number, numbers_of

AT_ONCE = 2
MOST_MEMORY, MOST_SECONDS = 4 << 30, 120
"""Bytes and seconds of processor of one fabric (chosen: a hundred times what small ones take)."""
SAID = ("at rest", "no rest", "refused")
"""How a fabric may end; whatever else one says is a fault."""


def extreme_scene(seed: int) -> tuple[Scene, Case]:
    """Return the scene of a ``seed``: random stitches in a gauge, with floats and of a fabric at the ends of what may
    be. Raises InputError where those don't go together."""
    rng = Random(seed)
    scene, case = random_scene(seed)
    schema, table = scene_schema(), scene.model_dump(mode="json", exclude_unset=True)
    fabric = numbers_of(schema, "fabric")
    table["fabric"] = {key: allowed_number(rng, fabric[key]) for key in rng.sample(sorted(fabric), rng.randint(0, 4))}
    if rng.random() < 0.5:
        rows_to_a_stitch = rng.choice((0.6, 1.0, 1.4, 3.0))
        stitches = float(np.exp(rng.uniform(np.log(2.0), np.log(60.0))))
        table["gauge"] = {"stitches": stitches, "rows": stitches * rows_to_a_stitch}
    table["floats"]["slack"] = rng.choice((-0.999, -0.6, -0.3, -0.1, 0.0, 1.0))
    return Scene.model_validate(table), case


def ended(seed: int) -> str:
    """Return how the fabric of a ``seed`` ends: one of ``SAID``, or what is wrong."""
    try:
        rest = relax(*extreme_scene(seed))
    except NoEquilibriumError:
        return "no rest"
    except FabricsimError as refused:
        return "refused" if "\n" not in str(refused) else f"refused in several lines: {refused}"
    except Exception as raised:  # what this is there to find
        return f"raised {type(raised).__name__}: {raised}"
    widths = measure(rest).widths
    return "at rest" if np.isfinite(widths.width_i).all() and np.isfinite(rest.x_nc).all() else "not finite"


def _limited(seed: int, answer: Connection) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    answer.send(ended(seed))


def _apart(seed: int) -> tuple[int, str]:
    """Return a seed and how its fabric ends, in a process of its own."""
    ours, theirs = multiprocessing.Pipe(duplex=False)
    process = multiprocessing.get_context("forkserver").Process(target=_limited, args=(seed, theirs))
    process.start()
    theirs.close()
    try:
        said = str(ours.recv())
    except EOFError:
        process.join()
        said = f"took more than {MOST_SECONDS} s of processor, or ended by itself ({process.exitcode})"
    process.join()
    return seed, said


def main(scenes: int, first: int = 0) -> int:
    """Bring ``scenes`` fabrics to rest from the seed ``first``; print what comes of them and return how many faults."""
    sums: Counter[str] = Counter()
    with ThreadPoolExecutor(AT_ONCE) as pool:
        for seed, said in pool.map(_apart, range(first, first + scenes)):
            sums[said if said in SAID else "faults"] += 1
            if said not in SAID:
                print(f"seed {seed}: {said}", flush=True)
    print(", ".join(f"{sums[one]} {one}" for one in (*SAID, "faults")))
    return sums["faults"]
