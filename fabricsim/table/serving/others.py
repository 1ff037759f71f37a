"""Other tables on this machine: which of them are alive, and which have the same file open."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from http.client import HTTPConnection, HTTPException
from pathlib import Path

from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.journal import lines_of
from fabricsim.table.drafts.left import LOOKED_AT, Left, journals, served_at

PATIENCE = 0.3
"""Seconds that another server of this machine may take to answer (chosen)."""


def is_open(left: Left) -> bool:
    """Return whether a piece lies on another table now."""
    return left.served is not None and answers(*left.served, left.name)


def answers(host: str, port: int, name: str) -> bool:
    """Return whether the piece of this ``name`` lies on a table that is served there."""
    with suppress(OSError, HTTPException, ValueError):
        connection = HTTPConnection(host, port, timeout=PATIENCE)
        try:
            connection.request("GET", "/alive")
            return connection.getresponse().read(200).decode("ascii", "replace") == name
        finally:
            connection.close()
    return False


def same_file(folder: Path, history: History) -> Iterator[str]:
    """Yield where other tables are served that have the file of a piece open."""
    if history.file is None:
        return
    for path in journals(folder)[:LOOKED_AT]:
        if path != history.journal.path:
            with suppress(OSError, ValueError, TypeError):  # a damaged one is no table
                records = [line.record for line in lines_of(path)]
                served = [served_at(one) for one in records if "served" in one]
                if records and records[0].get("file") == history.file and served and answers(*served[-1], path.stem):
                    yield f"http://{served[-1][0]}:{served[-1][1]}"
