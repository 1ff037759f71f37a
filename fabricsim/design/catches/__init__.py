"""Where to catch floats that would be too long, planned and proven.

``plan.py`` plans each piece as it is worked, ``costs.py`` says what a place costs and which two lie badly together,
``solver.py`` puts it as integer programs, ``integer_program.py`` solves those, ``settling.py`` betters a plan one catch
at a time; ``in_text.py`` writes a plan into the scene's own text. ``design/rows/squares.py`` tells behind which squares
of the chart each float passes, wherever the chart comes to lie: in the round by the spiral, flat from edge to edge,
over the repeat edge where the chart is repeated across. A catch holds one strand; it repeats with the chart, but where
only the join of rounds needs it. scipy is loaded only where something is to be planned; a plan is kept, since pictures
ask for it again and again.

Of all plans that leave nothing open over the limit, first those with the fewest catches, then those with the fewest
that lie badly (stacked one above the other, or side by side, where the second is of no use), then the one whose places
cost least: three programs one after the other, each holding what the one before has found, so no weight need be big
enough. Each begins with the plan that the one before it left, time is shared between them, and when it is up the best
known is used, with how much better a plan might be.

Each program is solved as a linear program first. It is nearly always whole-numbered but for a few squares, so its
reduced costs fix all but what lies within a small reach, HiGHS branches on the rest, and if the answer lies within the
reach it is the optimum. Of three squares in a column the rule "at most one, or pay" is added, which is implied but
makes the linear program tight: without it, half of them are fractional and there is no proof in half a minute.

A gap of n stitches at limit L needs floor(n / (L + 1)) catches, not the trade's ceil(n / L) - 1: behind the caught
stitch itself nothing is open, so 11 stitches at 5 need one catch, not two.
"""
