"""A map of small motifs: every repeat up to a size, one of each class, and what its fabric does.

``classes.py`` lists them: two charts are of one class if shifting one within its repeat, mirroring it left to right or
top to bottom, turning it halfway or swapping its two yarns makes the other of it; how many classes there are is what
Burnside's lemma says, which the tests hold it to. ``kinds.py`` says what a knitter sees in one. ``mapping.py`` brings
one of each to rest as the chart without end, every float carried alike, each by itself: so a study that was stopped
goes on where it was, on any machine.
"""
