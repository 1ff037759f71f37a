"""What ``motifs`` says to programs and spreadsheets."""

from __future__ import annotations

from typing import Any

from fabricsim.cli.commands.motifs.words import MotifsTold, called, why_said
from fabricsim.cli.shell.answer import head_of
from fabricsim.study.motifs.classes import Motif
from fabricsim.study.motifs.mapping import MotifRow

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""
RESULTS = (
    *("draw_in_percent", "pucker_mm", "onset_slack_percent", "longest_gap_stitches", "floats_per_stitch"),
    *("plain_rows_percent", "floats_over_limit"),
)
COLUMNS = ("place", "motif", "kind", "rows", "stitches", "symmetric", "chart", *RESULTS, "why")
"""Of the table for spreadsheets: keys of every line, one a motif, the best first."""


def for_programs(told: MotifsTold) -> dict[str, Any]:
    """Return all of it for JSON: charts as printed, the second yarn as x."""
    return {
        **head_of("motifs", SCHEMA_VERSION, told.scene),
        "floats_carried": "all alike",
        "classes_up_to_this_size": told.there,
        "asked_about": len(told.asked.motifs),
        "stopped": told.stopped,
        "motifs": [{**line, "chart": str(line["chart"]).split()} for line in lines(told)],
    }


def lines(told: MotifsTold) -> list[dict[str, object]]:
    """Return a line for every motif that has a row."""
    return [_line(told, place, motif, row) for place, (motif, row) in enumerate(told.found, start=1)]


def _line(told: MotifsTold, place: int, motif: Motif, row: MotifRow) -> dict[str, object]:
    chart = " ".join("".join(".x"[yarn] for yarn in yarn_j) for yarn_j in reversed(motif.chart_ij))
    cells = (place, called(motif, told.scene), motif.kind, motif.rows, motif.stitches, motif.symmetric, chart)
    return dict(zip(COLUMNS, (*cells, *(row.get(key) for key in RESULTS), why_said(row)), strict=True))
