"""A scene that needs no file beside it: its chart drawn in its own text, the files that it names under plain names."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from fabricsim.design.scene.opened import read_bytes
from fabricsim.table.drafts.chart import with_chart
from fabricsim.table.drafts.text import SceneText

NAMED = {"knitter": ("knitter",), "bodies": ("sizes", "file")}
"""Files that a scene may name besides its chart: what each is called in a copy, and its key."""


def alone(draft: SceneText) -> tuple[str, dict[str, bytes]]:
    """Return the text of a copy of the scene and the files that go beside it, by name."""
    text = draft.text
    if draft.scene.chart.rows is None:
        text = with_chart(draft, draft.scene.chart_rows()).text
    files: dict[str, bytes] = {}
    document: Any = tomlkit.parse(text)
    for name, key in NAMED.items():
        table = document
        for part in key[:-1]:
            table = table.get(part, {})
        if key[-1] in table:
            files[f"{name}.toml"] = read_bytes(draft.path.parent / str(table[key[-1]]), ".".join(key))
            table[key[-1]] = f"{name}.toml"
    return (tomlkit.dumps(document) if files else text), files


def write_alone(draft: SceneText, path: Path) -> None:
    """Write such a copy at ``path``, and what goes beside it."""
    text, files = alone(draft)
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write(text)
    for name, data in files.items():
        (path.parent / name).write_bytes(data)
