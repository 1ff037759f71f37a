"""An empty file of what was measured, to be filled in by whoever knitted the swatch."""

from __future__ import annotations

from collections import Counter

from fabricsim.design.floats.of_scene import floats_of_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.wording import quoted
from fabricsim.design.swatch.measured import (
    UNCERTAIN_CM,
    UNCERTAIN_FLOAT_CM,
    UNCERTAIN_FLOAT_MM,
    UNCERTAIN_GRAMS,
    UNCERTAIN_PUCKER_MM,
    UNCERTAIN_STRETCHED_CM,
)


def measured_form(scene: Scene) -> str:
    """Return the form for a swatch of ``scene``, its counts filled in, as TOML that reads as nothing measured yet."""
    rows = scene.piece_rows()
    stitches, chart_rows = len(rows[0]), len(scene.chart_rows()) * scene.chart.up
    plain_rows = max(scene.chart.plain_below, scene.chart.plain_above)
    across = "girth" if scene.worked == "round" else "width"
    round_too = ", all the way round" if scene.worked == "round" else ""
    yarns = " or ".join(f"{quoted(yarn.symbol)} ({yarn.name})" for yarn in scene.yarns)
    return f"""\
# What I measured on my swatch of "{scene.title}".
#
# Write in the numbers that you have, and take the # from the front of those lines (not from lines of words).
# Leave the others as they are. Nothing has to be measured but the {across} of the colourwork; everything more makes
# the answer surer. Measure flat and relaxed, after washing if it will be washed, in the middle, its edges held flat:
# where they curl, as deep as 3 cm, a tape laid right across finds 3 to 5 per cent too little, in the middle none.
# Every part may also say how far your number may be off; if you don't, the number shown there is taken.

[plain]                      # a part in one colour, on the same needles
# stitches = {stitches}              # how many stitches you measured over
# width_cm =                 # how wide those are{round_too}
# rows = {plain_rows or 10}                  # and how many rows ...
# height_cm =                # ... how high
# uncertain_cm = {UNCERTAIN_CM:g}

[colourwork]                 # a part in colourwork
# stitches = {stitches}
# width_cm =                 # how wide it lies{round_too}
# rows = {chart_rows}
# height_cm =
# pucker_mm =                # from the deepest valley to the highest peak as it lies; 0 if it lies flat
# uncertain_cm = {UNCERTAIN_CM:g}
# pucker_uncertain_mm = {UNCERTAIN_PUCKER_MM:g}

[stretched]                  # hung up by one side edge, a weight clipped all along the other: how wide it is then
# section = "plain"          # "plain" tells how stiff the fabric is; "colourwork" tells more about the floats
# stitches = {stitches}
# width_cm =
# grams =                    # the weight, clips and all; enough to stretch it by a tenth or two
# strip_cm =                 # how high the part is that carries it, from its lower to its upper edge as it lies
# uncertain_cm = {UNCERTAIN_STRETCHED_CM:g}

[weighed]                    # the whole swatch, ends darned in
# grams =
# uncertain_grams = {UNCERTAIN_GRAMS:g}

# Floats. They alone tell how uneven your hands are: take eight or more that pass behind as many stitches, each in a row
# of its own, none of them caught. Mark the yarn at the middle of the stitch before the float and of the stitch after,
# unpick it, pull it just straight and measure between the marks. If you can, do the same with much shorter floats (copy
# the lines): that tells how much of it is slack, and how much each float falls short however far it reaches. A second
# swatch in a motif that changes colour much faster tells that too: fabricsim calibrate --help, at --motif.
# [[floats]]
# gap = {usual_gap(scene)}                    # how many stitches each passes behind
# yarn_mm =                  # [31, 29.5, 33, 30]: as many lengths as you measured, mm
# yarn = {quoted(scene.symbols[-1])}                # {yarns}; leave it out if you don't know
# uncertain_mm = {UNCERTAIN_FLOAT_MM:g}
#
# Or a single float:
# [[floats]]
# gap = {usual_gap(scene)}
# yarn_cm =
# uncertain_cm = {UNCERTAIN_FLOAT_CM:g}
"""


def usual_gap(scene: Scene) -> int:
    """Return behind how many stitches the most of the longer floats of a scene pass."""
    gaps = Counter(one.gap for one in floats_of_repeat(scene))
    longer = {gap: often for gap, often in gaps.items() if 2 * gap >= max(gaps)}
    return max(longer, key=lambda gap: (longer[gap], gap), default=5)
