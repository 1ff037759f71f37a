"""``python -m tests.table.latencies``: how soon the table answers, as a page would find it.

Seconds by the clock, each the middle of several changes: until it is counted, until the first look, until the proven
rest is drawn, until its numbers; and how much went over the wire.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from tests.table.hat import TEXT
from tests.table.visiting import Visitor, served

CHANGES = 7


def chart(rows: int, stitches: int) -> str:
    """Return a chart of small diamonds, as it is written in a scene."""
    drawn = ["".join("#" if (3 * i + j * (1 + i % 3)) % 5 < 2 else "." for j in range(stitches)) for i in range(rows)]
    return "\n".join(f'    "{row}",' for row in drawn)


def scene(rows: int, stitches: int, case: str, slack: float) -> str:
    """Return the hat's scene with another chart, once across and up."""
    head, rest = TEXT.split("rows = [", maxsplit=1)
    rest = rest.split("]", maxsplit=1)[1].replace("across = 8", "across = 1")
    text = f"{head}rows = [\n{chart(rows, stitches)}\n]{rest}".replace('case = "round"', f'case = "{case}"')
    text = text.replace("slack = -0.04", f"slack = {slack}").replace("plain_below = 3\nplain_above = 3\n", "")
    return (
        text.split("[sizes]", maxsplit=1)[0]
        if case != "swatch"
        else text.split("[sizes]", maxsplit=1)[0].replace('worked = "round"', 'worked = "flat"')
    )


def answered(page: Visitor, **asked: Any) -> dict[str, float]:
    """Return how long each answer to a change took."""
    begun = perf_counter()
    page.ask(**asked)
    revision, took, size = None, dict[str, float](), 0
    while "numbers" not in took:
        data = page.socket.recv()
        now = perf_counter() - begun
        told = page.read(data)
        if isinstance(told, tuple):
            if told[0].revision == revision:
                size += len(data)
                took.setdefault("look", now)
                if told[0].rest:
                    took.setdefault("rest", now)
        elif told.kind == "scene":
            revision = told.revision
        elif getattr(told, "revision", None) == revision:
            if told.kind == "counts":
                took["counted"] = now
            elif told.kind == "said":
                took["numbers"] = now
    return took | {"MB": size / 1e6}


def measured(name: str, text: str) -> None:
    """Print what the table takes for a scene."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scene.toml"
        path.write_text(text, encoding="utf-8")
        with served(Path(folder) / "state", str(path)) as one, one.visit() as page:
            revision = page.until("scene").revision
            page.until("said", revision=revision)
            chart_ij = page_scene(page)
            for what, changes in (
                ("slack", [{"kind": "set", "values": {"floats.slack": -0.03 - 0.004 * n}} for n in range(CHANGES)]),
                ("stitch", [_painted(chart_ij, n) for n in range(CHANGES)]),
            ):
                took = [answered(page, **one_change) for one_change in changes]
                middle = {key: median(one[key] for one in took) for key in took[0]}
                print(
                    f"{name:>28} {what:>7} " + " ".join(f"{key} {value:6.3f}" for key, value in middle.items()),
                    flush=True,
                )


def page_scene(page: Visitor) -> Any:
    page.ask(kind="set", values={"title": "Measured"})
    return page.until("scene", title="Measured").chart


def _painted(chart_ij: Any, number: int) -> dict[str, Any]:
    row, column = 2 + number % (len(chart_ij) - 2), (5 * number) % len(chart_ij[0])
    return {"kind": "paint", "squares": [(row, column, 1 - chart_ij[row][column])]}


if __name__ == "__main__":
    measured("24 x 24 repeat", scene(24, 24, "repeat", -0.04))
    measured("hat, 96 x 19 round", TEXT)
    measured("60 x 60 swatch", scene(60, 60, "swatch", -0.04))
    measured("100 x 100 swatch", scene(100, 100, "swatch", -0.04))
