"""Functions that are loaded already are given the code of a spoilt source."""

from __future__ import annotations

import gc
import inspect
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from types import CodeType, FunctionType

Place = tuple[str, int]
"""A file, and the line where a function of it begins."""


def loaded(folder: str) -> dict[str, list[FunctionType]]:
    """Return all functions there are of files under a ``folder``, by file."""
    found = defaultdict(list)
    for one in gc.get_objects():
        if isinstance(one, FunctionType) and one.__code__.co_filename.startswith(folder):
            found[one.__code__.co_filename].append(one)
    return dict(found)


def patch(file: str, before: bytes, after: bytes, functions: Sequence[FunctionType], called: Iterable[Place]) -> bool:
    """Let ``functions``, all there are of a ``file``, do what its source says ``after``; return whether they do.

    They don't where more is wrong than bodies of functions (constants, defaults, what a class is made of), or where one
    of those was ``called`` already: then what was read while the module was loaded is as wrong, and must be read anew.
    """
    pairs = _pairs(compile(before, file, "exec", dont_inherit=True), compile(after, file, "exec", dont_inherit=True))
    if pairs is None:
        return False
    wrong = [old for old, new in pairs if _own(old) != _own(new)]
    gone = {(old.co_filename, old.co_firstlineno) for old in wrong}
    if any(not old.co_flags & inspect.CO_OPTIMIZED for old in wrong) or not gone.isdisjoint(called):
        return False
    instead = {_name(old): new for old, new in pairs}
    if len(instead) < len(pairs) or any(len(old.co_freevars) != len(new.co_freevars) for old, new in pairs):
        return False
    for one in functions:
        if _name(one.__code__) in instead:
            one.__code__ = instead[_name(one.__code__)]
    return True


def _name(code: CodeType) -> tuple[str, int, str]:
    """Return what tells a piece of code from others of its file: two on one line by their variables."""
    return code.co_qualname, code.co_firstlineno, repr((code.co_varnames, code.co_names, code.co_freevars))


def _pairs(old: CodeType, new: CodeType) -> list[tuple[CodeType, CodeType]] | None:
    """Return what is compiled of two sources, side by side, or none where one has a function that the other has not."""
    inner, others = list(_inner(old)), list(_inner(new))
    if [one.co_qualname for one in inner] != [one.co_qualname for one in others]:
        return None
    found = [(old, new)]
    for one, other in zip(inner, others, strict=True):
        below = _pairs(one, other)
        if below is None:
            return None
        found += below
    return found


def _inner(code: CodeType) -> Iterator[CodeType]:
    return (one for one in code.co_consts if isinstance(one, CodeType))


def _own(code: CodeType) -> object:
    """Return all that a piece of code does by itself, whatever the lines that it stands in."""
    constants = [repr(one) for one in code.co_consts if not isinstance(one, CodeType)]
    return (
        code.co_code, code.co_names, code.co_varnames, code.co_freevars, code.co_cellvars, code.co_flags,
        code.co_argcount, code.co_exceptiontable, constants,
    )  # fmt: skip
