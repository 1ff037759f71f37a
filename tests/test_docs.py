"""The page of the Python interface says what the package is today, and examples in docstrings run."""

from __future__ import annotations

import dataclasses
import doctest
import importlib
import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

import fabricsim

DOCS = Path(__file__).parent.parent / "docs"
PACKAGE = Path(fabricsim.__file__).parent
EXAMPLES = sorted(
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")
    for path in PACKAGE.rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)
"""Modules with examples in their docstrings."""


@pytest.fixture(scope="module")
def make() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make", DOCS / "make.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples_in_docstrings_run(name: str) -> None:
    done = doctest.testmod(importlib.import_module(name), extraglobs={"fabricsim": fabricsim})
    assert done.attempted > 0
    assert done.failed == 0


def test_the_page_is_up_to_date(make: ModuleType) -> None:
    assert make.page() == make.PAGE.read_text(encoding="utf-8"), "run: python docs/make.py"


def test_the_page_tells_of_the_whole_front_door(make: ModuleType) -> None:
    told = {one.__name__ for one in (*make.FUNCTIONS, *make.ERRORS)}
    assert told == set(fabricsim.__all__)


def test_a_docstring_names_every_field(make: ModuleType) -> None:
    silent = [
        f"{one.__name__}.{field.name}"
        for one in make.RETURNED
        if dataclasses.is_dataclass(one)
        for field in dataclasses.fields(one)
        if f"``{field.name}``" not in make.said(one)
    ]
    assert silent == []


def test_a_scene_says_what_each_of_its_keys_means(make: ModuleType) -> None:
    scene = make.RETURNED[0]
    assert [name for name, _, meaning in make.fields(scene) if not meaning] == []
