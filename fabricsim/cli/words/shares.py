"""Shares and slacks in words."""

from __future__ import annotations

SAID = 5e-4
"""Shares below half of the last digit printed are nothing."""


def percent(share: float, digits: int = 0) -> str:
    """Return a share as a per cent of so many ``digits``: ``7 %``."""
    return f"{100.0 * share:.{digits}f} %"


def share_said(share: float) -> str:
    """Return a share as a per cent without needless digits."""
    return f"{round(100.0 * share, 1):g} %"


def slack_words(slack: float) -> str:
    """Return a slack in words: ``4 % too short``."""
    if abs(slack) < SAID:
        return "no slack: just long enough"
    return f"{share_said(abs(slack))} too short" if slack < 0.0 else f"{share_said(slack)} slack"
