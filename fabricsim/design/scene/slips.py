"""What was meant where a file isn't TOML: the line of the slip, not the one where the parser stumbled over it."""

from __future__ import annotations

import re
from pathlib import Path

from fabricsim.errors import InputError

CURLY = re.compile(r"[“”„‟«»‘’‚‛]")
"""Quotation marks that programs for letters put in place of straight ones."""
TEXTS = re.compile(r""""(?:[^"\\\n]|\\.)*"|'[^'\n]*'|#[^\n]*""")
"""Texts in straight quotes, and remarks."""
COMMA = re.compile(r"=\s*([-+]?\d+),(\d+)")
SHARE = re.compile(r"=\s*([-+]?\d+(?:[.,]\d+)?)\s*%")
BARE = re.compile(r"=\s*([^\W\d_][^#\n]*)")
COLOUR = re.compile(r"=\s*(#[0-9a-fA-F]{6})\b")
TWICE = re.compile(r"Cannot declare \('(\w+)',\) twice")
NEXT = re.compile(r"\s*([\w.-]+\s*=|\[)")
"""How the next key or table begins."""
LIST = re.compile(r"=\s*\[")
LAST = re.compile(r"""("[^"]*"|'[^']*'|[\w.+-]+|[\]}])$""")
AT = re.compile(r"\(at line (\d+), column (\d+)\)")
ENDS, BEGINS = re.compile(r"""["'\]}\w.]$"""), re.compile(r"""["'\[{\w+.-]""")
"""How a value ends, and how the next one begins."""


def slip(path: Path, text: str, problem: Exception) -> InputError | None:
    """Return what to say of the ``text`` of ``path``, refused with ``problem``; None where nothing more is known."""
    found = AT.search(str(problem))
    if found is None:
        return None
    number, column = int(found[1]), int(found[2])
    lines = text.splitlines()
    line = lines[number - 1] if number <= len(lines) else ""
    where, bare = f"{path}: line {number}", TEXTS.sub("''", line)
    if CURLY.search(bare):
        straight = CURLY.sub('"', line).strip()
        return InputError(
            where, f"the curly quotes {' '.join(CURLY.findall(bare))}", 'straight quotes: "', f"write {straight}"
        )
    if share := SHARE.search(bare):
        amount = share[1].replace(",", ".")
        return InputError(
            where,
            f"{share[1]} %",
            "a number, or a slack with its per cent in quotes",
            f'write {float(amount) / 100.0:g}, or "{amount} %" in quotes, for a share; {amount} for a key in per cent',
        )
    if comma := COMMA.search(bare):
        return InputError(
            where, f"the decimal comma in {comma[1]},{comma[2]}", "a decimal point", f"write {comma[1]}.{comma[2]}"
        )
    if colour := COLOUR.search(line):
        return InputError(where, f"{colour[1]}, which begins a remark", "a colour in quotes", f'write "{colour[1]}"')
    if str(problem).startswith(("Unclosed array", "Unclosed inline table")):
        return _no_comma(path, lines, number, column)
    if str(problem).startswith("Invalid value") and NEXT.match(line) and not line[: column - 1].strip(" \t["):
        return _not_closed(path, lines, number)
    if twice := TWICE.search(str(problem)):
        return InputError(
            where, f"[{twice[1]}] a second time", f"[[{twice[1]}]], as often as there are", "double both brackets"
        )
    if str(problem).startswith("Illegal character '\\n'"):
        return InputError(
            where, f"the text {line.partition('=')[2].strip()} without its end", "a closing quote", "write it"
        )
    if word := BARE.search(bare):
        said = word[1].strip()
        return InputError(
            where, said, "a text in quotes, a number, true or false", f'write "{said}" if you mean the text'
        )
    return None


def _no_comma(path: Path, lines: list[str], number: int, column: int) -> InputError | None:
    """Return which line lacks its comma, where a value follows on a value: the last before it that says something."""
    here = lines[number - 1] if number <= len(lines) else ""
    if not BEGINS.match(here[column - 1 : column]):
        return None
    before = [(number, here[: column - 1]), *((at + 1, lines[at]) for at in range(number - 2, -1, -1))]
    for at, line in before:
        said = TEXTS.sub(lambda one: "" if one[0].startswith("#") else one[0], line).rstrip()
        if said:
            if not ENDS.search(said):
                return None
            last = LAST.search(said)
            end = last[1] if last is not None else said.strip()
            return InputError(f"{path}: line {at}", f"no comma after {end}", "a comma between two values", "write it")
    return None


def _not_closed(path: Path, lines: list[str], number: int) -> InputError | None:
    """Return which list has no closing bracket before line ``number``, where the next table begins."""
    begun = next((at + 1 for at in range(number - 2, -1, -1) if LIST.search(TEXTS.sub("''", lines[at]))), None)
    if begun is None:
        return None
    return InputError(
        f"{path}: line {begun}",
        "a list that is not closed",
        "a closing ]",
        f"write ] before line {number}, {lines[number - 1].strip()}",
    )
