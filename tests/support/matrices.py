"""Any symmetric matrix in the shape in which the Hessian of a fabric comes: stored blocks on a pattern."""

from __future__ import annotations

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.energies.bar import Distance
from fabricsim.mechanics.laws import Elastic
from fabricsim.mechanics.pattern import Pattern
from fabricsim.mechanics.terms import Term


def full_pattern(nodes: int) -> Pattern:
    """Return the pattern of nodes each of which is joined to every other: a matrix of 3 x nodes without holes."""
    pairs = np.column_stack(np.triu_indices(nodes, 1))
    return assemble([Term("all", Distance(), Elastic(1.0, 1.0), pairs)], State(np.zeros((nodes, 3)))).pattern


def blocks_of(matrix: Floats) -> Floats:
    """Return the stored blocks (pairs, 9) of a symmetric matrix on the full pattern: its upper triangle, row by
    row."""
    nodes = len(matrix) // 3
    low, high = np.triu_indices(nodes)
    blocks: Floats = matrix.reshape(nodes, 3, nodes, 3)[low, :, high, :].reshape(-1, 9)
    return blocks


def with_spectrum(eigenvalues: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Return a symmetric matrix with these eigenvalues along random directions, and those, as columns."""
    modes, _ = np.linalg.qr(rng.normal(size=(len(eigenvalues), len(eigenvalues))))
    matrix = (modes * eigenvalues) @ modes.T
    return 0.5 * (matrix + matrix.T), modes
