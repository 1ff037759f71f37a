"""Writes api.md, the page of the Python interface, from signatures, docstrings and a run of example.py."""

from __future__ import annotations

import dataclasses
import inspect
import io
import os
import re
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import chdir, redirect_stdout
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import BaseModel

import fabricsim
from fabricsim.design.floats.found import Float
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.equilibrium import Effort, Equilibrium
from fabricsim.fabric.look import Look
from fabricsim.fabric.measures import Measures, Pucker, Pull, Widths
from fabricsim.fabric.mesh import FloatTable, Mesh
from fabricsim.fabric.stiffness import Stiffness

HERE = Path(__file__).parent
PAGE, EXAMPLE = HERE / "api.md", HERE / "example.py"

FUNCTIONS: tuple[Callable[..., Any], ...] = (
    fabricsim.demo_scene,
    fabricsim.read_scene,
    fabricsim.floats,
    fabricsim.relax,
    fabricsim.settle,
    fabricsim.measure,
    fabricsim.draw,
)
RETURNED: tuple[type, ...] = (
    Scene, Float, Equilibrium, Look, Mesh, FloatTable, Stiffness, Effort, Measures, Widths, Pucker, Pull,
)  # fmt: skip
ERRORS = (fabricsim.FabricsimError, fabricsim.InputError, fabricsim.NoEquilibriumError)

HEAD = """\
# fabricsim from Python

Written by `docs/make.py` from the docstrings; change those, not this page.

Everything is in SI units (m, N, kg, s). `Floats`, `Ints` and `Mask` are numpy arrays of float64, of whole numbers and
of bool. The last letters of an array's name say what its axes count: `n` stitches, `i` rows, `f` floats, `c` the
coordinates x (across), y (up) and z (out of the face), `a` across and up. Row 0 is the bottom row, column 0 the left of
the face.

What all this is worth, and what not, is in the [README](../README.md#how-far-to-trust-them). Floats can catch tiny
fingers and toes: nothing here says that a piece may be worn by a baby."""


def page() -> str:
    """Return the whole page."""
    parts = [HEAD, "## An example", *example(), "## Functions", *map(function, FUNCTIONS)]
    parts += ["## What they return", *map(returned, RETURNED), "## Errors", *map(error, ERRORS)]
    return "\n\n".join(parts) + "\n"


def example() -> Iterator[str]:
    """Yield the cells of the example, each with what it prints."""
    first, *cells = EXAMPLE.read_text(encoding="utf-8").split("\n# %% ")
    yield inspect.cleandoc(first.strip().strip('"'))
    names: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        for cell in cells:
            said, code = cell.split("\n", 1)
            printed = io.StringIO()
            with redirect_stdout(printed):
                exec(compile(code, os.fspath(EXAMPLE), "exec"), names)
            yield prose(said)
            yield fenced(code.strip(), "python")
            if printed.getvalue():
                yield fenced(printed.getvalue().rstrip(), "text")


def function(one: Callable[..., Any]) -> str:
    """Return the section of a function."""
    return f"### {one.__name__}\n\n{fenced(signature(one), 'python')}\n\n{documented(one)}"


def returned(one: type) -> str:
    """Return the section of a class: what it says of itself, its fields, and what it works out of them."""
    lines = [f"### {one.__name__}", documented(one), table(fields(one))]
    asked = [(name, how) for name, how in vars(one).items() if is_public_property(name, how)]
    if asked:
        lines += ["Worked out of these:", table((name, shown(asks(how)), said(how)) for name, how in asked)]
    return "\n\n".join(lines)


def error(one: type) -> str:
    """Return the section of an error."""
    return f"### {one.__name__}\n\n{documented(one)}"


def asks(how: Any) -> Callable[..., Any]:
    """Return the function behind a property."""
    return how.func if isinstance(how, cached_property) else how.fget


def is_public_property(name: str, how: object) -> bool:
    """Return whether a name of a class is a property for users."""
    return isinstance(how, property | cached_property) and not name.startswith("_")


def fields(one: type) -> Iterator[tuple[str, str, str]]:
    """Yield name, type and meaning of every field; what a docstring tells of all its fields stands above the table."""
    if issubclass(one, BaseModel):
        for name, field in one.model_fields.items():
            kind = one.__annotations__[name].removeprefix("Annotated[").split(", Field")[0]
            yield name, kind, field.description or ""
    else:
        yield from ((field.name, str(field.type), "") for field in dataclasses.fields(one))  # type: ignore[arg-type]


def table(rows: Iterable[tuple[str, str, str]]) -> str:
    """Return a table of names, types and, where there are any, meanings."""
    rows = list(rows)
    told = any(meaning for _, _, meaning in rows)
    lines = ["| name | type | meaning |", "|---|---|---|"] if told else ["| name | type |", "|---|---|"]
    for name, kind, meaning in rows:
        cells = [f"`{name}`", "`" + kind.replace("|", "\\|") + "`", *([prose(meaning)] if told else [])]
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def signature(one: Callable[..., Any]) -> str:
    """Return a function as it is called, with types."""
    parts, starred = [], False
    for name, told in inspect.signature(one).parameters.items():
        if told.kind is told.KEYWORD_ONLY and not starred:
            parts.append("*")
            starred = True
        parts.append(f"{name}: {told.annotation}" + ("" if told.default is told.empty else f" = {told.default!r}"))
    return f"fabricsim.{one.__name__}({', '.join(parts)}) -> {shown(one)}"


def shown(one: Any) -> str:
    """Return the type of what a function returns."""
    return str(inspect.signature(one).return_annotation)


def said(one: object) -> str:
    """Return a docstring, which everything public has."""
    text = inspect.getdoc(one)
    if not text:
        raise ValueError(f"{one} says nothing of itself")
    return text


def documented(one: object) -> str:
    """Return a docstring as Markdown: its paragraphs, and its examples as code."""
    blocks = re.split(r"\n\s*\n", said(one))
    return "\n\n".join(fenced(block, "pycon") if block.startswith(">>>") else prose(block) for block in blocks)


def prose(text: str) -> str:
    """Return a paragraph in one line, its names as Markdown has them."""
    return re.sub(r"``(.+?)``", r"`\1`", " ".join(text.split()))


def fenced(text: str, language: str) -> str:
    """Return a block of code."""
    return f"```{language}\n{text}\n```"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
