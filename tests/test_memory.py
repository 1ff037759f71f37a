"""Nothing that is kept for whoever asks again grows without end."""

from __future__ import annotations

import ast
from pathlib import Path

import fabricsim.errors

PACKAGE = Path(fabricsim.errors.__file__).parent
EXCEPTIONS = {
    ("mechanics/energies/registry.py", "KINDS"),  # one for each kind of energy that there is
    ("threads.py", "_libraries"),  # one controller
    ("study/fork_server.py", "_begun"),  # filled once
    ("study/hands/bench.py", "_first"),  # emptied before the next goes in
}

ENDLESS = ("cache", "lru_cache", "lru_cache()")


def endless(tree: ast.Module) -> list[str]:
    """Return the caches of a module without a greatest size, and the empty collections that it begins with."""
    found = []
    for one in ast.walk(tree):
        if isinstance(one, ast.FunctionDef):
            hows = [ast.unparse(how) for how in one.decorator_list]
            if any(how.split(".")[-1] in ENDLESS or "maxsize=None" in how for how in hows):
                found.append(one.name)
    for one in tree.body:
        if isinstance(one, ast.Assign | ast.AnnAssign) and one.value is not None:
            (target,) = one.targets if isinstance(one, ast.Assign) else (one.target,)
            if ast.unparse(one.value) in ("{}", "[]", "dict()", "list()", "set()"):
                found.append(ast.unparse(target))
    return found


def test_nothing_is_kept_without_end() -> None:
    found = {
        (path.relative_to(PACKAGE).as_posix(), name)
        for path in PACKAGE.rglob("*.py")
        for name in endless(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found == EXCEPTIONS


def test_the_rule_sees_what_has_no_end() -> None:
    tree = ast.parse(
        "seen: dict[str, int] = {}\n"
        "@cache\ndef a(): ...\n@functools.cache\ndef b(): ...\n@lru_cache\ndef c(): ...\n"
        "@lru_cache(maxsize=None)\ndef d(): ...\n@lru_cache(maxsize=4)\ndef e(): ...\n"
    )
    assert endless(tree) == ["a", "b", "c", "d", "seen"]
