"""What nobody writes on purpose: texts that upset terminals, pages and spreadsheets, numbers at their ends."""

from __future__ import annotations

import datetime
from random import Random
from typing import Any

NAMES = (
    "日本語の毛糸", "שלום", "हिन्दी", "الصوف", "e\u0301cru", "👩\u200d👩\u200d👧", "ﷺ", "İßſ", "A\u0338", "\ufdfa" * 20,
    "it's", '"quoted"', "back\\slash", "=1+1", "+1", "-1", "@SUM(A1)", "a,b;c\t"[:5], "%s %d {} {0}", "{scene}",
    "$(id)", "`ls`", "<script>alert(1)</script>", "&amp; <b>", "]]>", "--json", "[red]bold[/red]", "$x_1^2$",
    "NULL", "1e5", "١٢", "w" * 100,
)  # fmt: skip
"""Names that may stand: they can be seen, in one line."""
SYMBOLS = "日ש१ل\"'\\=+-@,;#<&$%{}[]|`~^_ßİŉ👧𝔸\u2588\ua9c5"
"""Symbols that may stand."""
TEXTS = (
    "", " ", "\t", "\n", "a\nb", "\r", "\x00", "\x1b[31mred\x1b[0m", "\x7f", "\x85", "\u2028", "\u202eback",
    "\u200b", "\ufeff", "\ue000", "\uffff", "\u0301", "a" * 101, "a" * 100_000, "x\n" * 5000, ".", "..", "/",
    "/dev/null", "../scene.toml", "scene.toml", "no.txt", "a" * 300 + ".toml", "\x1b]0;title\x07", "#12345",
    "#gggggg", "0x0", "0x5", "99x99", "1x1\n", "२x२", *NAMES,
)  # fmt: skip
NUMBERS = (
    0, 0.0, -0.0, 1, -1, 2, 3, 0.5, -0.5, 10, 99, 1000, 1e6, 1_000_000, 1_000_001, 2**31, 2**32, 2**63 - 1,
    2**63, 2**64, 10**30, 10**400, -(2**63), 1e15, 1e16, 1e100, 1.7976931348623157e308, -1e308, 5e-324,
    2.2250738585072014e-308, 1e-12, 1e-9, -1e-9, 0.1 + 0.2, float("nan"), float("inf"), float("-inf"),
)  # fmt: skip


def strange_text(rng: Random) -> str:
    """Return a text that may or may not stand."""
    if rng.random() < 0.7:
        return rng.choice(TEXTS)
    return "".join(_sign(rng) for _ in range(rng.choice((1, 1, 2, 5, 40, 200))))


def strange_number(rng: Random) -> Any:
    """Return a number, whole or not, most likely out of any range."""
    if rng.random() < 0.7:
        return rng.choice(NUMBERS)
    return rng.choice((-1, 1)) * 10.0 ** rng.uniform(-320, 308)


def strange_value(rng: Random, depth: int = 0) -> Any:
    """Return anything that TOML can say."""
    kind = rng.randrange(10 if depth < 3 else 6)
    if kind < 3:
        return strange_number(rng)
    if kind < 5:
        return strange_text(rng)
    if kind == 5:
        return rng.choice((True, False, datetime.date(2024, 2, 29), datetime.time(23, 59, 59, 999_999), [], {}))
    if kind == 6:
        often = rng.choice((1, 2, 3, 1000 if depth == 0 else 4))  # a thousand thousands would be no text, but gigabytes
        return [strange_value(rng, depth + 1)] * often
    if kind == 7:
        return {strange_text(rng): strange_value(rng, depth + 1) for _ in range(rng.choice((1, 2, 3)))}
    if kind == 8:
        return nested(rng, rng.choice((2, 10, 50)))
    return [strange_value(rng, depth + 1) for _ in range(rng.randrange(4))]


def nested(rng: Random, depth: int) -> Any:
    """Return lists in lists, or tables in tables, so deep."""
    found: Any = 1
    lists = rng.random() < 0.5
    for _ in range(depth):
        found = [found] if lists else {"a": found}
    return found


def _sign(rng: Random) -> str:
    """Return one character of all that there are, the near ones far more often; no half of one, which is no text."""
    code = rng.randrange(rng.choice((0x80, 0x300, 0x3000, 0x110000)))
    return chr(code) if not 0xD800 <= code < 0xE000 else "?"
