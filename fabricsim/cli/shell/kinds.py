"""What kind of file it is, by what is in it: so that a table never takes the place of a picture, nor of a scene."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Literal, get_args

Kind = Literal[
    "a PNG",
    "a GIF",
    "a WebP",
    "a PDF",
    "an SVG",
    "a web page",
    "a GLB",
    "a PLY",
    "an OBJ",
    "a JSON file",
    "the kept rows of a study",
    "a scene",
    "a knitter's file",
    "a TOML file",
    "a chart in symbols",
    "a table in CSV",
    "a text file",
    "a file of some other kind",
]
"""In the words of a refusal."""

HEAD = 65_536
"""Bytes that are looked at (chosen: a scene's tables begin long before)."""
_BEGIN: dict[bytes, Kind] = {
    b"\x89PNG\r\n\x1a\n": "a PNG",
    b"GIF8": "a GIF",
    b"%PDF-": "a PDF",
    b"glTF": "a GLB",
    b"ply\n": "a PLY",
    b"ply\r\n": "a PLY",
    b'{"format":': "the kept rows of a study",
}
"""First bytes (the formats' own specifications); kept rows as ``study/compare/store.py`` begins them."""
_SAY: tuple[tuple[str, Kind], ...] = (
    (r"\A\s*(<!doctype html|<html)", "a web page"),
    (r"\A\s*(<\?xml.{,2000}?)?(<!.{,2000}?)?<svg[\s>]", "an SVG"),
    (r"^\s*\[chart\]|^\s*\[\[yarns\]\]", "a scene"),
    (r"^\s*\[bending\]", "a knitter's file"),
    (r"\A(\s|#[^\n]*\n)*(\[\[?[\w.\-\"' ]+\]\]?[ \t]*(#|$)|[\w.\-\"']+[ \t]*=[^=])", "a TOML file"),
    (r"\A\s*[{\[]", "a JSON file"),
    (r"^v([ \t]+-?\d[\d.e+-]*){3}", "an OBJ"),
)
"""What the text of a file says, looked for in this order."""
_BY_SUFFIX: dict[str, Kind] = {
    ".png": "a PNG",
    ".gif": "a GIF",
    ".webp": "a WebP",
    ".pdf": "a PDF",
    ".svg": "an SVG",
    ".html": "a web page",
    ".glb": "a GLB",
    ".ply": "a PLY",
    ".obj": "an OBJ",
    ".json": "a JSON file",
    ".csv": "a table in CSV",
}
"""What the commands write under a name that ends so; under any other they write text, if they don't say what."""
_MATCHED = tuple((re.compile(say, re.MULTILINE | re.IGNORECASE | re.DOTALL), kind) for say, kind in _SAY)
WRITTEN_BY_HAND: tuple[Kind, ...] = ("a scene", "a TOML file", "a chart in symbols")
"""Nothing goes over one of these unasked, not even its like: somebody sat over it."""
assert set(_BEGIN.values()) | set(dict(_MATCHED).values()) | set(_BY_SUFFIX.values()) <= set(get_args(Kind))


def kind_by_name(path: Path) -> Kind:
    """Return what the commands write under the name ``path``, unless they say otherwise."""
    return _BY_SUFFIX.get(path.suffix.lower(), "a text file")


def kind_of_file(path: Path, head: bytes) -> Kind:
    """Return the kind of the file at ``path`` that begins with ``head``.

    Its name counts where people write by hand: what is called TOML is no other text, however little is in it.
    """
    kind = kind_of(head)
    named_toml = path.suffix.lower() == ".toml" and kind not in ("a scene", "a knitter's file")
    return "a TOML file" if named_toml else kind


def kind_of(head: bytes) -> Kind:
    """Return the kind of a file that begins with ``head``: all of it, or at least ``HEAD`` bytes."""
    for begin, kind in _BEGIN.items():
        if head.startswith(begin):
            return kind
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "a WebP"
    try:
        text = codecs.getincrementaldecoder("utf-8-sig")().decode(head)
    except UnicodeDecodeError:
        return "a file of some other kind"
    if "\0" in text:
        return "a file of some other kind"
    for say, kind in _MATCHED:
        if say.search(text):
            return kind
    whole = text[: text.rfind("\n") + 1] if len(head) >= HEAD else text
    lines = [line for line in whole.splitlines() if line.strip()]
    if _is_drawn(lines):
        return "a chart in symbols"
    return "a table in CSV" if _is_table(lines) else "a text file"


def _is_drawn(lines: Sequence[str]) -> bool:
    """Return whether these are the rows of a chart in symbols: of one length, no spaces; one row repeats a sign."""
    rows = [line.strip() for line in lines]
    alike = len(set(map(len, rows))) == 1 and (len(rows) > 1 or len(set(rows[0])) < len(rows[0]))
    return alike and not any(re.search(r"[\s,;]", row) for row in rows)


def _is_table(lines: Sequence[str]) -> bool:
    """Return whether every line has as many cells as the first, whose commas are no sentence's: two or more."""
    if not lines or "," not in lines[0] or ", " in lines[0]:
        return False
    try:
        widths = {len(row) for row in csv.reader(lines)}
    except csv.Error:
        return False
    return len(widths) == 1 and min(widths) > 1
