"""Reading a TOML file: every one that the package reads, a scene or what was measured, is read here."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from fabricsim.design.scene.complaint import complaint
from fabricsim.design.scene.opened import read_text
from fabricsim.design.scene.part import Part
from fabricsim.design.scene.slips import slip
from fabricsim.errors import InputError

P = TypeVar("P", bound=Part)

# The library reads deep lists by recursion, which ends by itself, but keys such as a.a.a.a in a time that grows with
# the square of their length: minutes for a file of a hundred kilobytes. Strings and remarks may be full of dots.
_STRINGS = re.compile(r'''"""(?:[^\\]|\\.)*?"""|\'{3}.*?\'{3}|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|#[^\n]*''', re.DOTALL)
_NO_END = re.compile(r"(?<![\w-])(?:[\w-]++[ \t]*+\.[ \t]*+){64}")


def read_part(
    path: Path,
    kind: type[P],
    what: str,
    where: str | None = None,
    context: dict[str, Any] | None = None,
    before: Callable[[Mapping[str, Any]], Mapping[str, Any]] | None = None,
) -> P:
    """Return the part of this ``kind`` in the file ``path``; ``what`` it should be, in words: "a scene".

    ``context`` is handed to the part's validators; ``before`` changes the table first. Raises ``InputError``, naming
    file and key (or ``where``, if there is no such file).
    """
    return part_of_text(read_text(path, where or str(path)), path, kind, what, context, before)


def part_of_text(
    text: str,
    path: Path,
    kind: type[P],
    what: str,
    context: dict[str, Any] | None = None,
    before: Callable[[Mapping[str, Any]], Mapping[str, Any]] | None = None,
) -> P:
    """Return the part that a ``text`` in TOML says, as ``read_part`` does; errors say that it stands at ``path``."""
    nested = InputError(path, "tables nested without end", f"{what} in TOML", "check the file")
    if _NO_END.search(_STRINGS.sub("s", text)):
        raise nested
    try:
        table = tomllib.loads(text)
    except ValueError as problem:  # TOMLDecodeError, or a number of thousands of digits
        meant = slip(path, text, problem)
        if meant is not None:
            raise meant from None
        raise InputError(path, f"a file that isn't TOML ({problem})", f"{what} in TOML", "mend that line") from None
    except RecursionError:
        raise nested from None
    try:
        return kind.model_validate(table if before is None else before(table), context=context)
    except ValidationError as problem:
        raise complaint(path, problem.errors(include_url=False), kind) from None
