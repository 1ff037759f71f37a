"""Many fabrics on one page: which stand below one another."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.render.handouts.multiples import EDGE, GAP, LEAST_WIDE, Shown, multiples_page


@pytest.mark.parametrize("slacks", [2, 5, 12])
def test_what_has_the_same_slack_stands_in_one_column(slacks: int) -> None:
    shown = [Shown(None, f"slack {number} %", "no rest") for _ in range(2) for number in range(slacks)]
    page = np.asarray(multiples_page(shown, "", columns=slacks)).astype(int)
    inked = (page != page[0, 0]).any(axis=2)
    inked[-120:] = False  # the scale
    lines = np.flatnonzero(np.diff(np.concatenate([[0], inked.any(axis=1).astype(int), [0]])))
    bands = [inked[top:bottom] for top, bottom in zip(lines[::2], lines[1::2], strict=True)]
    assert len(bands) == 4  # setting and result, twice
    assert (bands[0] == bands[2]).all()
    assert page.shape[1] >= 2 * EDGE + slacks * LEAST_WIDE + (slacks - 1) * GAP
