"""A forecast piece on whom it is for: which body, which form, where on it, and what is usual.

The form is that of a body in the table of bodies: the scene's own or the usual one. A hat band sits with its middle
where the head is widest, mittens and cuffs with their lowest round at the wrist, sleeves and legs with theirs at wrist
or ankle. Put on is what a forecast shows, the chart alone or the whole piece with rib and crown. What the
scene has washed is put on as it comes out of the wash, not pinned out.
"""
