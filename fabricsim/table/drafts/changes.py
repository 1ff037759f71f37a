"""Each message that changes the scene, and the text that it makes of it."""

from __future__ import annotations

import base64
import binascii
import string
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import tomlkit

from fabricsim.design.scene.chart import ChartSpec, Rows, read_chart
from fabricsim.design.scene.limits import check_size
from fabricsim.errors import InputError
from fabricsim.table.drafts.chart import check_yarns, with_chart
from fabricsim.table.drafts.keys import with_keys
from fabricsim.table.drafts.motifs import resized, with_motif
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.asked import (
    AskAddYarn,
    AskChart,
    AskDrop,
    AskMotif,
    AskPaint,
    AskSet,
    AskSize,
    AskTakeYarn,
    FileGiven,
)

AskChange = AskPaint | AskChart | AskMotif | AskSize | AskSet | AskAddYarn | AskTakeYarn | AskDrop
"""Messages that make another scene of this one."""
SYMBOLS = "." + "x#o+*-=%" + string.ascii_letters + string.digits
"""From which the symbol of a new yarn is taken, in this order (chosen: easily told apart in a chart of letters)."""
USUAL_METRES = 200
"""To 100 g, of a yarn that is added where no other says so (chosen: worsted)."""
PICTURE = b"\x89PNG\r\n\x1a\n"


def changed(draft: SceneText, asked: AskChange) -> SceneText:
    """Return the ``draft`` with what is ``asked`` for; raises ``InputError``, naming what is wrong, if it can't be."""
    scene = draft.scene
    chart_ij = scene.chart_rows()
    match asked:
        case AskPaint():
            return with_chart(draft, _painted(chart_ij, asked, scene.where("chart")))
        case AskChart():
            _check_room(draft, len(asked.rows), len(asked.rows[0]))
            return with_chart(draft, asked.rows)
        case AskMotif():
            return with_chart(draft, with_motif(chart_ij, asked))
        case AskSize():
            return _resized(draft, asked)
        case AskSet():
            return with_keys(draft, asked.values)
        case AskAddYarn():
            return _with_yarn(draft, asked)
        case AskTakeYarn():
            return _without_yarn(draft, asked)
        case AskDrop():
            return with_chart(draft, _dropped(draft, asked.file))


def bytes_of(file: FileGiven) -> bytes:
    """Return what is in a file that the page sent; raises ``InputError`` if that is not base64."""
    try:
        return base64.b64decode(file.data, validate=True)
    except (binascii.Error, ValueError):
        raise InputError(file.name, "bytes that are not base64", "a file", "drop it again") from None


def _painted(chart_ij: Rows, asked: AskPaint, where: str) -> Rows:
    rows, stitches = len(chart_ij), len(chart_ij[0])
    painted = [list(row) for row in chart_ij]
    for row, column, yarn in asked.squares:
        if row >= rows or column >= stitches:
            given = f"row {row + 1}, stitch {stitches - column}"
            raise InputError(where, given, f"rows 1 to {rows}, stitches 1 to {stitches}", "paint on the chart")
        painted[row][column] = yarn
    return tuple(map(tuple, painted))


def _resized(draft: SceneText, asked: AskSize) -> SceneText:
    scene = draft.scene
    across = scene.chart.across if asked.across is None else asked.across
    _check_room(draft, asked.rows, asked.stitches, across)
    keep_bottom, keep_left = asked.keep[0] == "bottom", asked.keep[1] == "left"
    sized = resized(
        scene.chart_rows(), asked.rows, asked.stitches, asked.yarn, keep_bottom=keep_bottom, keep_left=keep_left
    )
    if across < scene.chart.across:  # what falls falls first: half way the piece is never larger than it was or will be
        return with_chart(with_keys(draft, {"chart.across": across}), sized)
    charted = with_chart(draft, sized)
    return charted if across == scene.chart.across else with_keys(charted, {"chart.across": across})


def _check_room(draft: SceneText, rows: int, stitches: int, across: int | None = None) -> None:
    """Raise ``InputError`` for a chart so large that its piece is refused, before anything is made of it."""
    scene = draft.scene
    chart = scene.chart if across is None else scene.chart.model_copy(update={"across": across})
    check_size(chart.piece_size(rows, stitches), scene.simulation.stitch_limit, scene.where("chart"))


def _dropped(draft: SceneText, file: FileGiven) -> Rows:
    """Return the chart in a text or picture, read as the commands read one, from a folder of its own."""
    data, scene = bytes_of(file), draft.scene
    picture = data.startswith(PICTURE) or file.name.lower().endswith((".png", ".jpg", ".jpeg", ".gif", ".webp", ".bmp"))
    name = "chart.png" if picture else "chart.txt"
    spec = ChartSpec(**{"image" if picture else "file": name}, **_set_in(scene.chart))
    with TemporaryDirectory(prefix="fabricsim-") as folder:
        (Path(folder) / name).write_bytes(data)
        try:
            limit = scene.simulation.stitch_limit
            return read_chart(spec, scene.yarns, scene=Path(folder) / "scene.toml", stitch_limit=limit)
        except InputError as problem:
            given = problem.given.replace(str(Path(folder) / name), file.name)
            raise InputError(file.name, given, problem.allowed, problem.todo) from None


def _set_in(chart: ChartSpec) -> dict[str, Any]:
    return chart.model_dump(include={"across", "up", "plain_below", "plain_above"})


def _with_yarn(draft: SceneText, asked: AskAddYarn) -> SceneText:
    scene = draft.scene
    symbol = next((one for one in SYMBOLS if one not in scene.symbols), None)
    if symbol is None:
        raise InputError(scene.where("yarns"), "one yarn more", f"at most {len(SYMBOLS)} yarns", "take one away first")
    weight = {"metres_per_100_g": USUAL_METRES} if not scene.yarns else _weight(draft.table["yarns"][-1])
    document: Any = tomlkit.parse(draft.text)
    yarn = tomlkit.table()
    yarn.update({"symbol": symbol, "name": asked.name, "colour": asked.colour, **weight})
    document["yarns"].append(yarn)
    return draft.saying(tomlkit.dumps(document))


def _weight(yarn: dict[str, Any]) -> dict[str, Any]:
    """Return how heavy another yarn is said to be: a new one is taken to be like it."""
    return {key: yarn[key] for key in ("tex", "metres_per_100_g", "yards_per_100_g", "ball_grams") if key in yarn}


def _without_yarn(draft: SceneText, asked: AskTakeYarn) -> SceneText:
    scene, gone = draft.scene, asked.yarn
    if gone >= len(scene.yarns) or asked.instead >= len(scene.yarns) or gone == asked.instead:
        raise InputError(scene.where("yarns"), f"yarn no. {gone + 1}", "a yarn, and another in its place", "name both")
    stays = tuple(tuple(asked.instead if yarn == gone else yarn for yarn in row) for row in scene.chart_rows())
    check_yarns(draft, stays)
    without = with_chart(draft, stays)
    document: Any = tomlkit.parse(without.text)
    symbol, instead = scene.symbols[gone], scene.symbols[asked.instead]
    del document["yarns"][gone]
    floats, chart = document.get("floats", {}), document.get("chart", {})
    if symbol in floats.get("slack_by_yarn", {}):
        del floats["slack_by_yarn"][symbol]
    if "below" in floats:
        kept = [one for one in scene.floats.below if one != symbol]
        floats["below"] = kept
    if chart.get("plain_yarn") == symbol:
        chart["plain_yarn"] = instead
    return draft.saying(tomlkit.dumps(document))
