"""What all drawing shares.

``palette`` has the few colours of paper and print, ``scale`` those that mean something: one sequence each for pull,
slack and pucker, told apart by the colour-blind (a test simulates it), with fixed ends where asked, so that fabrics can
be compared. ``eyes`` says how colours are told apart: contrast as in WCAG 2.2, difference as in CIE 1976, grey, and the
colour-blind after Machado et al. 2009; the numbers of colours themselves are in ``fabricsim.colour``.

``letters`` measures words, ``options`` names what can be drawn and how well, ``files`` turns pictures and figures into
bytes, the same every time, and ``memory`` refuses what would not fit before a ray is cast.
"""
