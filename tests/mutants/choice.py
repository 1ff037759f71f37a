"""Which tests are shown a fault, and in which order."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Mapping
from functools import cached_property
from pathlib import Path

from tests.mutants.faults import Fault
from tests.mutants.record import PROGRAMS, Tried

DEAR = 1.0
"""Processor seconds from which a test waits until no cheaper one has noticed (chosen)."""

Function = tuple[str, int]
"""A module's path in the project, and the line where the function begins (of its first decorator, if any)."""

Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda


class Choice:
    """What is ``tried``, held against the project at ``root``."""

    def __init__(self, root: Path, tried: Mapping[str, Tried]) -> None:
        self.root = root
        self.tried = tried

    def tests_for(self, fault: Fault) -> list[str]:
        """Return the names of the tests that come by a fault: cheap ones first, of those the ones of its own file."""
        found: list[str] = []
        for places in self._places(fault):
            found = found or [
                name
                for name, one in self.tried.items()
                if any(one.ran.get(path, 0) & lines for path, lines in places.items())
            ]
        names: dict[str, list[str]] = {}
        for name in found:
            names.setdefault(_file(name), []).append(name)
        of_file = {file: self.took(some) for file, some in names.items()}

        def order(name: str) -> tuple[bool, bool, bool, float, str, float]:
            took, file = self.took([name]), Path(_file(name))
            same_file = file.stem == f"test_{fault.path.stem}" and file.parts[1:-1] == fault.path.parts[1:-1]
            same_room = file.parts[1:-1] == fault.path.parts[1:-1]
            return took >= DEAR, not same_file, not same_room, of_file[str(file)], str(file), took

        return sorted(found, key=order)

    def within(self, names: Iterable[str], most: float) -> dict[str, float]:
        """Return those of the names that together take so many seconds at ``most``, and what each takes alone."""
        found: dict[str, float] = {}
        made: set[str] = set()
        for name in names:
            one = self.tried[name]
            cost = one.took + sum(spent for fixture, spent in one.shared.items() if fixture not in made)
            if cost <= most:
                most -= cost
                made |= set(one.shared)
                found[name] = self.took([name])
        return found

    def took(self, names: Iterable[str]) -> float:
        """Return what tests take one after the other, with what they have in common made once."""
        shared: dict[str, float] = {}
        own = 0.0
        for name in names:
            own += self.tried[name].took
            shared |= self.tried[name].shared
        return own + sum(shared.values())

    def _places(self, fault: Fault) -> list[dict[str, int]]:
        """Return by which places one comes by a fault; the next where no test has come by the ones before: its lines,
        its function, its file; last whatever tests run in programs that they start."""
        where = fault.path.as_posix()
        tree = self._tree(fault.path)
        inner = [line for line, begin, end in _spans(tree) if begin <= fault.line <= end]
        if inner:
            nearest: list[dict[str, int]] = [{where: _lines_of(tree, fault.line)}, {where: 1 << inner[-1]}]
        else:
            nearest = [{}]
            for path, line in self._reading(fault):
                nearest[0][path] = nearest[0].get(path, 0) | 1 << line
        return [*nearest, {where: -1}, {PROGRAMS: -1}]

    def _reading(self, fault: Fault) -> set[Function]:
        """Return the functions that read the names to which a fault outside of all functions belongs."""
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


def _lines_of(tree: ast.Module, line: int) -> int:
    """Return the lines, a bit for each, of the innermost statement at a line, without those of statements in it."""
    inside = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.stmt) and _begin(node) <= line <= (node.end_lineno or node.lineno)
    ]
    own = max(inside, key=lambda node: (_begin(node), -(node.end_lineno or node.lineno)))
    found = _bits(_begin(own), own.end_lineno or own.lineno)
    for node in ast.walk(own):
        if isinstance(node, ast.stmt) and node is not own:
            found &= ~_bits(_begin(node), node.end_lineno or node.lineno)
    return found or 1 << line


def _begin(node: ast.stmt) -> int:
    return _first_line(node) if isinstance(node, Definition) else node.lineno


def _bits(first: int, last: int) -> int:
    return (1 << last + 1) - (1 << first)


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
