"""What ``rounds`` says to programs and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.words.counts import chart_row, row_word
from fabricsim.design.counted.rounds import Run, WorkedRow
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(scene: Scene, rows: Sequence[WorkedRow]) -> list[dict[str, object]]:
    """Return a line for each row."""
    called, named = words.letters(scene), words.names(scene)
    return [
        {
            "row": one.row + 1,
            "chart_row": chart_row(scene, one.row),
            "side": "WS" if one.wrong_side else "RS",
            "stitches": one.line.stitches,
            "short": words.line_text(one.line, called, "p" if one.wrong_side else "k"),
            "in_words": words.row_in_words(one, named, row_word(scene))[1],
        }
        for one in rows
    ]


def for_programs(scene: Scene, rows: Sequence[WorkedRow]) -> dict[str, Any]:
    """Return every row for JSON."""

    def said(runs: Sequence[Run]) -> list[dict[str, Any]]:
        return [
            {
                "yarn": scene.yarns[run.yarn].symbol,
                "stitches": run.stitches,
                "catch": [{"yarn": scene.yarns[yarn].symbol, "behind_stitch": at} for at, yarn in run.caught],
            }
            for run in runs
        ]

    return {
        "schema_version": SCHEMA_VERSION,
        "command": "rounds",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "worked": scene.worked,
        "stitches": len(scene.piece_rows()[0]),
        "repeats_across": scene.chart.across,
        "yarns": {short: scene.yarns[yarn].symbol for yarn, short in words.letters(scene).items()},
        "strands_from_below": [scene.symbols[yarn] for yarn in scene.strands_from_below],
        "rows": [
            {
                **line,
                "worked": "left to right" if one.wrong_side else "right to left",
                "before": said(one.line.before),
                "repeat": said(one.line.again),
                "times": one.line.times,
                "after": said(one.line.after),
            }
            for one, line in zip(rows, lines(scene, rows), strict=True)
        ],
    }
