"""Keys set in the text of a scene, all else left as it was written."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Mapping
from typing import Any

import tomlkit

from fabricsim.errors import InputError
from fabricsim.table.drafts.text import SceneText

MAY_SET = re.compile(
    r"title|story|worked|units|item|bands"
    r"|chart\.(across|up|plain_below|plain_above|plain_yarn)"
    r"|yarns\.\d+\.(name|colour|tex|metres_per_100_g|yards_per_100_g|ball_grams)"
    r"|gauge\.(stitches|rows|needle_mm)|gauge\.colourwork\.(stitches|needle_mm)|needle_mm"
    r"|floats\.(slack|slack_by_yarn|below|unevenness|short_mm|laid|longest_gap|longest_cm|longest_inch|catches|plan_catches)"
    r"|fabric\.\w+|simulation\.(case|inside_out)"
    r"|sizes\.(bodies|rib|rib_cm|ease_percent|crown|crown_every|plain_rounds|lining|rib_fewer_percent)"
)
"""Keys that a page may set: none that names a file, nor one that lets a piece grow beyond its bounds."""

Key = tuple[str | int, ...]


def with_keys(draft: SceneText, values: Mapping[str, Any]) -> SceneText:
    """Return the ``draft`` with these keys, dotted, set to these values; None takes a key out.

    Raises ``InputError`` for a key that may not be set and for what doesn't make a scene.
    """
    document: Any = tomlkit.parse(draft.text)
    wanted = copy.deepcopy(draft.table)
    for name, value in values.items():
        if not MAY_SET.fullmatch(name):
            raise InputError(name[:60], "a key that the table does not set", "keys of a scene", "write it in the file")
        key = tuple(int(part) if part.isdigit() else part for part in name.split("."))
        try:
            _set(document, key, value, fresh=tomlkit.table)
            _set(wanted, key, value, fresh=dict)
        except (KeyError, IndexError, TypeError, AttributeError):
            raise InputError(name, "a key where there is none", "keys of this scene", "add what it is of") from None
    text = tomlkit.dumps(document)
    if tomllib.loads(text) != wanted:  # a way of writing that the library does not master: said, never done by halves
        raise InputError(", ".join(values), "keys in an unusual place", "plain tables", "change them in the file")
    return draft.saying(text)


def _set(table: Any, key: Key, value: Any, fresh: Any) -> None:
    """Set or take out one key of a ``table``; tables on its way that are not there are made ``fresh``."""
    *way, last = key
    for part in way:
        if isinstance(table, dict) and part not in table:
            if value is None:
                return
            table[part] = fresh()
        table = table[part]
    if value is not None:
        if last not in table or table[last] != value:  # what stays may stay as it was written
            table[last] = value
    elif last in table:
        del table[last]


def told_values(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return the keys of a scene that may be set and are, dotted, as far as they are single values."""
    found: dict[str, Any] = {}

    def walk(at: Any, name: str) -> None:
        if isinstance(at, dict):
            for key, value in at.items():
                walk(value, f"{name}.{key}" if name else key)
        elif isinstance(at, list) and name == "yarns":
            for number, value in enumerate(at):
                walk(value, f"yarns.{number}")
        elif isinstance(at, str | int | float | bool) and MAY_SET.fullmatch(name):
            found[name] = at

    walk(table, "")
    return found
