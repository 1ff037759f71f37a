"""``python -m fabricsim``: the same as the command ``fabricsim``."""

from __future__ import annotations

import sys

from fabricsim.cli import main

sys.exit(main())
