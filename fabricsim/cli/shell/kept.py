"""What is said of rows that are kept on the disk: where damage was found, and that nothing of it counts."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from fabricsim.cli.words.counts import count

if TYPE_CHECKING:
    from fabricsim.study.compare.store import Store


def say_damage(store: Store | None) -> None:
    """Say on standard error what of the rows was damaged, if anything."""
    if store is not None and store.damaged:
        lines = count(store.damaged, "damaged line")
        told = f"what was lost is worked out anew; the file as it was is kept in {store.original}"
        print(f"fabricsim: {lines} in {store.path}: {told}", file=sys.stderr)


def say_once_more(settings: int) -> None:
    """Say on standard error how many ``settings`` are brought to rest though their rows are there."""
    if settings:
        why = "the shape that the next one starts from is lost or damaged"
        print(f"fabricsim: {count(settings, 'setting')} to be brought to rest once more: {why}", file=sys.stderr)
