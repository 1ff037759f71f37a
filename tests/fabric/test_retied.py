"""What comes of other floats: against every choice of which of them pull, one of which must hold together."""

from __future__ import annotations

from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.fabric.retied import RowTies, _table

KEYS = [(column, 2, 0, 0.01 * column) for column in range(6)]


def _made_up(seed: int) -> RowTies:
    """Return six floats, the first three of them taut at rest, that give way to one another as springs do."""
    rng = np.random.default_rng(seed)
    root = rng.standard_normal((6, 8))
    ties: Any = RowTies(None, 0)  # type: ignore[arg-type]
    ties.keys, ties.taut_f = list(KEYS), np.array([True] * 3 + [False] * 3)
    ties.stiffness_f = rng.uniform(0.5, 2.0, 6)
    give_ff = root @ root.T
    # the fabric at rest holds its taut floats in it, so none of those may give more than its own spring
    most = np.linalg.eigvalsh(give_ff[:3, :3] * ties.stiffness_f[:3, None] ** 0.5 * ties.stiffness_f[None, :3] ** 0.5)
    ties.give_ff = 0.8 * give_ff / most.max()
    ties.over_f = np.where(ties.taut_f, rng.uniform(0.1, 1.0, 6), rng.uniform(-0.5, 1.0, 6))
    ties.push_fm = rng.standard_normal((6, 2))
    made: RowTies = ties
    return made


def _by_all_choices(ties: RowTies, wanted_f: Floats) -> list[Floats]:
    """Return what every choice of pulling floats that holds together comes to."""
    found = []
    for choice in product((False, True), repeat=6):
        pulls_f = np.array(choice)
        if (pulls_f & (wanted_f == 0.0)).any():
            continue
        # k times what it is longer than its yarn where it pulls, nothing elsewhere; less what is in the fabric already
        k_f, kept_f = np.where(pulls_f, ties.stiffness_f, 0.0), np.where(ties.taut_f, ties.stiffness_f, 0.0)
        matrix = np.eye(6) + (k_f - kept_f)[:, None] * ties.give_ff
        beyond_f = np.linalg.solve(matrix, (k_f - kept_f) * ties.over_f)
        over_f = ties.over_f - ties.give_ff @ beyond_f
        if ((over_f > 0.0) == pulls_f)[wanted_f > 0.0].all():
            found.append(-beyond_f @ ties.push_fm)
    return found


@pytest.mark.parametrize("seed", range(12))
def test_the_floats_that_pull_are_those_that_hold_together(seed: int) -> None:
    ties = _made_up(seed)
    wanted_f = (np.random.default_rng((seed, 1)).random(6) < 0.6).astype(float)
    wanted = [key for key, so in zip(KEYS, wanted_f, strict=True) if so]
    choices = _by_all_choices(ties, wanted_f)
    assert any(ties.changes(wanted) == pytest.approx(one, rel=1e-9, abs=1e-12) for one in choices)


def test_the_floats_at_rest_change_nothing() -> None:
    ties = _made_up(3)
    ties.over_f[3:] = -1.0
    assert not ties.changes(KEYS[:3]).any()


def test_nothing_is_known_of_a_row_before_it_is_looked_at() -> None:
    ties = RowTies(None, 0)  # type: ignore[arg-type]
    arrays = (ties.over_f, ties.stiffness_f, ties.taut_f, ties.give_ff, ties.push_fm)
    assert [array.shape for array in arrays] == [(0,), (0,), (0,), (0, 0), (0, 0)]
    assert (ties.keys, ties.there) == ([], set())


@pytest.mark.parametrize("needles", [None, [1.0, 1.0, 1.1, 1.0]])
def test_floats_that_may_come_bridge_stitches_as_wide_as_the_needles_make_them(needles: list[float] | None) -> None:
    """And those past the end of a row are held by the next repeat."""
    wide = 0.005
    mesh: Any = SimpleNamespace(stitches=8, stitch_width=wide, needle_i=None if needles is None else np.array(needles))
    keys = [(1, 3, 1, 0.021), (6, 2, 0, 0.0135), (3, 7, 1, 0.05)]
    table = _table(mesh, 2, keys)
    times = 1.1 if needles else 1.0
    assert table.span_f == pytest.approx([4 * wide * times, 3 * wide * times, 8 * wide * times])
    assert table.slack_f == pytest.approx(np.array([0.021, 0.0135, 0.05]) / table.span_f - 1.0)
    assert table.length_f.tolist() == [0.021, 0.0135, 0.05]
    assert table.node_f2.tolist() == [[17, 21], [22, 17], [19, 19]]
    assert table.shift_f2.tolist() == [[0, 0], [1, 0], [1, 0]]
    assert (table.yarn_f.tolist(), table.gap_f.tolist(), table.layer_f.tolist()) == ([1, 0, 1], [3, 2, 7], [0, 0, 0])
