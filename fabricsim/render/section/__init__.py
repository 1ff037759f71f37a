"""One row looked at along the wales, true to scale: why a tight float draws in.

``geometry`` says what there is to see, in metres, ``row`` which stitches and pieces of loops belong to a row,
``layers`` what lies over what and in which colours, those of the pictures; ``figure`` draws that with its dimensions,
``bare`` without words, at the scale of a lesson's pictures.

The yarn is that of the pictures but for one thing: slack floats bow straight off the back instead of hanging a little,
so that their length on paper is that of the yarn. What is measured (``line_kc``) is the line that the solver reckons
with, exact to round-off. Of a tube a section shows one turn of the spiral, cut on the far side of the float that pulls
hardest.
"""
