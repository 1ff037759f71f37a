"""The tool that asks whether tests see, held against a project of a few lines whose tests see some things."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from tests.mutants.campaign import Bench, drawn, shown, told
from tests.mutants.choice import Choice
from tests.mutants.faults import KINDS, Fault, faults_in
from tests.mutants.host import Host
from tests.mutants.kept import Outcome, Outcomes, known
from tests.mutants.record import Tried
from tests.mutants.trial import Copy

CODE = '''\
"""A module."""

from time import sleep

LIMIT = 3


def over(count: int) -> bool:
    """Return whether it is too many."""
    return count > LIMIT


def said(count: int) -> str:
    told = f"{count} floats of {LIMIT}: "
    if over(count):
        return told + "too many"
    return told + "few enough"


def endless(count: int) -> int:
    while count > 0:
        sleep(1e-3)
        count -= 1
    if count < 0:
        return -1
    return count


def nowhere() -> str:
    with open("/dev/null", "w") as file:
        return file.name
'''
TESTS = """\
import pytest

from fabricsim.design.counting import endless, nowhere, over, said


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


def test_said_of_few():
    assert said(1).startswith("1 floats")


def test_endless():
    assert endless(2) == 0


def test_nowhere():
    assert nowhere()
"""

PROGRAM = 'print("counted")\n'
TEST_OF_PROGRAM = """\
import subprocess
import sys


