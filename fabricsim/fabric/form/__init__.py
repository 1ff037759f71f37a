"""A fabric on a form: a head, an arm, a leg, a hand, a board; put on, at rest, and whether it goes on at all.

- ``shapes.py``: the forms. Each stands upright along y, like the tube; its sections are alike and only their size
  changes, so a form is one section and one polynomial. Its surface is where f(x) + q(y) + h(z) = 0, which
  ``mechanics/energies/clearance.py`` turns into a distance with exact derivatives.
- ``placed.py``: what a form adds to the energy: it pushes back one-sidedly, smooth to second order, and where there is
  friction it drags along the surface. The middle of the fabric lies half a thickness off the form.
- ``laying.py``: where a tube is laid on a form to begin with: along its outline, so that it has not far to go to rest;
  a crown that ruffles off it with its ruffles taken out, as it may have room there.
- ``wearing.py``: puts a tube on and lets it come to rest. A shaped one is let go with its rounds even first, two
  unknowns a round (``turned.py``): rib that is stretched keeps more of its height than plain fabric, and laid too
  low its rim would buckle on the way. Then every stitch sticks where it was laid: that tells how hard the form must
  hold on, as a friction coefficient. Then Coulomb friction, at the least and at the most that skin and hair are known
  to hold: it slips or it holds. Friction depends on the pressure, which depends on where the fabric goes, so forces are
  set and the fabric let rest in turn until neither changes.
- ``passing.py``: whether it goes on: round by round, the widest place that it must pass, and the widest that it opens,
  each stitch no farther than fabric stretches at hand, each float no longer than its yarn: a linear program.
- ``pinned.py``: a flat piece pinned out on a board, its two sides held along a line each.
- ``worn.py``: what is measured of it: girth, stretch, pressure, floats.

Floats lie between the fabric and what wears it, so they follow its curve: a float's yarn counts as shorter by what the
arc is longer than its chord. In rounds that stand off it, such as those of a high crown, it is a chord as ever.

What is as wide all along, a board or a cylinder, keeps a tube at no height: stitch 0 is held there, so the tube is laid
where that is held, and the form's ends go along.

Rows may differ in their count: a whole hat with its crown is put on by the same code, pulled down until its top meets
the head or its rim is over the ears.

Left out: a form gives nowhere, which a scalp hardly and an arm clearly does; heads are taken as round in plan where
they are oval, so pressure is the mean round the head, more at brow and back and less at the temples; friction acts
along the form, not round it.
"""
