"""``python -m tests.support.laying SECONDS``, then the words of ``fabricsim``: a table that takes the hand to be still
only after so many seconds, so that what takes long is not begun where nobody waits for it."""

from __future__ import annotations

import sys

NEVER = 1e6
"""Seconds after which no test is there any more."""

if __name__ == "__main__":
    from fabricsim.cli import main
    from fabricsim.table.serving import fabric

    fabric.STILL = float(sys.argv[1])
    sys.exit(main(sys.argv[2:]))
