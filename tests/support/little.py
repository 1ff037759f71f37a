"""Little scenes for whatever a user types, and how a command must refuse what it can't do."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from fabricsim.cli import main

RINGS = ("..b...", ".b.b..", "b...b.", ".b.b..", "..b...")


def little(
    rows: Sequence[str] = RINGS,
    *,
    title: str = "Little check",
    names: tuple[str, str] = ("milk", "ink"),
    worked: str = "round",
    across: int = 2,
    floats: str = "slack = 0.0",
    case: str = "repeat",
) -> str:
    """Return a scene in two worsted yarns, ``.`` and ``b``."""
    chart = ", ".join(f'"{row}"' for row in rows)
    return f"""
title = '''{title}'''
worked = "{worked}"
[chart]
rows = [{chart}]
across = {across}
[[yarns]]
symbol = "."
name = '''{names[0]}'''
colour = "#eeeae0"
tex = 500
[[yarns]]
symbol = "b"
name = '''{names[1]}'''
colour = "#1d2b4f"
tex = 500
[gauge]
stitches = 19
rows = 25.5
[floats]
{floats}
[simulation]
case = "{case}"
"""


def assert_refused(
    words: Sequence[object], line: str, scene: Path, capsys: pytest.CaptureFixture[str], whole: bool = False
) -> None:
    """Fail unless the command ends with 2, one ``line`` (its beginning, or the ``whole`` of it) and nothing left beside
    the ``scene``."""
    assert main([str(word) for word in words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    told = [one for one in said.err.splitlines() if not one.endswith(" ...")]  # beside what it was at
    assert len(told) == 1
    assert told[0] == f"fabricsim: {line}" if whole else told[0].startswith(f"fabricsim: {line}")
    assert [one.name for one in scene.parent.iterdir()] == [scene.name]
