"""What a piece can be put on, to see how it sits."""

from __future__ import annotations

from typing import Literal

On = Literal["head", "hand", "arm", "leg", "board"]
"""A head, a hand, an arm from the wrist, a leg from the ankle, or a flat board for blocking."""
SEWN_FOR: tuple[On, ...] = ("head", "hand", "arm", "leg")
"""What is worked flat is sewn up to go on or over: a board takes it flat, on pins."""
