"""Reading a TOML file: every one that the package reads, a scene or what was measured, is read here."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from fabricsim.design.scene.complaint import complaint
from fabricsim.design.scene.opened import read_text
from fabricsim.design.scene.part import Part
from fabricsim.errors import InputError

P = TypeVar("P", bound=Part)


def read_part(
    path: Path, kind: type[P], what: str, where: str | None = None, context: dict[str, Any] | None = None
) -> P:
    """Return the part of this ``kind`` in the file ``path``; ``what`` it should be, in words: "a scene".

    ``context`` is handed to the part's validators. Raises ``InputError``, naming file and key (or ``where``, if there
    is no such file).
    """
    try:
        table = tomllib.loads(read_text(path, where or str(path)))
    except ValueError as problem:  # TOMLDecodeError, or a number of thousands of digits
        raise InputError(path, f"a file that isn't TOML ({problem})", f"{what} in TOML", "mend that line") from None
    except RecursionError:
        raise InputError(path, "tables nested without end", f"{what} in TOML", "check the file") from None
    try:
        return kind.model_validate(table, context=context)
    except ValidationError as problem:
        raise complaint(path, problem.errors(include_url=False), kind.model_json_schema()) from None
