"""Which strand lies below, in a knitter's words."""

from __future__ import annotations

from collections.abc import Mapping

from fabricsim.cli.words.counts import listed
from fabricsim.design.scene.model import Scene


def strands_said(scene: Scene, called: Mapping[int, str] | None = None) -> str | None:
    """Return which strand is carried below the others; None where no row has two yarns.

    ``called``: what to call the yarns; left out, their names. That the lower strand stands out, and that
    swapping shows, is common practice.
    """
    rows = [set(yarn_j) for yarn_j in scene.piece_rows() if len(set(yarn_j)) > 1]
    carried = [yarn for yarn in scene.strands_from_below if any(yarn in row for row in rows)]
    if not carried:
        return None
    names = [called[yarn] if called is not None else scene.yarns[yarn].name for yarn in carried]
    if len(names) == 2:
        return f"{names[0]} lies below: carry its strand under that of {names[1]}, and never swap them."
    return f"Strands from below: {listed(names)}. Of the yarns of a row carry the first of these lowest; never swap."
