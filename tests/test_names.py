"""One name, one thing, one address: read from the source of the package and of its tests."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import fabricsim.errors

ROOT = Path(fabricsim.errors.__file__).parents[1]
SOURCES = sorted(path for home in ("fabricsim", "tests") for path in (ROOT / home).rglob("*.py"))

FRONT_DOOR = "fabricsim"
"""What users import: the one module that may pass on what others define."""


def module(path: Path) -> str:
    """Return the dotted name that ``path`` is imported by."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def at_the_top(body: Iterable[ast.stmt]) -> Iterator[ast.stmt]:
    """Yield the statements of a module, those under an ``if`` or ``try`` too."""
    for one in body:
        if isinstance(one, ast.If | ast.Try):
            yield from at_the_top([*one.body, *one.orelse])
        else:
            yield one


def defined(tree: ast.Module) -> set[str]:
    """Return the names that a module makes itself."""
    names = set()
    for one in at_the_top(tree.body):
        if isinstance(one, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            names.add(one.name)
        elif isinstance(one, ast.Assign | ast.AnnAssign):
            targets = one.targets if isinstance(one, ast.Assign) else [one.target]
            names |= {part.id for target in targets for part in ast.walk(target) if isinstance(part, ast.Name)}
    return names


@dataclass(frozen=True)
class Said:
    """What is asked of a module: the names that it ``defines`` and those that it ``takes`` from others, its
    ``classes``, whether it names an ``array``, the values that it gives to names and the ``numbers`` that it holds."""

    defines: frozenset[str]
    takes: tuple[tuple[str, str], ...]
    classes: tuple[str, ...]
    array: bool
    values: frozenset[object]
    numbers: frozenset[float]


def read(tree: ast.Module) -> Said:
    """Return what is asked of a module. Its tree is left: all of them together are a million things to look through,
    whenever garbage is looked for."""
    parts = list(ast.walk(tree))
    given = [one for one in at_the_top(tree.body) if isinstance(one, ast.Assign | ast.AnnAssign)]
    return Said(
        frozenset(defined(tree)),
        tuple(
            (one.module, alias.name)
            for one in parts
            if isinstance(one, ast.ImportFrom) and one.module is not None
            for alias in one.names
        ),
        tuple(one.name for one in parts if isinstance(one, ast.ClassDef)),
        any("NDArray[" in ast.unparse(one.value or one.target) for one in given),
        frozenset(one.value.value for one in given if isinstance(one.value, ast.Constant)),
        frozenset(one.value for one in parts if isinstance(one, ast.Constant) and isinstance(one.value, float)),
    )


@pytest.fixture(scope="module")
def modules() -> dict[str, Said]:
    """Every module of the package and of its tests, by its dotted name."""
    return {module(path): read(ast.parse(path.read_text(encoding="utf-8"))) for path in SOURCES}


def passed_on(said: Said, modules: dict[str, Said]) -> list[str]:
    """Return what a module imports from where it isn't made, as 'module.name'."""
    return [
        f"{home}.{name}"
        for home, name in said.takes
        if home in modules
        and home != FRONT_DOOR
        and name not in modules[home].defines
        and f"{home}.{name}" not in modules
    ]


def test_every_name_is_imported_from_where_it_is_made(modules: dict[str, Said]) -> None:
    found = {name: passed_on(said, modules) for name, said in modules.items()}
    assert len(found) > 100
    assert {name: names for name, names in found.items() if names} == {}


def test_the_rule_sees_a_name_passed_on(modules: dict[str, Said]) -> None:
    tree = ast.parse("def later():\n    from fabricsim.fabric.mesh import Floats, Mesh, RIGHT\n")
    assert passed_on(read(tree), modules) == ["fabricsim.fabric.mesh.Floats"]


def test_a_class_name_means_one_thing(modules: dict[str, Said]) -> None:
    homes: dict[str, list[str]] = {}
    for name, said in modules.items():
        if name.startswith("fabricsim"):
            for one in said.classes:
                homes.setdefault(one, []).append(name)
    assert {name: found for name, found in homes.items() if len(found) > 1} == {}


def test_arrays_are_named_in_one_place(modules: dict[str, Said]) -> None:
    assert {name for name, said in modules.items() if said.array} == {"fabricsim.arrays"}


def test_a_unit_and_gravity_have_one_home(modules: dict[str, Said]) -> None:
    home = "fabricsim.units"
    units = {name for name in modules[home].defines if name.isupper()}
    telling = modules[home].values - {0.1, 0.01, 0.001, 1e-6}  # that many things are as large as a power of ten
    again = {
        name: found
        for name, said in modules.items()
        if name.startswith("fabricsim.") and name != home
        if (found := said.defines & units or said.numbers & telling)
    }
    assert len(telling) >= 3
    assert again == {}
