"""Records of arrays: compared, hashed and told without an error and without a screenful."""

from __future__ import annotations

import ast
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

import fabricsim.arrays
from fabricsim.arrays import ArrayRecord, Floats

PACKAGE = Path(fabricsim.arrays.__file__).parent
NAMES = {name for name, value in vars(fabricsim.arrays).items() if str(value).startswith("numpy.ndarray[")}


@dataclass(frozen=True, eq=False, repr=False)
class Row(ArrayRecord):
    width_i: Floats
    name: str
    joins: tuple[int, ...] = ()
    aside: Floats | None = field(default=None, compare=False)


ROW = Row(np.array([1.0, np.nan]), "ribbed")


def test_records_are_equal_if_all_they_hold_is() -> None:
    assert Row(np.array([1.0, np.nan]), "ribbed", aside=np.zeros(3)) == ROW
    assert replace(ROW, name="plain") != ROW
    assert replace(ROW, width_i=np.array([1.0, 2.0])) != ROW
    assert replace(ROW, width_i=np.array([1.0])) != ROW
    assert replace(ROW, joins=(1,)) != ROW
    assert ROW != "ribbed"


def test_equal_records_share_a_hash_and_shapes_tell_others_apart() -> None:
    assert hash(ROW) == hash(replace(ROW, width_i=ROW.width_i.copy()))
    assert hash(ROW) != hash(replace(ROW, width_i=np.zeros(3)))
    assert len({ROW, replace(ROW), replace(ROW, name="plain")}) == 2


def test_a_record_is_told_in_one_line() -> None:
    told = repr(replace(ROW, width_i=np.zeros((300, 2)), joins=tuple(range(500))))
    assert told == "Row(width_i=300 x 2, name='ribbed', joins=500 of them, aside=None)"


def compared_as_plain(tree: ast.Module) -> list[str]:
    """Return the dataclasses that hold arrays and leave ``==`` as dataclasses make it, which raises."""
    return [
        one.name
        for one in ast.walk(tree)
        if isinstance(one, ast.ClassDef)
        and any(
            isinstance(part, ast.AnnAssign)
            and NAMES & {name.id for name in ast.walk(part.annotation) if isinstance(name, ast.Name)}
            for part in one.body
        )
        and any("dataclass" in (said := ast.unparse(how)) and "eq=False" not in said for how in one.decorator_list)
    ]


def test_no_dataclass_of_arrays_compares_them_as_if_they_were_numbers() -> None:
    found = {
        str(path.relative_to(PACKAGE)): compared_as_plain(ast.parse(path.read_text(encoding="utf-8")))
        for path in PACKAGE.rglob("*.py")
    }
    assert {path: names for path, names in found.items() if names} == {}


def test_the_rule_sees_a_plain_dataclass_of_arrays() -> None:
    tree = ast.parse("@dataclass(frozen=True)\nclass Row:\n    name: str\n    width_i: Floats | None\n")
    assert compared_as_plain(tree) == ["Row"]
