"""A scene's own text with other catches in it, everything else left as the designer wrote it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from fabricsim.design.scene.rules import Catch
from fabricsim.design.scene.wording import quoted

_HEADER = re.compile(r"^[ \t]*\[[ \t]*floats[ \t]*\][^\n]*\n?", re.MULTILINE)
_KEY = re.compile(r"^[ \t]*(?:floats[ \t]*\.[ \t]*)?(?:catches|plan_catches)[ \t]*=[ \t]*", re.MULTILINE)


def catches_line(catches: Sequence[Catch]) -> str:
    """Return the key ``catches`` of a scene in TOML, one line of squares for each row of the chart."""
    if not catches:
        return 'catches = "none"'
    lines = [
        "    " + " ".join(f"{{ {_keys(one)} }}," for one in group)
        for _, group in groupby(catches, key=lambda one: one.row)
    ]
    return "\n".join(["catches = [", *lines, "]"])


def _keys(one: Catch) -> str:
    """Return the keys of a catch in TOML."""
    said = one.model_dump(exclude_none=True)
    return ", ".join(f"{key} = {quoted(value) if isinstance(value, str) else value}" for key, value in said.items())


def text_with_catches(text: str, catches: Sequence[Catch]) -> str | None:
    """Return the ``text`` of a scene with these ``catches`` in place of its own; None where that isn't sure to work.

    Each way of changing the text is read again, and counts only if it says what was meant and nothing else.
    """
    wanted = tomllib.loads(text)
    floats = wanted.setdefault("floats", {})
    if not isinstance(floats, dict):
        return None
    floats.pop("plan_catches", None)
    floats["catches"] = tomllib.loads(catches_line(catches))["catches"]
    for changed in _tries(text, catches_line(catches)):
        if table_of(changed) == wanted:
            return changed
    return None


def _tries(text: str, line: str) -> Iterator[str]:
    """Yield the ``text`` with ``line`` in every place where it might belong."""
    if "\r\n" in text:
        line = line.replace("\n", "\r\n")
    end = "\r\n" if "\r\n" in text else "\n"
    places = [(found.start(), value_end(text, found.end())) for found in _KEY.finditer(text)]
    whole = [(start, stop) for start, stop in places if stop is not None]
    for kept, (start, stop) in enumerate(whole):
        indent = re.match(r"[ \t]*(?:floats[ \t]*\.[ \t]*)?", text[start:stop])
        changed = text[:start] + (indent.group() if indent else "") + line + text[stop:]
        yield changed
        others = [place for number, place in enumerate(whole) if number != kept]
        for other, until in others:  # plan_catches beside it
            moved = len(changed) - len(text) if other > start else 0
            yield changed[: other + moved] + changed[until + moved :].removeprefix("\r").removeprefix("\n")
    for found in _HEADER.finditer(text):
        between = "" if found.group().endswith("\n") else end
        yield text[: found.end()] + between + line + end + text[found.end() :]
    yield text + ("" if text.endswith("\n") else end) + f"{end}[floats]{end}{line}{end}"


def value_end(text: str, start: int) -> int | None:
    """Return where the value that starts at ``start`` ends: where it first can be read as one."""
    for found in re.compile(r"[\]\"'e]").finditer(text, start):  # of lists, words, and true or false
        if table_of(f"value = {text[start : found.end()]}") is not None:
            return found.end()
    return None


def table_of(text: str) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        return None
