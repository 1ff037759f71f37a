"""Where the table keeps what lies on it, on every system."""

from __future__ import annotations

import os
import sys
from pathlib import Path

ELSEWHERE = "FABRICSIM_STATE"
"""Variable of the environment that names another folder."""


def state_folder() -> Path:
    """Return the folder for what the table keeps: the user's own, as each system has one for the state of programs."""
    named = os.environ.get(ELSEWHERE)
    if named:
        return Path(named)
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:  # XDG Base Directory Specification 0.8
        base = Path(os.environ.get("XDG_STATE_HOME") or home / ".local" / "state")
    return base / "fabricsim" / "table"
