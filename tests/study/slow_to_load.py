"""Notes in which process it was loaded, for the tests of the fork server."""

from __future__ import annotations

import os

LOADED_BY = os.getpid()
