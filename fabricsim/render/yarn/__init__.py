"""From stitches to yarn.

Every stitch is placed by its own neighbours (a local patch), never by a global grid, so that shaping can come later.
The files in the order in which they work:

1. ``tiling`` lays the fabric out: every stitch once, whole repeats side by side, a rim of ghosts round them. From here
   on nobody needs periods.
2. ``surface`` is the smooth surface through the stitches; a place on it is told by its stitch, stitches across and rows
   up from there, and metres out of the face.
3. ``loop`` draws one stitch, in the form of ``loop_form``, and says where its feet stand. ``shaped_stitches`` says what
   tells purls, decreases, increases and a drawn-up top from plain stitches, and where a stitch stands on several or
   on a strand; ``lifted_strands`` draws such strands.
4. ``float_lanes`` finds which floats follow one another, through catches, and gives the yarns of a row lanes behind the
   fabric. ``float_path`` leads them there: taut ones straight or over the backs of the stitches that they press on,
   slack ones as parabolas of their true length over that way. A slack float keeps its ratio of yarn to chord on the
   chord that is drawn, from the foot of one loop to the next, which is a little shorter than from stitch to stitch.
5. ``row_joins`` brings yarns from row to row: turns, colours carried up, ends tucked away.
6. ``paths`` puts it all together, one path per row and colour, as the polylines of ``strands``.
7. ``clearance`` moves carried yarn aside where such paths alone would run through each other (three colours in a row,
   edges, a colour climbing the back): along the fabric or off its back, never towards the face, until nothing is nearer
   than 0.65 thicknesses, as near as the heads and legs of plain loops lie. Plain loops never move, flat fabric in two
   colours is left alone to the last bit, and so are sections, whose floats keep their lengths.
   Loops about a stitch that is not plain, and all that stand half a stitch aside of what they stand on, as in a round
   of a sleeve with increases, find their places among each other, no nearer than 0.42 thicknesses in the tests;
   ``faired`` takes out the kinks that this makes.
8. ``tubes`` makes round yarn of the paths, by rotation-minimising frames. Its cross-section has the area of a round
   yarn's, so that coarse drawing is no thinner; its volume is within 4 % of the round yarn's, not the 0.87 to 0.91 of
   an inscribed octagon.
"""
