"""Loaded by a fork server before all else: no garbage is looked for while what it needs comes, which stays to the end
anyway and would take a sixth longer."""

from __future__ import annotations

import gc

gc.disable()
