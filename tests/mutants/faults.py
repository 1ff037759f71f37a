"""The faults that can be made in a module: each one small, and such as people make."""

from __future__ import annotations

import ast
import copy
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}

UNREAD_KEYWORDS = {"help", "description", "metavar", "encoding", "strict"}
"""Keywords whose change is none of behaviour, or makes no difference where the code is right."""
EITHER_WAY = {"min", "max", "hypot", "minimum", "maximum"}
"""Functions of which the order of arguments is nothing."""
UNREAD_CALLS = {"TypeVar", "cast", "NewType", "Literal", "Annotated"}
"""What only type checkers read."""
UNREAD_FIELDS = {"annotation", "returns", "decorator_list", "type_params"}
"""Parts of a definition that say what it is, not what it does."""


@dataclass(frozen=True)
class Fault:
    """A fault of one ``kind`` in the module at ``path`` (in the project): the bytes from ``begin`` to ``end`` of its
    source, which start in ``line``, become ``text``."""

    path: Path
    kind: str
    line: int
    begin: int
    end: int
    text: str

    def made_in(self, source: bytes) -> bytes:
        """Return the ``source`` with the fault in it."""
        return source[: self.begin] + self.text.encode() + source[self.end :]

    def counts(self, source: bytes) -> bool:
        """Return whether what comes of it can be read by Python, and as something else."""
        try:
            return ast.dump(ast.parse(self.made_in(source))) != ast.dump(ast.parse(source))
        except SyntaxError:
            return False

    def diff(self, source: bytes) -> list[str]:
        """Return the lines that go, after a minus, and those that come, after a plus."""
        before, after = (text.decode().splitlines() for text in (source, self.made_in(source)))
        return [line for line in unified_diff(before, after, n=0, lineterm="") if not re.match(r"---|\+\+\+|@@", line)]


def faults_in(path: Path, source: bytes) -> list[Fault]:
    """Return every fault that can be made in a module, in the order of its tree; some may not count."""
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    tree = ast.parse(source)
    found = []
    for place in _places(tree, None):
        begin = starts[place.anchor.lineno - 1] + place.anchor.col_offset
        end = starts[place.anchor.end_lineno - 1] + place.anchor.end_col_offset
        for kind, make in KINDS.items():
            for other in make(place.node):
                with suppress(ValueError):  # quotes within quotes of an f-string can't always be written
                    found.append(Fault(path, kind, place.node.lineno, begin, end, place.written(other)))
    return found


@dataclass(frozen=True)
class _Place:
    """A ``node`` of the tree, where its parent holds it, and the ``anchor`` whose text is written anew: itself, or the
    whole f-string that it is a part of, as positions inside of one are not to be had before Python 3.12."""

    node: ast.AST
    parent: ast.AST
    field: str
    index: int | None
    anchor: ast.AST

    def written(self, other: ast.AST) -> str:
        if self.anchor is self.node:
            text = ast.unparse(ast.fix_missing_locations(other))
            return f"({text})" if isinstance(other, ast.expr) and not isinstance(other, ast.Constant) else text
        self._hold(other)
        text = ast.unparse(self.anchor)
        self._hold(self.node)
        return text

    def _hold(self, node: ast.AST) -> None:
        if self.index is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.index] = node


def _places(parent: ast.AST, anchor: ast.AST | None) -> Iterator[_Place]:
    """Yield every node under ``parent`` that says what is done."""
    for field, value in ast.iter_fields(parent):
        if field in UNREAD_FIELDS:
            continue
        for index, node in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if not isinstance(node, ast.AST) or _unread(node):
                continue
            around = anchor or (node if isinstance(node, ast.JoinedStr) else None)
            if hasattr(node, "lineno"):
                yield _Place(node, parent, field, index, around or node)
            yield from _places(node, around)


def _unread(node: ast.AST) -> bool:
    match node:
        case ast.Expr(value=ast.Constant()) | ast.Assert() | ast.Import() | ast.ImportFrom():
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.keyword(arg=name) if name in UNREAD_KEYWORDS:
            return True
        case ast.Call(func=ast.Name(id=name)) | ast.Subscript(value=ast.Name(id=name)) if name in UNREAD_CALLS:
            return True
        case ast.Assign(targets=[ast.Name(id="__all__")]):
            return True
    return False


def _operator(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in OPERATORS:
        yield _with(node, op=OPERATORS[type(node.op)]())
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Invert):
        yield node.operand


def _comparison(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.Compare):
        for place, op in enumerate(node.ops):
            for other in COMPARISONS[type(op)]:
                yield _with(node, ops=[*node.ops[:place], other(), *node.ops[place + 1 :]])


def _condition(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.BoolOp(op=op, values=values):
            yield _with(node, op=ast.And() if isinstance(op, ast.Or) else ast.Or())
            yield values[0] if len(values) == 2 else _with(node, values=values[:-1])
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield operand
        case ast.IfExp(test=test):
            yield _with(node, test=ast.UnaryOp(ast.Not(), test))


def _constant(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield ast.Constant(value + 1)
        case ast.Constant(value=float(value)):
            yield ast.Constant(2.0 * value if value else 1.0)


def _words(node: ast.AST) -> Iterator[ast.AST]:
    """A text without its longest word; one word in other letters; no sign at all."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        text = node.value
        longest = max(re.findall(r"\w+", text), key=len, default="")
        if not longest:
            yield ast.Constant("" if text else "x")
        elif longest == text:
            yield ast.Constant(text.swapcase() if text.swapcase() != text else text + "x")
        else:
            yield ast.Constant(text.replace(longest, "", 1))


def _nothing_returned(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Return(value=value) if value is not None and not _is_none(value):
            yield ast.Return(ast.Constant(None))


def _is_none(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _dropped(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.AugAssign() | ast.Raise():
            yield ast.Pass()
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]) | ast.Continue() | ast.Break():
            yield ast.Pass()
        case ast.Call(args=[first, *_]) if not isinstance(first, ast.Starred | ast.GeneratorExp):
            yield first


def _swapped(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)) if name in EITHER_WAY:
            return
        case ast.Call(args=[first, second, *rest]) if ast.Starred not in (type(first), type(second)):
            yield _with(node, args=[second, first, *rest])


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy.copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


KINDS: dict[str, Callable[[ast.AST], Iterator[ast.AST]]] = {
    "operator": _operator,
    "comparison": _comparison,
    "condition": _condition,
    "constant": _constant,
    "words": _words,
    "nothing returned": _nothing_returned,
    "dropped": _dropped,
    "swapped": _swapped,
}
"""What each kind makes of a node: none, one or several others to stand in its place."""
