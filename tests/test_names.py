"""One name, one thing, one address: read from the source of the package and of its tests."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path

import fabricsim.errors

ROOT = Path(fabricsim.errors.__file__).parents[1]
SOURCES = sorted(path for home in ("fabricsim", "tests") for path in (ROOT / home).rglob("*.py"))
TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in SOURCES}

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


DEFINED = {module(path): defined(tree) for path, tree in TREES.items()}


def passed_on(tree: ast.Module) -> list[str]:
    """Return what a module imports from where it isn't made, as 'module.name'."""
    return [
        f"{one.module}.{alias.name}"
        for one in ast.walk(tree)
        if isinstance(one, ast.ImportFrom) and one.module in DEFINED and one.module != FRONT_DOOR
        for alias in one.names
        if alias.name not in DEFINED[one.module] and f"{one.module}.{alias.name}" not in DEFINED
    ]


def test_every_name_is_imported_from_where_it_is_made() -> None:
    found = {str(path.relative_to(ROOT)): passed_on(tree) for path, tree in TREES.items()}
    assert {path: names for path, names in found.items() if names} == {}


def test_the_rule_sees_a_name_passed_on() -> None:
    tree = ast.parse("def later():\n    from fabricsim.fabric.mesh import Floats, Mesh, RIGHT\n")
    assert passed_on(tree) == ["fabricsim.fabric.mesh.Floats"]


def test_a_class_name_means_one_thing() -> None:
    homes: dict[str, list[str]] = {}
    for path, tree in TREES.items():
        for one in ast.walk(tree):
            if isinstance(one, ast.ClassDef) and module(path).startswith("fabricsim"):
                homes.setdefault(one.name, []).append(module(path))
    assert {name: found for name, found in homes.items() if len(found) > 1} == {}


def test_arrays_are_named_in_one_place() -> None:
    aliases = {
        str(path.relative_to(ROOT))
        for path, tree in TREES.items()
        for one in at_the_top(tree.body)
        if isinstance(one, ast.Assign | ast.AnnAssign) and "NDArray[" in ast.unparse(one.value or one.target)
    }
    assert aliases == {"fabricsim/arrays.py"}


UNITS = next(tree for path, tree in TREES.items() if module(path) == "fabricsim.units")


def test_a_unit_and_gravity_have_one_home() -> None:
    units = {name for name in defined(UNITS) if name.isupper()}
    values = {ast.literal_eval(one.value) for one in UNITS.body if isinstance(one, ast.Assign)}
    telling = values - {0.1, 0.01, 0.001, 1e-6}  # that many things are as large as a power of ten says nothing
    again = {
        module(path): names
        for path, tree in TREES.items()
        if module(path).startswith("fabricsim.") and tree is not UNITS
        if (names := defined(tree) & units or {one.value for one in constants(tree) if one.value in telling})
    }
    assert len(telling) >= 3
    assert again == {}


def constants(tree: ast.Module) -> Iterator[ast.Constant]:
    """Yield the fractional numbers written in a module."""
    return (one for one in ast.walk(tree) if isinstance(one, ast.Constant) and isinstance(one.value, float))
