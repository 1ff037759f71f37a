"""The records of a run as a table: what was done, by whom, how fast, in how much memory, and with what answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rich.table import Table


@dataclass(frozen=True)
class Record:
    """One line of the table: who did what, at how many stitches, the median ``seconds`` of ``rounds``; ``kept`` is
    the rest."""

    work: str
    by: str
    size: int
    seconds: float
    rounds: int
    kept: dict[str, Any]


def records_of(report: dict[str, Any]) -> list[Record]:
    """Return the records of a report of pytest-benchmark."""
    found = []
    for one in report["benchmarks"]:
        kept, stats = one["extra_info"], one["stats"]
        found.append(Record(kept["work"], kept["by"], kept["size"], stats["median"], stats["rounds"], kept))
    return found


def record_table(records: list[Record]) -> Table:
    """Return all records, grouped by work and size in the order in which they came."""
    table = Table(title="Records (one thread; seconds: median of the rounds; build: the part before solving)")
    for column in ("work", "by"):
        table.add_column(column, no_wrap=True)
    numbers = ("stitches", "seconds", "rounds", "build", "peak MB", "growth MB", "steps", "factorisations")
    for column in numbers:
        table.add_column(column, justify="right")
    table.add_column("status", no_wrap=True)
    table.add_column("residual", justify="right")
    order = list(dict.fromkeys(one.work for one in records))
    for one in sorted(records, key=lambda r: (order.index(r.work), r.size)):
        kept = one.kept
        table.add_row(
            one.work,
            one.by,
            _number(one.size or None, "d"),
            _number(one.seconds, ".4g"),
            str(one.rounds),
            _number(kept.get("build"), ".3g"),
            _number(kept.get("peak_mb"), ".0f"),
            _number(kept.get("growth_mb"), ".0f"),
            _number(kept.get("steps"), "d"),
            _number(kept.get("factorisations"), "d"),
            kept.get("status", "-"),
            _number(kept.get("residual"), ".1e"),
        )
    return table


def _number(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)
