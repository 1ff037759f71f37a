"""The tool that asks whether tests see, held against a project of a few lines whose tests see some things."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.mutants import record
from tests.mutants.campaign import drawn, recorded, told, tried
from tests.mutants.choice import Choice
from tests.mutants.faults import KINDS, Fault, faults_in
from tests.mutants.trial import Copy

CODE = '''\
"""A module."""

LIMIT = 3


def over(count: int) -> bool:
    """Return whether it is too many."""
    return count > LIMIT


def said(count: int) -> str:
    return f"{count} floats of {LIMIT}: {'too many' if over(count) else 'few enough'}"


def endless(count: int) -> int:
    while count > 0:
        count -= 1
    return count
'''
TESTS = """\
import pytest

from fabricsim.design.counting import endless, over, said


@pytest.fixture(scope="module")
def verdict():
    return over(5)


def test_over(verdict):
    assert verdict
    assert not over(1)


@pytest.mark.parametrize("want", [True])
def test_verdict(verdict, want):
    assert verdict is want


def test_said():
    assert said(5).endswith("too many")


def test_endless():
    assert endless(2) == 0
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    root = tmp_path / "project"
    for path, text in {
        "pyproject.toml": "[tool.pytest.ini_options]\n",
        "fabricsim/__init__.py": "",
        "fabricsim/design/__init__.py": "",
        "fabricsim/design/counting.py": CODE,
        "tests/__init__.py": "",
        "tests/design/__init__.py": "",
        "tests/design/test_counting.py": TESTS,
        "tests/design/test_another.py": "def test_nothing():\n    pass\n\n\ndef test_wrong():\n    assert False\n",
    }.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text)
    return root


def made(code: str) -> dict[str, list[str]]:
    """Return what each kind of fault makes of a line of code."""
    source = code.encode()
    faults = faults_in(Path("module.py"), source)
    return {
        kind: [one.made_in(source).decode() for one in faults if one.kind == kind and one.counts(source)]
        for kind in KINDS
        if any(one.kind == kind for one in faults)
    }


@pytest.mark.parametrize(
    ("code", "faults"),
    [
        ("a + b", {"operator": ["(a - b)"]}),
        ("-a", {"operator": ["(a)"]}),
        ("a *= b", {"operator": ["a /= b"], "dropped": ["pass"]}),
        ("a < b", {"comparison": ["(a <= b)", "(a > b)"]}),
        ("a is None", {"comparison": ["(a is not None)"]}),
        ("a and b", {"condition": ["(a or b)", "(a)"]}),
        ("not a", {"condition": ["(a)"]}),
        ("x = 2", {"constant": ["x = 3"]}),
        ("x = 0.5", {"constant": ["x = 1.0"]}),
        ("x = True", {"constant": ["x = False"]}),
        ("x = 'one longer word'", {"words": ["x = 'one  word'"]}),
        ("x = 'row'", {"words": ["x = 'ROW'"]}),
        ("x = '; '", {"words": ["x = ''"]}),
        ("x = f'é {a} mm'", {"words": ["x = f' {a} mm'", "x = f'é {a} '"]}),
        ("x = f'{a + b}'", {"operator": ["x = f'{a - b}'"]}),
        ("def f():\n    return a", {"nothing returned": ["def f():\n    return None"]}),
        ("def f():\n    return", {}),
        ("f()", {"dropped": ["pass"]}),
        ("x = f(a, b)", {"dropped": ["x = (a)"], "swapped": ["x = (f(b, a))"]}),
        ("x = max(a, b)", {"dropped": ["x = (a)"]}),
        ("raise Error", {"dropped": ["pass"]}),
        ("'What it does.'", {}),
        ("assert a > b", {}),
        ("def f(a: Literal['x'], *, b: list['y']) -> 'z': ...", {}),
        ("Option(help='What it is for.', strict=True)", {"dropped": ["pass"]}),
        ("@cache(3)\ndef f(): ...", {}),
    ],
)
def test_each_kind_of_fault_by_hand(code: str, faults: dict[str, list[str]]) -> None:
    assert made(code) == faults


def test_the_same_seed_draws_the_same_and_only_what_counts(project: Path) -> None:
    every = drawn(project, Path("fabricsim/design"), 10**6, 0)
    some = drawn(project, Path("fabricsim/design"), 7, 0)
    assert some == every[:7] == drawn(project, Path("fabricsim/design"), 7, 0)
    assert some != drawn(project, Path("fabricsim/design"), 7, 1)
    assert {one.path.as_posix() for one in every} == {"fabricsim/design/counting.py"}
    assert all(one.counts(CODE.encode()) for one in every)
    assert {one.kind for one in drawn(project, Path("fabricsim/design"), 10**6, 0, "words")} == {"words"}


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # of threads that numerical libraries hold ready
def test_faults_are_noticed_or_listed_and_the_project_stays_as_it_is(project: Path, tmp_path: Path) -> None:
    copy = Copy(project, tmp_path)
    kept = tmp_path / "record.json"
    assert recorded(copy, "tests/design", kept) == 1
    known = record.read(kept)
    assert sorted(known) == [
        "tests/design/test_another.py::test_nothing",
        *(f"tests/design/test_counting.py::test_{name}" for name in ("endless", "over", "said", "verdict[True]")),
    ]
    choice = Choice(copy.root, known)

    def fault(before: str, after: str) -> Fault:
        begin = CODE.index(before)
        return Fault(
            Path("fabricsim/design/counting.py"), "by hand", CODE[:begin].count("\n") + 1, begin,
            begin + len(before), after,
        )  # fmt: skip

    def names(one: Fault) -> Sequence[str]:
        return sorted(name.split("::test_")[1] for name in choice.tests_for(one))

    turned, limit, word, forever = (
        fault("count > LIMIT", "count < LIMIT"),
        fault("LIMIT = 3", "LIMIT = 4"),
        fault("few enough", "few"),
        fault("count -= 1", "pass"),
    )
    assert names(turned) == ["over", "said", "verdict[True]"]
    assert names(limit) == ["over", "said", "verdict[True]"]  # outside of all functions: whoever reads it
    assert names(word) == ["said"]
    outcomes = [tried(copy, choice, one, 100.0, start=1.0) for one in (turned, limit, word, forever)]
    assert [one.noticed for one in outcomes] == [True, False, False, True]
    assert [one.out_of_time for one in outcomes] == [False, False, False, True]
    lines = told(outcomes, copy.root).splitlines()
    assert lines[1:4] == [
        "fabricsim/design/counting.py:3 by hand: SURVIVED 3 of 3 tests",
        "    -LIMIT = 3",
        "    +LIMIT = 4",
    ]
    assert lines[-1].split() == ["all", "4", "2", "2", "50"]
    for root in (project, copy.root):
        assert (root / "fabricsim/design/counting.py").read_text() == CODE
