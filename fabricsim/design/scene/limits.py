"""How large a scene may be before it is refused, so that no scene fills the memory unasked."""

from __future__ import annotations

from fabricsim.errors import InputError

MEMORY_PER_STITCH = 100_000
"""Bytes to bring one stitch to rest. Measured on swatches and a tube: 70,000 to 110,000 from 3,500 to 40,000 stitches,
growing slowly, as the factors of the matrix do."""
LARGEST_FILE = 16_000_000
"""Bytes of a scene or chart file. Chosen: some hundred times the largest chart that makes sense."""


def memory_needed(stitches: int) -> str:
    """Return the memory needed to bring so many ``stitches`` to rest, as words: ``3.0 GB``."""
    size = stitches * MEMORY_PER_STITCH
    return f"{size / 1e9:,.1f} GB" if size >= 1e8 else f"{size / 1e6:,.1f} MB"


def check_size(rows_and_stitches: tuple[int, int], stitch_limit: int, where: str) -> None:
    """Raise ``InputError`` (at ``where``) if a piece of these rows and stitches is above ``stitch_limit``."""
    rows, stitches = rows_and_stitches
    if rows * stitches > stitch_limit:
        raise InputError(
            where,
            f"a piece of {rows * stitches:,} stitches (rows: {rows:,}, stitches in each: {stitches:,}), "
            f"which needs about {memory_needed(rows * stitches)} of memory",
            f"at most {stitch_limit:,} stitches ({memory_needed(stitch_limit)})",
            "use fewer repeats, or raise simulation.stitch_limit",
        )
