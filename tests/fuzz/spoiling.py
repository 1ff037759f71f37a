"""Changes that spoil a file: its values, its keys, its text, its bytes."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from random import Random
from typing import Any

from tests.fuzz.strange import nested, strange_number, strange_text, strange_value

Place = tuple[Any, Any]
"""A table or list, and a key or number in it."""
HUGE = 1e300
"""From here on a whole number may be more than any float."""


def spoil_values(rng: Random, table: dict[str, Any], times: int) -> None:
    """Spoil so many values or keys of a ``table``, anywhere in it."""
    for _ in range(times):
        places = list(_places(table))
        if not places:
            return
        _spoil(rng, *rng.choice(places), places)


def spoil_text(rng: Random, text: str) -> bytes:
    """Return a file of ``text`` with lines doubled or missing, or its bytes broken."""
    lines = text.splitlines(keepends=True) or [""]
    place = rng.randrange(len(lines))
    kind = rng.randrange(12)
    if kind == 0:
        lines.insert(place, lines[place])
    elif kind == 1:
        del lines[place]
    elif kind == 2:
        lines.insert(place, f"{strange_text(rng)}\n")
    elif kind == 3:
        lines.insert(place, "a = " + "[" * rng.choice((10, 1000, 100_000)) + "\n")
    elif kind == 4:
        heads = (".".join("a" * 5000), "[" + ".".join("b" * 40) + "]", "[[yarns]]", "[chart]")
        lines.insert(place, rng.choice(heads) + "\n")
    elif kind == 5:
        lines[place] = lines[place].replace("=", rng.choice(("==", "", ":", "=\n", "= -", "= 0x", "= 1_", "= '")))
    elif kind == 6:
        lines.insert(place, f"#{'x' * rng.choice((1, 100_000))}\n")
    elif kind == 7:
        lines = lines * 2
    elif kind == 8:
        lines.insert(place, f"n = {'9' * 5000}\n")
    data = bytearray("".join(lines).encode("utf-8", "surrogatepass"))
    if kind == 9:
        return spoil_bytes(rng, bytes(data))
    if kind == 10:
        return "".join(lines).encode(rng.choice(("utf-16", "utf-32", "utf-8-sig")), "replace")
    if kind == 11:
        return rng.choice((b"", b"\n", b"\x00", b"[]", b"{}", b"#", bytes(data).replace(b"\n", b"\r\n")))
    return bytes(data)


def spoil_bytes(rng: Random, data: bytes) -> bytes:
    """Return ``data`` cut off, or with bytes changed, missing or added."""
    kind = rng.randrange(4)
    if kind == 0 or not data:
        return data[: rng.randrange(len(data) + 1)]
    changed = bytearray(data)
    for _ in range(rng.choice((1, 1, 3, 30))):
        place = rng.randrange(len(changed))
        if kind == 1:
            changed[place] = rng.randrange(256)
        elif kind == 2 and len(changed) > 1:
            del changed[place]
        else:
            changed[place:place] = rng.randbytes(rng.choice((1, 4)))
    return bytes(changed)


def _spoil(rng: Random, holder: Any, key: Any, places: list[Place]) -> None:
    old = holder[key]
    kind = rng.randrange(10)
    if kind == 0:
        del holder[key]
    elif kind == 1:
        holder[key] = strange_value(rng)
    elif kind == 2:
        holder[key] = strange_text(rng) if isinstance(old, str) else strange_number(rng)
    elif kind == 3:
        holder[key] = [old] if rng.random() < 0.5 else {"value": old}
    elif kind == 4:
        holder[key] = str(old)[:1000] if not isinstance(old, str) else len(old)
    elif kind == 5 and isinstance(holder, dict):
        del holder[key]
        holder[rng.choice((key.upper(), key[:-1], key + key, strange_text(rng)))] = old
    elif kind == 6 and isinstance(holder, dict):
        holder[strange_text(rng)] = strange_value(rng)
    elif kind == 7:
        other, place = rng.choice(places)
        holder[key] = copy.deepcopy(other[place])  # else a table could come to hold itself
    elif kind == 8 and isinstance(old, str) and old:
        cut = rng.randrange(len(old))
        holder[key] = old[:cut] + rng.choice(("", strange_text(rng))) + old[cut + 1 :]
    elif isinstance(old, int | float) and not isinstance(old, bool) and abs(old) < HUGE:
        holder[key] = old * rng.choice((-1, 0, 10, 0.1, 1000, 1 + 1e-15))
    elif isinstance(old, list):
        holder[key] = rng.choice((old * 2, old[:-1], old[::-1], [old], nested(rng, 5)))
    else:
        holder[key] = strange_value(rng)


def _places(held: Any) -> Iterator[Place]:
    """Yield every place of a table, and those of what it holds."""
    inside = held.items() if isinstance(held, dict) else enumerate(held) if isinstance(held, list) else ()
    for key, one in inside:
        yield held, key
        yield from _places(one)
