"""Hands that vary: Monte Carlo, and which input matters most.

Hands and how far they differ are those of ``study/hands``. ``pieces.py`` brings each piece to rest from the piece that
a forecast shows, never from the piece before, and each takes its hand from its own number, so that piece 17 has the
same bits in any process and however many are asked for. The first sixteen are the very pieces of the forecast's band.
``variation.py`` reads the pieces in their order, whatever the order in which they get done, and ends with the first at
which the mean draw-in is known well enough. Gauge, where it is to vary, scales the stitches; stiffness and thickness
stay, since the factor of 2 covers what they would change.

``shares.py`` asks which input matters most, by Sobol's indices of groups: the slack of all rows is one input, of all
floats another. Single numbers come from scipy's Sobol sequence, vectors from the seed. ``sobol_indices`` gets an
estimator of ours: with few pairs of hands the usual one is off by tens of per cent even for inputs that do nothing,
since A and B are alike by chance; ours regresses on both, so that these come out as nought. Errors are bootstrapped by
ourselves: scipy's take no seed.

Uneven floats draw in more than even ones, since a tight float pulls and a loose one does not push: both are told.
Quantiles are those of a forecast's likely range (``study/hands/quantiles.py``), so that of the same pieces both say the
same; a quantile's error is Maritz and Jarrett's, from the order statistics.

A piece takes 0.4 s of processor time for a repeat of 12 x 13 stitches, 1.7 s for 24 x 24 (0.6 a second and core), 2.7 s
for the built-in hat band as a tube of 96 x 19 (0.4 a second and core).
"""
