"""The list of energies. What is registered here is tested by being here.

A kind brings a ``sample``: a small random but valid set of elements over given nodes, so that the checks of
derivatives, symmetry and invariance need no word about it elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.terms import Term


@dataclass(frozen=True, eq=False)
class Patch:
    """A 3 x 3 patch of nodes around node 4 (rows of three, from the bottom), with its rest positions in metres.

    Samples pick their nodes from it, so that normals and curvatures are well defined at every random state near it.
    """

    rest_nc: Floats

    CENTRE, LEFT, RIGHT, DOWN, UP = 4, 3, 5, 1, 7


Sample = Callable[[Patch, np.random.Generator], Term]


@dataclass(frozen=True)
class EnergyKind:
    """``internal`` energies depend on the shape alone: no net force, no net torque. Others (a weight, a table)
    don't; those that are ``fixed`` in space (a form) have no way in which nothing changes."""

    name: str
    sample: Sample
    internal: bool = True
    fixed: bool = False


KINDS: dict[str, EnergyKind] = {}


def register(name: str, *, internal: bool = True, fixed: bool = False) -> Callable[[Sample], Sample]:
    """Enter a kind of energy under ``name``; decorates its sample."""

    def enter(sample: Sample) -> Sample:
        if name in KINDS:
            raise ValueError(f"two energies are called {name!r}")
        KINDS[name] = EnergyKind(name, sample, internal, fixed)
        return sample

    return enter
