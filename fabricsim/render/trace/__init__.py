"""From yarn to pixels.

``model`` builds the yarn of a fabric once, with its light, for pictures from all sides. A picture larger than usual is
drawn of finer yarn (``level_for``), as far as memory goes; a close-up builds only the yarn near its stitch, finely
(``Focus``). ``occlusion`` bakes how much of the sky is open above each point of the yarn, which all views share.

``views`` knows the sides of a fabric, which differ in their camera alone. ``camera`` makes it: orthographic, so many
pixels wide, or metres a pixel for print and wherever fabrics are compared. ``sight`` is what its samples look at:
compiled code draws the yarn into a ``depth_buffer``; where there is none, rays find the same (``rays``, by embree).
``trace`` sends rays on from there to the light, ``shade`` says what the yarn looks like, ``lining`` is the dark inside
seen through the gaps, ``shown_form`` what a piece is worn on, ``ground`` lays the traced light on paper, any colour or
nothing. ``forked`` splits the work over processes. The same equilibrium gives the same pixels, however many there are.

A tube's back is seen with its near half cut away: rays begin on the cut, and where one begins inside a strand, nearer
to its middle than its radius, it shows plain fibre (``cut_faces``). Counting walls would not do, as drawn strands are
pressed into each other.

Colours that say something are a ``paint``: the built model in other colours, with the scale that a page shows in place
of the yarns' key. ``float_colours`` makes those of pull, slack and pucker.
"""
