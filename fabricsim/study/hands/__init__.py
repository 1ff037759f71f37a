"""Hands: what is known of them, how they differ, and a piece as one of them knits it.

Mechanics takes every float as long as it is told; hands do not make them so. A forecast therefore asks what comes of
many pieces, each of hands that might be the knitter's, and tells the middle of them and where nine in ten lie.

``prior.py``: what is known of hands and of the fabric they make, and whose figure it is: the slack that is meant, how
uneven floats are about it, by how much each falls short at its ends, how stiff the fabric is. ``hand.py``: one pair of
hands as normal deviates, drawn so that a few of them stand for all. ``knitting.py``: a fabric as such hands knit it,
and at rest. ``quantiles.py``: where nine in ten pieces lie.

Why floats are uneven: a tight float pulls and a loose one does not push, so fabric whose floats are right on average is
drawn in by the tighter half of them. Why they fall short by so many millimetres and not by a share: what is drawn
tight is the last bit of yarn before a stitch of the other colour closes on it, as much behind one stitch as behind
five; so motifs that change colour often draw in more, as knitters report.

The deviates of floats and rows are the same for the same place of the same piece whatever the slack or the catches
(common random numbers), so that two forecasts differ by what differs between them and not by luck.
"""
