"""Another chart in the text of a scene."""

from __future__ import annotations

import tomllib
from typing import Any

import tomlkit

from fabricsim.design.counted.chart_in_text import printed_rows, text_with_chart
from fabricsim.design.scene.chart import Rows
from fabricsim.errors import InputError
from fabricsim.table.drafts.text import SceneText


def with_chart(draft: SceneText, chart_ij: Rows) -> SceneText:
    """Return the ``draft`` with this chart, drawn in its text even where it was in a file or a picture.

    Lines of rows that stay keep what is written beside them; so do all, where there are as many rows as before.
    """
    check_yarns(draft, chart_ij)
    rows = printed_rows(chart_ij, draft.scene.symbols)
    text = _line_by_line(draft, rows) or text_with_chart(draft.text, rows)
    if text is None:
        raise InputError(
            draft.scene.where("chart"),
            "a chart in an unusual place",
            "[chart] with its rows",
            "write it so in the file",
        )
    return draft.saying(text)


def check_yarns(draft: SceneText, chart_ij: Rows) -> None:
    """Raise ``InputError`` for a chart that is no rectangle, or of yarns that the scene doesn't have."""
    yarns = len(draft.scene.yarns)
    if len({len(row) for row in chart_ij}) != 1 or not chart_ij[0]:
        raise InputError(draft.scene.where("chart"), "rows of different lengths", "a rectangle", "make them equal")
    most = max(max(row) for row in chart_ij)
    if most >= yarns:
        raise InputError(
            draft.scene.where("chart"), f"yarn no. {most + 1}", f"yarns 1 to {yarns}", "add the yarn first"
        )


def _line_by_line(draft: SceneText, rows: list[str]) -> str | None:
    """Return the text with each row that differs put in its own place; None where rows come or go."""
    written = draft.table.get("chart", {}).get("rows")
    if not isinstance(written, list) or len(written) != len(rows):
        return None
    document: Any = tomlkit.parse(draft.text)
    drawn = document["chart"]["rows"]
    for number, row in enumerate(rows):
        if written[number] != row:
            drawn[number] = row
    text: str = tomlkit.dumps(document)
    wanted = dict(draft.table)
    wanted["chart"] = {**wanted["chart"], "rows": rows}
    return text if tomllib.loads(text) == wanted else None
