"""Loaded by a fork server after all else: from here on garbage is looked for again, in what came since alone, so that
those at work do not copy what they share."""

from __future__ import annotations

import gc

gc.freeze()
gc.enable()
