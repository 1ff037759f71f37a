"""How far fabric stretches.

``pulling.py`` makes the curve by dead loads, each from the rest before: one solve a point and exact at the loads asked
for, where a size would have to be searched. It looks again wherever slopes on both sides of a point differ, so that
locking and jamming show as the kinks they are. Where floats go taut is a root in the size, as a float's way is straight
in it. ``stretching.py`` adds the band: scaling every stiffness by f is scaling the load by 1 / f, so half and twice as
stiff cost nothing; slack as much less and more as hands may be off are curves of their own. Floats are all alike and as
much short as is usual: pulled taut, uneven ones differ little. Stretch against bending stiffness is not varied: it
matters to fabric that puckers only.
"""
