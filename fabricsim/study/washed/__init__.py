"""A forecast piece after washing and blocking: how far the colourwork can follow its plain fabric.

What the plain swatch measured before and after goes in, as the knitter counted it: that loops swell, full or relax is
not reckoned. The floats keep their yarn. So where plain fabric comes out wider they have become shorter for it, and
what follows is the same fabric at rest anew: stitches of the washed gauge, floats as long as they were.

``following.py`` says how far each row can follow: a linear program, no stitch wider than plain fabric has it now, no
float longer than its yarn; the floats that are shorter than what they bridge are those that hold it back.

Pinned out (``blocking.py``), the piece is as wide as the pins say, until floats are taut. Of what it was pulled beyond
its own rest it keeps something between nothing and all once the pins are out: loops rub on each other and stay where
they were put (Crassous, Poincloux, Steinberger 2024, Phys. Rev. Lett., abstract: stockinette has no unique rest shape,
and would have one without friction). How much is for fibre, water and time, so both ends are told.
"""
