"""Plain words for how far a fabric puckers, and the thresholds behind them."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.lengths import fine_plain
from fabricsim.units import MM

SAID_HEIGHT = 0.05 * MM
"""Heights below half of the last digit printed are nothing, m."""


@dataclass(frozen=True)
class PuckerWord:
    """A plain word for a pucker of ``least`` to ``below`` (m), peak to valley."""

    word: str
    least: float
    below: float

    @property
    def range_mm(self) -> str:
        """The thresholds for programs: ``1 to 3 mm``."""
        if self.least == 0.0:
            return f"under {self.below / MM:g} mm"
        if self.below == float("inf"):
            return f"{self.least / MM:g} mm and more"
        return f"{self.least / MM:g} to {self.below / MM:g} mm"

    @property
    def range_said(self) -> str:
        """The thresholds in words: ``1 to 3 mm``."""
        if self.least == 0.0:
            return f"under {fine_plain(self.below)}"
        if self.below == float("inf"):
            return f"{fine_plain(self.least)} and more"
        return f"{fine_plain(self.least).split(' ')[0]} to {fine_plain(self.below)}"


# Chosen: fabric lies flat within half its thickness; 3 mm is seen across a room in side light; 8 mm no blocking hides.
PUCKER_WORDS = (
    PuckerWord("flat", 0.0, 1 * MM),
    PuckerWord("faintly rippled", 1 * MM, 3 * MM),
    PuckerWord("puckered", 3 * MM, 8 * MM),
    PuckerWord("deeply puckered", 8 * MM, float("inf")),
)


def pucker_word(peak_to_valley: float) -> PuckerWord:
    """Return the word for a pucker of ``peak_to_valley`` (m)."""
    return next(word for word in PUCKER_WORDS if peak_to_valley < word.below)
