"""What ``rounds`` says to programs and spreadsheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from fabricsim import units
from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.finishing import cast_on, ending, finishing
from fabricsim.cli.commands.rounds.rows import line_text, row_in_words
from fabricsim.cli.commands.rounds.ways import full_rows, way_of
from fabricsim.cli.words.counts import chart_row, row_word
from fabricsim.design.counted.rounds import Line, Run, WorkedRow
from fabricsim.design.piece.join import join_of
from fabricsim.design.piece.model import PieceRow, PieceSection, WholePiece
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""


def lines(piece: WholePiece) -> list[dict[str, object]]:
    """Return a line for each row, from the first above the cast-on."""
    calls = _Calls(piece.scene, words.letters(piece), words.names(piece))
    return [_line(calls, section, row) for section in piece.sections for row in section.rows]


class _Calls(NamedTuple):
    """What the yarns of a ``scene`` are ``called`` for short and ``named`` in full, found once for all rows."""

    scene: Scene
    called: Mapping[int, str]
    named: Mapping[int, str]


def _line(calls: _Calls, section: PieceSection, row: PieceRow) -> dict[str, object]:
    scene, called, named = calls
    unit = row_word(scene)
    if isinstance(row.work, WorkedRow):
        short = line_text(row.work.line, called, "p" if row.wrong_side else "k")
        full = row_in_words(row.work, named, unit)[1]
    else:
        short = f"{way_of(row)} {called[row.yarn]}" if row.work is None else f"{way_of(row)}, all {called[row.yarn]}"
        full = full_rows(PieceSection(section.kind, (row,)), named, unit)[0].todo
    return {
        "section": section.kind,
        "row": row.number,
        "chart_row": chart_row(scene, row.number - 1) if section.kind == "chart" else None,
        "side": "WS" if row.wrong_side else "RS",
        "stitches": row.after,
        "short": short,
        "in_words": full,
    }


def for_programs(piece: WholePiece) -> dict[str, Any]:
    """Return the whole piece for JSON."""
    scene, called = piece.scene, words.letters(piece)
    yarn, stitches = piece.cast_on
    head, todo = ending(piece, called)
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "rounds",
        "scene_hash": scene_hash(scene),
        "title": scene.title,
        "size": piece.size or None,
        "worked": scene.worked,
        "stitches": piece.stitches,
        "seam_stitches": piece.makeup.seam,
        "selvedge_stitches": piece.makeup.edges - piece.makeup.seam,
        "steek_stitches": sum(scene.beside),
        "repeats_across": scene.chart.across,
        "yarns": {short: scene.yarns[yarn].symbol for yarn, short in called.items()},
        "join": _join(scene),
        "strands_from_below": [scene.symbols[yarn] for yarn in scene.strands_from_below],
        "finished_cm": piece.finished / units.CM,
        "finished_is_forecast": piece.forecast,
        "height_cm": piece.height() / units.CM,
        "usual_depth_cm": None if piece.usual_depth is None else piece.usual_depth / units.CM,
        "heights_cm": {one.kind: piece.height(one.kind) / units.CM for one in piece.sections},
        "cast_on": {"yarn": scene.yarns[yarn].symbol, "stitches": stitches, "words": cast_on(piece, called)},
        "rows": [
            {**line, "stitches_before": row.before, **_worked(piece, row)}
            for line, row in zip(lines(piece), piece.rows, strict=True)
        ],
        "end": {"how": piece.end, "stitches": piece.last.after, "words": f"{head}: {todo}"},
        "finishing": finishing(piece, called),
    }


def _join(scene: Scene) -> dict[str, int] | None:
    """Return what the step between rounds breaks, and where it would break least; None flat or in one colour."""
    join = join_of(scene)
    if join is None:
        return None
    return {
        "lines_broken": join.edges,
        "best_first_stitch": join.best,
        "lines_broken_there": join.edges_there,
    }


def _worked(piece: WholePiece, row: PieceRow) -> dict[str, Any]:
    """Return the runs of a row; those around the chart are one run of their yarn."""
    scene = piece.scene

    def said(runs: Sequence[Run]) -> list[dict[str, Any]]:
        return [
            {
                "yarn": scene.yarns[run.yarn].symbol,
                "stitches": run.stitches,
                **({} if run.made == "k" else {"made": run.made}),
                "catch": [{"yarn": scene.yarns[yarn].symbol, "behind_stitch": at} for at, yarn in run.caught],
            }
            for run in runs
        ]

    line = row.work.line if isinstance(row.work, WorkedRow) else Line((Run(row.yarn, row.after),))
    return {
        "worked": "left to right" if row.wrong_side else "right to left",
        "before": said(line.before),
        "repeat": said(line.again),
        "times": line.times,
        "after": said(line.after),
    }
