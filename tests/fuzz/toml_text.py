"""Tables as TOML: whatever Python's own reader of it gives back, and names and text of any sort."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from fabricsim.design.scene.wording import quoted

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_text(table: Mapping[str, Any]) -> str:
    """Return ``table`` as a file in TOML: what is no table first, as ``tomllib`` would otherwise take it into one."""
    plain = [f"{_key(key)} = {_value(one)}" for key, one in table.items() if not _is_section(one)]
    for key, one in table.items():
        if isinstance(one, dict):
            plain += ["", f"[{_key(key)}]", *(f"{_key(inner)} = {_value(given)}" for inner, given in one.items())]
        elif _is_section(one):
            for part in one:
                plain += ["", f"[[{_key(key)}]]"]
                plain += [f"{_key(inner)} = {_value(given)}" for inner, given in part.items()]
    return "\n".join(plain) + "\n"


def _is_section(one: object) -> bool:
    of_tables = isinstance(one, list) and bool(one) and all(isinstance(part, dict) for part in one)
    return isinstance(one, dict) or of_tables


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else quoted(key)


def _value(one: Any) -> str:
    if isinstance(one, bool):
        return "true" if one else "false"
    if isinstance(one, str):
        return quoted(one)
    if isinstance(one, int | float):
        return repr(one)
    if isinstance(one, dict):
        return "{ " + ", ".join(f"{_key(key)} = {_value(part)}" for key, part in one.items()) + " }"
    if isinstance(one, list | tuple):
        return "[" + ", ".join(map(_value, one)) + "]"
    return str(one.isoformat())  # a date or a time
