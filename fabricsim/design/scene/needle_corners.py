"""What a small tube is worked on, and what its corners do to a float."""

from __future__ import annotations

from typing import Literal

Needles = Literal["double-pointed", "magic loop", "two circulars"]
"""What a small tube is worked on."""
CORNER_SHORTER = 0.10
"""Share of its yarn by which a float laid round a corner is shorter (chosen: laid tight over a corner of a square it
would be 1 - cos 45 degrees, 0.29 shorter, and a careful hand loses little; nobody has measured it)."""
