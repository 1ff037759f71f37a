"""The form of a plain loop: how far it swings out, and forward and back."""

from __future__ import annotations

BULGE = 0.235
"""How far the sides of a loop swing out, stitch widths (chosen so that a loop is 4.2 stitch widths long)."""
DEPTH = 0.22
"""How far legs come forward and heads go back, stitch widths (chosen: widest clearance of crossing strands)."""
HEAD_GAP = 0.09
"""Row height less half the height of a loop, stitch widths (chosen, with the two above)."""
YARN_THICKNESS = 0.40
"""Drawn diameter of the yarn, stitch widths (chosen: strands side by side just touch, so the fabric is closed)."""
