"""Whether a picture fits into the memory that there is."""

from __future__ import annotations

import os
from pathlib import Path

from fabricsim.cgroups import memory_left
from fabricsim.errors import InputError

BYTES_PER_PX = 40
"""Memory that a pixel needs while it is drawn: four numbers of light, its shadow twice, its colours and the page that
they are pasted on (derived: 16 + 8 + 4 + 4 + 8)."""
USABLE = 0.7
"""Share of the free memory that one picture may take (chosen)."""
MOST_SIDE = 65_500
"""Most pixels to a side (chosen: other programs refuse larger pictures)."""


def free_memory() -> int:
    """Return how much memory is free, bytes: of the machine, or what is left of it to this container."""
    return int(min(_free_on_machine(), memory_left()))


def _free_on_machine() -> int:
    """Return what the system says is free, or half of all where it doesn't say."""
    try:
        for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines():
            if line.startswith("MemAvailable:"):
                return 1024 * int(line.split()[1])
    except OSError:
        pass
    try:
        return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") // 2
    except (AttributeError, ValueError, OSError):  # no such call on this system
        return 2 << 30


def check_room(width_px: int, height_px: int) -> None:
    """Raise InputError for a picture that has more pixels than fit into the memory."""
    needed, free = BYTES_PER_PX * width_px * height_px, free_memory()
    if max(width_px, height_px) > MOST_SIDE or needed > USABLE * free:
        raise InputError(
            "picture",
            f"{width_px} x {height_px} pixels, which take {needed / 2**30:.1f} GB",
            f"at most {MOST_SIDE} pixels to a side, and {USABLE * free / 2**30:.1f} GB on this machine now",
            "ask for fewer dots per inch or a narrower picture",
        )
