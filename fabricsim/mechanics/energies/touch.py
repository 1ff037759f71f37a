"""Touches: the distance between two places of the surface, each the mean of four nodes (one named four times, or the
corners of a cell)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.energies.registry import Patch, register
from fabricsim.mechanics.laws import Floor
from fabricsim.mechanics.terms import Term


@dataclass(frozen=True)
class MeanDistance(Distance):
    """s = |b - a|, m, a the mean of the first four points, b that of the other four."""

    combine_mp = np.repeat([[-0.25, 0.25]], 4, axis=1)
    compiled = Distance.compiled


@register("touch")
def _sample(patch: Patch, rng: np.random.Generator) -> Term:
    node_bp = np.array([[0, 0, 0, 0, 4, 5, 7, 8], [0, 1, 3, 4, 8, 8, 8, 8], [2, 2, 2, 2, 6, 6, 6, 6]])
    mean_bc = patch.rest_nc[node_bp[:, 4:]].mean(axis=1) - patch.rest_nc[node_bp[:, :4]].mean(axis=1)
    level = np.linalg.norm(mean_bc, axis=1) * np.array([1.5, 1.5, 0.5])
    return Term("touch", MeanDistance(), Floor(rng.uniform(50.0, 200.0, 3), level), node_bp)
