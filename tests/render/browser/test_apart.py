"""Yarn that is kept apart after it was shown: the same as if it had been laid so at once."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.render.browser.yarn import drawn_apart, drawn_yarn
from tests.render.fabrics import MOTIF, THREE, fabric

STEPS = 8


@pytest.mark.parametrize(("rows", "case"), [(MOTIF, "round"), (THREE, "repeat")])
def test_yarn_kept_apart_later_is_that_laid_apart_at_once(rows: tuple[str, ...], case: Case) -> None:
    """To the last bit, also where only a part of a repeat is shown."""
    rest = fabric(rows, case, across=2)
    laid, at_once = drawn_yarn(rest, STEPS, apart=False), drawn_yarn(rest, STEPS, apart=True)
    later = drawn_apart(rest, laid)
    assert not np.array_equal(laid.strands.x_pc, at_once.strands.x_pc)
    assert later.arrays.keys() == at_once.arrays.keys()
    for name, array in at_once.arrays.items():
        np.testing.assert_array_equal(later.arrays[name], array, strict=True)