def test_program():
    assert subprocess.check_output([sys.executable, "-m", "fabricsim.design"], text=True) == "counted\\n"
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    root = tmp_path / "project"
    for path, text in {
        "pyproject.toml": "[tool.pytest.ini_options]\n",
        "fabricsim/__init__.py": "",
        "fabricsim/design/__init__.py": "",
        "fabricsim/design/counting.py": CODE,
        "fabricsim/design/__main__.py": PROGRAM,
        "tests/__init__.py": "",
        "tests/design/__init__.py": "",
        "tests/design/test_counting.py": TESTS,
        "tests/design/test_program.py": TEST_OF_PROGRAM,
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
    assert {one.path.as_posix() for one in every} == {
        "fabricsim/design/counting.py",
        "fabricsim/design/__main__.py",
    }
    every = [one for one in every if one.path.stem == "counting"]
    assert all(one.counts(CODE.encode()) for one in every)
    assert {one.kind for one in drawn(project, Path("fabricsim/design"), 10**6, 0, "words")} == {"words"}


def fault(before: str, after: str) -> Fault:
    begin = CODE.index(before)
    return Fault(
        Path("fabricsim/design/counting.py"), "by hand", CODE[:begin].count("\n") + 1, begin, begin + len(before), after
    )


TURNED, LIMIT, WORD, MANY, FOREVER, WAITING, OUTSIDE = (
    fault("count > LIMIT", "count < LIMIT"),
    fault("LIMIT = 3", "LIMIT = 4"),
    fault("few enough", "few"),
    fault('"too many"', '"many too"'),
    fault("count -= 1", "pass"),
    fault("return -1", "return 1"),
    fault('"/dev/null"', '"/dev/nil"'),
)

IN_PROGRAM = Fault(Path("fabricsim/design/__main__.py"), "by hand", 1, 6, 15, '"COUNTED"')
EVERY = (TURNED, LIMIT, WORD, MANY, FOREVER, WAITING, OUTSIDE, IN_PROGRAM)


@pytest.fixture
def bench(project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    # what a whole run is asked to report must not be asked of the tests that a fault is shown to
    monkeypatch.setenv("PYTEST_ADDOPTS", f"--junitxml={tmp_path}.xml")
    copy = Copy(project, tmp_path)
    host = Host(copy, ["tests/design"])
    tried = known(host, copy.root, Path("fabricsim/design"), tmp_path / "record.json")
    yield Bench(copy, host, Choice(copy.root, tried), spare=3.0)
    host.close()


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # of threads that numerical libraries hold ready
def test_faults_are_noticed_or_listed_and_the_project_stays_as_it_is(project: Path, bench: Bench) -> None:
    assert sorted(bench.choice.tried) == [
        "tests/design/test_another.py::test_nothing",
        *(
            f"tests/design/test_counting.py::test_{name}"
            for name in ("endless", "nowhere", "over", "said", "said_of_few", "verdict[True]")
        ),
        "tests/design/test_program.py::test_program",
    ]
    outcomes = [shown(bench, Outcome(one), 100.0) for one in EVERY]
    assert [one.noticed for one in outcomes] == [True, False, False, True, True, False, True, True]
    assert [one.out_of_time for one in outcomes] == [False, False, False, False, True, False, False, False]
    by = [one.by and one.by.split("::test_")[1] for one in outcomes[3:]]
    assert by == ["said", "endless", None, "nowhere", "program"]
    lines = told(outcomes, bench.copy.root).splitlines()
    assert lines[1:4] == [
        "fabricsim/design/counting.py:5 by hand: SURVIVED 4 of 4 tests",
        "    -LIMIT = 3",
        "    +LIMIT = 4",
    ]
    assert lines[-4].split() == ["all", "8", "5", "3", "62"]
    assert [line.split()[0] for line in lines[-2:]] == ["1", "0"]
    for root in (project, bench.copy.root):
        assert (root / "fabricsim/design/counting.py").read_text() == CODE


def test_only_tests_that_come_by_its_lines_are_shown_a_fault(bench: Bench) -> None:
    def names(one: Fault) -> Sequence[str]:
        return sorted(name.split("::test_")[1] for name in bench.choice.tests_for(one))

    assert names(TURNED) == ["over", "said", "said_of_few", "verdict[True]"]
    assert names(LIMIT) == ["over", "said", "said_of_few", "verdict[True]"]  # outside of all functions: who reads it
    assert names(MANY) == ["said"]
    assert names(WORD) == ["said_of_few"]
    assert names(IN_PROGRAM) == ["program"]  # no test comes by its file: those that start programs
    assert names(WAITING) == ["endless"]  # no test comes by the line: those that come by its function


def test_as_many_tests_as_there_is_time_for_with_what_they_share_once() -> None:
    choice = Choice(
        Path(), {name: Tried(took, {"fixture": 5.0}, {}) for name, took in {"a": 1.0, "b": 4.0, "c": 2.0}.items()}
    )
    assert choice.within("abc", 8.0) == {"a": 6.0, "c": 7.0}
    assert choice.within("abc", 12.0) == {"a": 6.0, "b": 9.0, "c": 7.0}
    assert choice.within("abc", 5.9) == {}


def test_a_run_is_gone_on_with(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "outcomes.txt"
    of = len(bench.choice.tests_for(WORD))
    for outcome in (Outcome(TURNED, True, by="some test"), Outcome(WORD, False, bench.choice.tests_for(WORD), of)):
        Outcomes(path, bench.copy.root).add(outcome)
    before = Outcomes(path, bench.copy.root)
    assert before.of(TURNED) == shown(bench, before.of(TURNED), 100.0) == Outcome(TURNED, True, by="some test")
    assert before.of(WORD) == shown(bench, before.of(WORD), 100.0) == Outcome(WORD, False, before.of(WORD).shown, of)
    assert before.of(MANY) == Outcome(MANY, False)
    with bench.copy.spoilt(WORD.path, CODE.encode() + b"\n"):
        assert Outcomes(path, bench.copy.root).of(TURNED) == Outcome(TURNED, False)


def test_what_tests_come_by_is_looked_at_anew_where_a_file_of_tests_was_changed(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "record.json"
    kept = json.loads(path.read_text())
    for one in kept["tried"].values():
        one[0] = 99.0
    path.write_text(json.dumps(kept))
    another = Path("tests/design/test_another.py")

    def again() -> dict[str, Tried]:
        return known(bench.host, bench.copy.root, Path("fabricsim/design"), path)

    assert {one.took for one in again().values()} == {99.0}
    with bench.copy.spoilt(another, (bench.copy.root / another).read_bytes() + b"\n"):
        found = again()
    assert {name.split("::")[0] for name, one in found.items() if one.took < 99.0} == {another.as_posix()}
    with bench.copy.spoilt(WORD.path, CODE.encode() + b"\n"):
        assert max(one.took for one in again().values()) < 99.0
