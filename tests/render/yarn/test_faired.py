"""Kinks are taken out, gentle turns and what may not be moved are left."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.render.yarn.faired import SHARP, faired


def bent(turns: list[float]) -> Floats:
    """Return a line in unit steps that turns so far, degrees, from one to the next."""
    way = np.radians(np.cumsum([0.0, *turns]))
    steps = np.column_stack([np.cos(way), np.sin(way), np.zeros(len(way))])
    return np.vstack([np.zeros(3), np.cumsum(steps, axis=0)])


def most_turn(x_pc: Floats) -> float:
    way_qc = np.diff(x_pc, axis=0)
    way_qc /= np.linalg.norm(way_qc, axis=1)[:, None]
    return float(np.degrees(np.arccos(np.clip((way_qc[1:] * way_qc[:-1]).sum(axis=1), -1.0, 1.0)).max()))


def ends(*lengths: int) -> np.ndarray:
    return np.cumsum([0, *lengths])


@pytest.mark.parametrize("turn", [20.0, 34.0, -34.0])
def test_what_turns_gently_stays_to_the_last_bit(turn: float) -> None:
    line = bent([0.0, 0.0, turn, 0.0, 0.0])
    assert faired(line, ends(len(line)), np.ones(len(line), dtype=bool)).tobytes() == line.tobytes()


@pytest.mark.parametrize(("turn", "moves"), [(36.0, [3]), (45.0, [3]), (80.0, [2, 3, 4])])
def test_a_kink_is_shared_with_the_points_beside_it(turn: float, moves: list[int]) -> None:
    line = bent([0.0, 0.0, turn, 0.0, 0.0])
    out = faired(line, ends(len(line)), np.ones(len(line), dtype=bool))
    assert np.flatnonzero((out != line).any(axis=1)).tolist() == moves
    assert most_turn(out) <= np.degrees(SHARP) + 1e-9


@pytest.mark.parametrize(("strands", "held"), [((7,), 3), ((4, 3), 6), ((3, 4), 0)])
def test_a_kink_that_may_not_be_moved_or_ends_a_strand_stays(strands: tuple[int, ...], held: int) -> None:
    line = bent([0.0, 0.0, 45.0, 0.0, 0.0])
    may_p = np.ones(len(line), dtype=bool)
    may_p[held] = False
    assert faired(line, ends(*strands), may_p).tobytes() == line.tobytes()
