"""From the many errors that pydantic finds to the one line that a knitter can act on."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from fabricsim.design.scene.chart import at
from fabricsim.errors import InputError, meant

_WANTED = {
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "finite_number": "a number that is neither nan nor inf",
    "bool_type": "true or false",
    "model_type": "a table of keys",
    "dict_type": "a table of keys",
    "tuple_type": "a list",
}
_WRITTEN = {
    "colour": ("a colour such as '#2f5d50', or a name such as 'teal'", "write # and six hexadecimal digits"),
    "symbol": ("one character, not a space", "choose a letter or a sign"),
}

KINDS = 16
"""Schemas that are kept (chosen: more than there are kinds of files)."""
MOST_DIGITS = 40
"""Digits of a number that are shown (chosen: they fit a line)."""


@lru_cache(maxsize=KINDS)
def _schema_of(kind: type[BaseModel]) -> Mapping[str, Any]:
    """Return the JSON Schema of a ``kind`` of file, which takes longer to make than a file to read."""
    return kind.model_json_schema()


def complaint(path: Path, errors: Sequence[ErrorDetails], kind_of_file: type[BaseModel]) -> InputError:
    """Return the error to show for ``errors`` found in ``path``, a file of that kind.

    Only one is shown, and an unknown key comes first, since a misspelt key is often the cause of the others.
    """
    error = next((one for one in errors if one["type"] == "extra_forbidden"), errors[0])
    kind, ctx, loc = error["type"], error.get("ctx", {}), error["loc"]
    name = str(loc[-1]) if loc else ""
    where = at(path, _key(loc)) if loc else str(path)
    table = at(path, _key(loc[:-1])) if loc[:-1] else str(path)
    schema = _schema_of(kind_of_file)
    node = _walk(schema, loc)
    if kind == "refused":
        return InputError(where, ctx["given"], ctx["allowed"], ctx["todo"])
    if kind == "extra_forbidden":
        known = list(_walk(schema, loc[:-1])["properties"])
        near = meant(name, known)
        todo = f"did you mean '{near}'?" if near is not None else "take it out, or write one of these"
        return InputError(table, f"the unknown key '{name}'", ", ".join(known), todo)
    if kind == "missing":
        if isinstance(loc[-1], int):
            return InputError(table, f"a list of {loc[-1]}", _entries(_walk(schema, loc[:-1])), "change the list")
        meaning = str(node.get("description", "a value")).rstrip(".")
        return InputError(table, f"no '{name}'", f"{name}: {meaning}", "add this key")
    given = _shown(error["input"])
    if kind in ("too_short", "too_long"):
        return InputError(where, f"a list of {len(error['input'])}", _entries(node), "change the list")
    if name in _WRITTEN and kind.startswith("string_") and kind != "string_type":
        return InputError(where, given, *_WRITTEN[name])
    if kind == "literal_error":
        return InputError(where, given, str(ctx["expected"]), "choose one of these")
    if kind == "string_too_long":
        return InputError(where, f"{len(error['input']):,} letters", f"at most {ctx['max_length']:,}", "say it shorter")
    if kind == "tuple_type" and isinstance(error["input"], dict):
        return InputError(
            where, "a single table", f"a list of tables: [[{name}]]", f"write [[{name}]] in place of [{name}]"
        )
    if kind in ("float_type", "int_type") and (number := _a_number(error["input"])):
        return InputError(where, given, _WANTED[kind], f"write {number}, without quotes")
    if kind in _WANTED and not (kind == "float_type" and type(error["input"]) is int):  # one too large for a float
        return InputError(where, given, _WANTED[kind], "change the value")
    if kind == "string_too_short":
        return InputError(where, given, "some text", "write something here")
    return InputError(where, given, _range(node) or error["msg"], "change the value")


def _a_number(given: object) -> str | None:
    """Return the number that a text says, with its point: ``22.5`` of "22,5"; None if it says none."""
    found = re.fullmatch(r"\s*([-+]?\d+)(?:[.,](\d+))?\s*", given) if isinstance(given, str) else None
    if found is None:
        return None
    return found[1] if found[2] is None else f"{found[1]}.{found[2]}"


def _key(loc: Sequence[str | int]) -> str:
    """Return a place in the file as a knitter counts: ``yarns (no. 2).colour``."""
    return "".join(f" (no. {part + 1})" if isinstance(part, int) else f".{part}" for part in loc).lstrip(".")


def _shown(given: object) -> str:
    """Return what was written, shortened."""
    if isinstance(given, dict):
        return "a table of keys"
    if isinstance(given, list):
        return f"a list of {len(given)}"
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, int) and abs(given) >= 10**MOST_DIGITS:
        return f"a number of more than {MOST_DIGITS} digits"
    text = f"'{given}'" if isinstance(given, str) else str(given)
    return text if len(text) <= 60 else text[:57] + "..."


def _walk(schema: Mapping[str, Any], loc: Sequence[str | int]) -> Mapping[str, Any]:
    """Return the part of ``schema`` that speaks of the place ``loc``; empty if none does."""
    node = _plain(schema, schema)
    for part in loc:
        if isinstance(part, int):
            entries = node.get("prefixItems")
            node = entries[part] if entries and part < len(entries) else node.get("items", {})
        else:
            extra = node.get("additionalProperties")
            node = node.get("properties", {}).get(part, extra if isinstance(extra, dict) else {})
        node = _plain(schema, node)
    return node


def _plain(schema: Mapping[str, Any], node: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return ``node`` with its reference and its first choice (the one that isn't null) put in."""
    if "anyOf" in node:
        chosen = next(one for one in node["anyOf"] if one.get("type") != "null" and "const" not in one)
        node = {**chosen, **{key: value for key, value in node.items() if key != "anyOf"}}
    if "$ref" in node:
        target = schema["$defs"][str(node["$ref"]).rsplit("/", 1)[-1]]
        node = {**target, **{key: value for key, value in node.items() if key != "$ref"}}
    return node


def _range(node: Mapping[str, Any]) -> str:
    """Return the numbers that ``node`` allows, as words: ``above 0, at most 1``."""
    ends = {
        "exclusiveMinimum": "above",
        "minimum": "at least",
        "exclusiveMaximum": "below",
        "maximum": "at most",
    }
    return ", ".join(f"{word} {node[end]:,.10g}" for end, word in ends.items() if end in node)


def _entries(node: Mapping[str, Any]) -> str:
    """Return the number of entries that the list ``node`` allows, as words."""
    least, most = node.get("minItems", 0), node.get("maxItems")
    return f"a list of {least}" if least == most else f"a list of at least {least}"
