"""What slack is in the hand: yarn to a float, stitches spread on the needle, corners of needles, work inside out."""

from __future__ import annotations

from math import cos, pi, sqrt

SPREAD_STITCHES = 4
"""Stitches on the right needle to be spread before a change of colour: the last 4 or 5 (common practice)."""

SHORTEST_CIRCULAR = 0.40
"""Girth below which a tube no longer goes on a circular needle by itself, m: the shortest that is common (common
practice)."""


def extra_yarn(span: float, slack: float) -> float:
    """Return the yarn of a float beyond the way that it bridges, m."""
    return span * slack


def sag(span: float, slack: float) -> float:
    """Return how far a slack float hangs off the back, m: span sqrt(3 s / 8), the shallow parabola (derived)."""
    return span * sqrt(0.375 * max(slack, 0.0))


def spread_to(stitches: int, stitch_width: float, slack: float) -> float:
    """Return how wide so many stitches must be spread for a float laid straight behind them to be that slack, m.

    The float is as long as the stitches are spread; once they let go they lie at their own width (derived).
    """
    return stitches * stitch_width * (1.0 + slack)


def corner_share(needles: int) -> float:
    """Return what share of its span a float gets that is pulled straight across the corner of two needles, its middle.

    So many needles in a ring make a polygon, whose corner of pi - 2 pi / n the float cuts off: cos(pi / n), half with
    three needles, 71 % with four (derived).
    """
    return cos(pi / needles)


def inside_out_gain(thickness: float, girth: float) -> float:
    """Return by what share floats come out longer that are worked outside a tube of a ``girth``, m: 2 pi t / girth.

    They run half a thickness outside the middle of the fabric then, and half inside it afterwards (derived).
    """
    return 2.0 * pi * thickness / girth
