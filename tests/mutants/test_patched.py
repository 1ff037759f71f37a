"""Functions given other code, held against the same source loaded anew."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.mutants.patched import loaded, patch

FUNCTIONS = """\
LIMIT = 3


def plain(count, least=1):
    return count + least


def outer(count):
    def inner():
        return count + 1

    return inner


class Of:
    size = 2

    @property
    def twice(self):
        return self.size * 2
"""


@pytest.mark.parametrize(
    ("before", "after", "does", "called"),
    [
        ("count + least", "count - least", True, []),
        ("count + 1", "count + 2", True, []),
        ("self.size * 2", "self.size * 3", True, []),
        ("self.size * 2", "2", True, []),
        ("return count + least", "return None", True, [8]),
        ("return count + least", "return None", False, [4]),
        ("count + 1", "2", False, []),  # what it is made of is no longer passed on to it
        ("LIMIT = 3", "LIMIT = 4", False, []),
        ("least=1", "least=2", False, []),
        ("size = 2", "size = 3", False, []),
        ("return inner", "return lambda: 0", False, []),
    ],
)
def test_loaded_functions_do_what_is_written_now_or_it_is_said(
    tmp_path: Path, before: str, after: str, does: bool, called: list[int]
) -> None:
    file = str(tmp_path / "module.py")
    space: dict[str, Any] = {"__name__": "module"}
    exec(compile(FUNCTIONS, file, "exec"), space)
    functions = loaded(str(tmp_path))[file]
    spoilt = FUNCTIONS.replace(before, after)
    assert patch(file, FUNCTIONS.encode(), spoilt.encode(), functions, [(file, line) for line in called]) is does
    new: dict[str, Any] = {"__name__": "module"}
    exec(compile(spoilt if does else FUNCTIONS, file, "exec"), new)
    assert space["plain"](2) == new["plain"](2)
    assert space["Of"]().twice == new["Of"]().twice
    assert space["outer"](2)() == new["outer"](2)()
