"""Where knitting and mechanics meet: mesh, stiffness, load cases, coming to rest, measures.

Load cases
----------

- ``repeat``: the chart alone, edges closed on themselves; unknowns are stitches and both cell sizes, one stitch held.
  Solved is its least cell (``cell.py``), or a tile of several; the answer is written out on the chart as it was typed.
- ``swatch``: the whole piece with free edges, its weight on a table; slide and spin held.
- ``round``: the whole piece as a spiral, free; six unknowns held that carry no force.
- ``repeat`` with a ``Grip``: the cell held at a size along the pull, or under a dead load, free the other way.

All cases start stress-free: rest lengths and rest curvatures are measured on the rest mesh by the same functions, so
plain fabric takes no step and measures zero to the last bit. In particular a plain tube has the rest curvature of its
own girth.

Shaped
------

Rows may differ in their count (``design/rows/shaped.py``): ``standing.py`` makes index arrays of which stitch stands on
which, ``along_rows.py`` where stitches lie along their rows, ``found_rest.py`` finds how such fabric rests and says
how, beginning with the surface of revolution that ``turned.py`` finds, ``giving.py`` where counts change faster than a
surface can follow, ``shaped_terms.py`` makes its terms, ``rib.py`` knows rib as a fabric of its own, ``curving.py`` how
fabric curves within itself. ``whole.py`` makes one fabric of the whole piece that a pattern tells: rib, chart, crown.
It is a ``round`` or a ``swatch`` as any other, and comes to rest as they do; a hat worked flat is sewn up and so a
``round`` too. By angles about its stitches a crown of w wedges, decreased in every k-th round, has the angle of the
gauge, w times the stitch width over k row heights, to 2 % from a dozen stitches a wedge on.

Edges
-----

A swatch has its edges held flat, as it is measured; ``lying.py`` takes its pins out for what is seen of it. That is not
its face or its back: from straight above, the rolls hide 1.5 to 2 cm at either end and shade as much again, a third of
a swatch 10 cm high, so that its chart can't be read. Nor is it a section, a close-up or a map of numbers.
Where a scene lets them curl they want a curvature as deep as ``CURL_DEPTH`` in from each (``edges.py``) and none
farther in, as yarns that rub on one another leave fabric lying as it was laid; rib wants none, and holds the end that
it makes. A free strip is then two arcs and a straight line, which is a closed form; a swatch on its table rests in
22 to 45 factorisations and meets itself nowhere. Wanted all over, the same curvature ends as a scroll, by 203
factorisations and with a fifth of all stitches folded.

Contact
-------

``contact.py`` looks, after every step, for what has come about, and adds it to the energy (``minimise`` calls such
elements *living*). Both kinds vanish with a continuous slope where they cease to touch, so energies with and without
them can be compared.

- Floats on the back (``mechanics/energies/wrap.py``, ``behind.py``). A taut float whose straight way would cut into a
  stitch lies on the backs of the stitches in its way, and its length is that of the shortest line behind them: the
  row's backs are taken as a cylinder with rulings along the wales, unrolled, so s² = p² + (C·y)², p the length of the
  convex chain of anchors seen along the rulings y, C the chord. A tube worked with its floats outside is the plain case
  and has the exact length (g + 1) 2 (R + t/2) sin(π/n).
- Fabric on fabric (``mechanics/energies/touch.py``, ``pairs.py``). Places, stitches and middles of cells, push apart
  below their room: one thickness, or half of their distance in plain fabric where that is less, so that a fold sharper
  than a stitch is pushed open too. Pairs come from compiled code (``mechanics/in_c/near.c``) or
  scipy's cKDTree, periodic images included.
- Nothing through anything (``crossing.py``). Cells are wider than a thickness, so places alone can't see all: a cell
  whose stitches are pulled past each other turns into the next but one with every place at its distance. So besides the
  least distance of places, every look on the way of a step, and every point that the line search would take, is asked
  whether any two cells cross, neighbours with a corner in common let be; if so the step is cut short. Plain fabric
  crosses nothing, so nothing ever does, whatever the forces. (A start that crosses itself already, as a random one may,
  goes free until it no longer does; a preview disowns the numbers of one that still does at rest.)
- Pairs that are near (``kept.py``) are looked for anew only when so much has moved, beyond what the whole fabric does
  alike, that others may have come near: a repeat or a swatch asks 20 to 30 times a solve and searches 1 to 6 times.
  Whether cells cross compiled code finds anew each time, as it needs no list of them.

Needle corners
--------------

Where a scene says what a small tube is worked on (``floats.needles``), the floats that lie across a corner of the
needles are shorter, in every round over the same stitches (``setup.round_corners``, ``corner_columns.py``: the first
round is shared out evenly, and what comes or goes above stays on its needle); ``corner_line.py`` measures the line that
comes of it. A tube worked inside out has none, nor one that was worked flat and sewn up.

Pulled
------

``stretching.py`` pulls a repeat across or up, free the other way: the middle of a strip, far from clamps and cut edges.
So only the repeat has curves; a tube is stretched over a form (``form/``), as its girth is no unknown that could be
held. The cell is either held at a size, and pulls with the derivative of the energy by that size
(``Energy.forces``), or a dead load F hangs from it (a term -F L, on a line from a stitch to itself a cell further).
Both agree to 1e-6. Load is force over the width of the strip *before* it was pulled, at rest under its own floats, and
stretch counts from that rest too, the last column apart, which counts from 0.5 N/m as EN ISO 20932-1 does. Dead loads
whose energy is a small difference of large terms may stall at round-off; here the energy is as large as half of F L,
and none of the scenes' loads did.
"""
