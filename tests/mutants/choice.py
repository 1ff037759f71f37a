"""Which tests are shown a fault, and in which order."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from tests.mutants.faults import Fault
from tests.mutants.record import Function, Tried

DEAR = 1.0
"""Processor seconds from which a test waits until no cheaper one has noticed (chosen)."""

Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda


class Choice:
    """What is ``tried``, held against the project at ``root``."""

    def __init__(self, root: Path, tried: Mapping[str, Tried]) -> None:
        self.root = root
        self.tried = tried

    def tests_for(self, fault: Fault) -> list[str]:
        """Return the names of the tests that come by a fault: cheap ones first, of those the ones of its own file."""
        places = self._functions(fault)
        where = fault.path.as_posix()
        found = [name for name, one in self.tried.items() if one.ran & places]
        if not found:  # read while the module is loaded, and nowhere since
            found = [name for name, one in self.tried.items() if any(path == where for path, _ in one.ran)]
        of_file: dict[str, float] = {}
        for name in found:
            of_file[_file(name)] = of_file.get(_file(name), 0.0) + self.tried[name].took

        def order(name: str) -> tuple[bool, bool, bool, float, str, float]:
            took, file = self.tried[name].took, Path(_file(name))
            same_file = file.stem == f"test_{fault.path.stem}" and file.parts[1:-1] == fault.path.parts[1:-1]
            same_room = file.parts[1:-1] == fault.path.parts[1:-1]
            return took >= DEAR, not same_file, not same_room, of_file[str(file)], str(file), took

        return sorted(found, key=order)

    def took(self, names: list[str]) -> float:
        return sum(self.tried[name].took for name in names)

    def _functions(self, fault: Fault) -> set[Function]:
        """Return the function that a fault is in; of one outside of all, those that read the names it belongs to."""
        where = fault.path.as_posix()
        inner = [line for line, begin, end in _spans(self._tree(fault.path)) if begin <= fault.line <= end]
        if inner:
            return {(where, inner[-1])}
        return {
            place for name in _names_at(self._tree(fault.path), fault.line) for place in self._readers.get(name, ())
        }

    def _tree(self, path: Path) -> ast.Module:
        return ast.parse((self.root / path).read_bytes())

    @cached_property
    def _readers(self) -> dict[str, set[Function]]:
        """For every name the functions that read it, as it is or of something."""
        found: dict[str, set[Function]] = {}
        for path in sorted((self.root / "fabricsim").rglob("*.py")):
            tree, where = ast.parse(path.read_bytes()), path.relative_to(self.root).as_posix()
            for node in ast.walk(tree):
                if isinstance(node, Definition):
                    for inner in ast.walk(node):
                        name = getattr(inner, "id", None) or getattr(inner, "attr", None)
                        if isinstance(name, str):
                            found.setdefault(name, set()).add((where, _first_line(node)))
        return found


def _file(name: str) -> str:
    return name.split("::")[0]


def _first_line(node: Definition) -> int:
    return min([node.lineno, *(one.lineno for one in getattr(node, "decorator_list", []))])


def _spans(tree: ast.Module) -> list[tuple[int, int, int]]:
    """Return where each function is called (its first line), and where its body begins and ends, outer ones first."""
    return [
        (_first_line(node), _body(node), node.end_lineno or node.lineno)
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


def _body(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    return node.body[0].lineno


def _names_at(tree: ast.Module, line: int) -> set[str]:
    """Return the names that are defined by what stands at a line outside of all functions: constants, fields, and the
    function itself where it is a default of one."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or node.lineno):
            match node:
                case ast.Assign(targets=targets):
                    found |= {name.id for one in targets for name in ast.walk(one) if isinstance(name, ast.Name)}
                case ast.AnnAssign(target=ast.Name(id=name)):
                    found.add(name)
                case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name):
                    found.add(name)
    return found
