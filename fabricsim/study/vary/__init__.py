"""Hands that vary: Monte Carlo, and which input matters most.

``hands.py`` draws what varies as standard normal deviates (a ``Hand``): one for the slack of all floats, one a row, one
a float, gauge, stiffness in the plane and against bending; ``Spreads`` say how far each carries. ``pieces.py`` brings
each piece to rest from the nominal shape alone, never from the piece before, and each takes its hand from its own child
of the seed, so that piece 17 has the same bits in any process and however many are asked for. ``variation.py`` reads
the pieces in their order, whatever the order in which they get done, and ends with the first at which the mean draw-in
is known well enough. Gauge scales the stitches; stiffness and thickness stay, since the factor of 2 covers what they
would change.

``shares.py`` asks which input matters most, by Sobol's indices of groups: the slack of all rows is one input, of all
floats another. Single numbers come from scipy's Sobol sequence, vectors from the seed. ``sobol_indices`` gets an
estimator of ours: with few pairs of hands the usual one is off by tens of per cent even for inputs that do nothing,
since A and B are alike by chance; ours regresses on both, so that these come out as nought. Errors are bootstrapped by
ourselves: scipy's take no seed.

Uneven floats draw in more than even ones: the hat band as an endless repeat loses 3.9 % as written and 7.6 % on average
with the default spreads, since a tight float pulls and a loose one does not push. A quantile's error is Maritz and
Jarrett's, from the order statistics.

A piece takes 0.4 s of processor time for a repeat of 12 x 13 stitches, 1.7 s for 24 x 24 (0.6 a second and core), 2.7 s
for the built-in hat band as a tube of 96 x 19 (0.4 a second and core).
"""
