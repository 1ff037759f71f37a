"""One fabric's forecast with its band, its starts, how slack it must be, and its sizes.

Which equilibrium
-----------------

Tight fabric may rest in more than one shape, and which one a solver finds is luck. ``starts.py`` leaves less to luck:
plain fabric with all its slack at once, the branch from loose to tight (four parts, each from the shape before), and
``--starts N`` random shapes; whichever rests at the least energy is shown, of equals the first. Since floats lie on the
back instead of cutting through, there is little left to choose: of the eight demo scenes, each in its own case and in
``repeat``, ten random starts beside the usual two all came to one shape, with draw-in the same to 0.001 % and pucker to
0.01 mm. (With floats that cut through, a lozenge of 12 x 8 stitches came to 11.6 mm of pucker at slack -0.06 and 7.5 mm
at -0.10; now pucker grows with tightness.) The pieces of a forecast's band start from
the piece that is shown, so that they follow one branch.

The band
--------

``forecast.py`` knits sixteen pieces, each of another hand (``study/hands``), and calls likely where nine in ten lie.
The hands are points of a scrambled Sobol sequence: sixteen of them hold one point in every sixteenth of each input, so
that their middle is known far better than from sixteen at random. What is left is how uneven floats happen to lie:
about 0.8 points of draw-in from piece to piece, so that the middle is known to 0.2 to 0.4. The piece that is shown has
a luck of its own; all its slack is shifted by a hair so that it draws in as the middle does, and every number that is
told is of that one fabric. A piece that crumples until no rest is found in 120 steps counts as drawn in further than
the rest; of the built-in hat one folds so deeply that it takes 100. ``python -m tests.likely`` counts how many fresh
pieces lie within.

Where the time of a preview goes
--------------------------------

Of the built-in hat, in seconds of one core (measured, 26 in all): the pieces of the band 15.0, of which the one that
folds deepest takes 4.0; plain fabric let go 0.8, from loose to tight 1.5, the shift to the middle 0.5. Drawing takes
3.6: yarn and its light 0.7, face and back 1.3 each, two fifths of either for the first thing that rays meet. What is
left is starting, mostly loading, in this process and in those that work on pieces.

Waves
-----

A chart that closes on itself has no room for waves longer than itself, so an endless fabric used to depend on how often
its chart was typed. Now (``fabric/cell.py``) its least cell is solved, whatever was typed, and ``waves.py`` asks that
cell's rest which wave of several cells it is softest to, by Bloch's theorem, and lets a tile rest in it. The softness
falls evenly with slack, so where it is nought, where flat fabric begins to pucker, is found in a few solves and holds
to a twentieth of a per cent.

What comes after that is a matter of size: energy falls with the length of the wave, by less and less (a random chart of
6 x 6 stitches at slack -0.1: waves of 3, 4, 6 and 8 cells lie 2.6e-5, 6.5e-4, 1.17e-3 and 1.19e-3 below the flat shape,
as shares of its energy, and are 1.4, 3.5, 6.7 and 9.5 mm high). A fabric without weight curls round its floats as far
as it may; to lift a swatch by 5 mm from a table takes some hundred times what a wave gains (derived, 3 N/m2). So the
longest wave is chosen. Other shapes are not ruled out: where charts of 4 x 4 to 18 x 14 stitches at three slacks were
let go whole as 2 x 1, 1 x 2 and 2 x 2, none lay lower.

Sizes
-----

Counting is exact and knows no mechanics (``design/sizes/spread.py``, ``counts.py``, ``crown.py``, ``going_on.py``, put
together in ``design/sizes/every_size.py``); what the floats draw in comes to it as a number, a share of the width.
Bodies and their sources are data (``design/scene/bodies.toml``), how an item should sit on them is ``fits.py``.
``spread.py`` serves every round in words that increases or decreases.

``sizes.py`` finds the share. The piece as written has its forecast; other counts are told from there. Things worked in
the round are tubes, whose floats are chords: the hat band of ``scenes/`` loses 6.3 % at 60 stitches, 7.3 % at 80, 7.9 %
at 100 and 9.9 % as an endless repeat, every float alike. A tube of every count would take minutes. But the shortness of
a chord goes with thickness over radius, and what is lost is straight in 1 / stitches: between the tubes of 60 and 100
stitches the straight misses that of 80 by 0.02 %, in the built-in scene by 0.002 %. So two tubes are solved, of the
smallest count and of the largest, every float alike, and the forecast is moved along the straight between them. They
are one chart high without plain rounds (within 0.1 % of the whole piece), at least 12 rounds: rings of 2 rounds twist
and fold. Where the smallest loses nothing one between takes its place; too large ones lie between the largest that was
solved and the repeat, at 1 / stitches = 0. Flat pieces lose the same share at all sizes.

How far colourwork stretches: its floats are taut at (1 + slack) / (1 - draw-in) - 1 (derived; it counts for nothing
that floats in a tube are chords, since on a body they lie against it). Beyond that it gives 5 % at most, the difference
between stranded stretch at hand and the slack that is usual (both memory), and never more than plain fabric.

How slack
---------

``loosening.py`` finds the least slack at which no more than a stated share of the width is lost, by Brent's rule on the
piece that is shown, each let in from the nearest looser one. A forecast at that slack then tells by how much more or
less hands need, each piece's loss made up for along the slope found on the way. The slack
for a stretch is geometry: as long as nothing pulls, a float's way grows with the fabric, so the fabric at that slack
has just that to spare. ``design/floats/in_the_hand.py`` holds what slack is in the hand, closed forms all.
"""
