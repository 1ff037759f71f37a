"""What of a cross-section lies over what, and in which colours: the same in every picture of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.basics.scale import MOST_SPARE, pull_colours, slack_colours, step_of
from fabricsim.render.section.geometry import CrossSection, SectionFloat

PALE = 0.50
"""How much paper there is in the colours of the loops, so that floats stand out (chosen)."""


@dataclass(frozen=True, eq=False)
class Layer:
    """Yarn that lies at one depth, the farthest first: each strand's path (k, 2) m, and its colour, sRGB 0 to 1."""

    strands: tuple[tuple[Floats, Floats], ...]
    floating: bool


def layers(section: CrossSection, greatest: float) -> tuple[Layer, Layer, Layer]:
    """Return the far parts of the loops, the floats that lie over them, and the loops' near parts.

    Floats are coloured by their pull, dark at ``greatest`` N, or by what they have to spare.
    """
    pieces = sorted(section.loops, key=lambda piece: piece.band)
    own_y3, paper = section.rgb_y3 / 255.0, np.array(PAPER) / 255.0
    paler_y3 = own_y3 + PALE * (paper - own_y3)
    far, near = (
        Layer(tuple((one.path_kc, paler_y3[one.yarn]) for one in pieces if (one.band == 2) is wanted), floating=False)
        for wanted in (False, True)
    )
    floats = tuple((one.path_kc, float_colour(one, greatest)) for one in section.floats)
    return far, Layer(floats, floating=True), near


def float_colour(one: SectionFloat, greatest: float) -> Floats:
    """Return the colour of a float, sRGB 0 to 1: of its pull up to ``greatest`` N, or of what it has to spare."""
    if one.taut:
        colour: Floats = pull_colours()[step_of(one.tension, greatest)]
    else:
        colour = slack_colours()[step_of(one.spare, MOST_SPARE)]
    return colour / 255.0
