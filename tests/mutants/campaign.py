"""Many faults, one after the other, and what came of each."""

from __future__ import annotations

import random
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from tests.mutants import record
from tests.mutants.choice import Choice
from tests.mutants.faults import KINDS, Fault, faults_in
from tests.mutants.trial import NO_TESTS, OUT_OF_TIME, PASSED, Chosen, Copy

PROJECT = Path(__file__).parent.parent.parent
PATIENCE = 5.0
"""How many times what tests took before they may take with a fault; more is a fault noticed (chosen)."""
START = 20.0
"""Seconds that a run may take beside its tests (chosen)."""


@dataclass(frozen=True)
class Asked:
    """What the command was given."""

    package: str
    count: int
    seed: int
    kind: str | None
    most: float
    tests: str | None
    record: str | None


@dataclass(frozen=True)
class Outcome:
    """What became of a fault: ``noticed``, and ``tests`` shown it of ``of`` that come by it."""

    fault: Fault
    noticed: bool
    tests: int
    of: int
    out_of_time: bool = False


def main(asked: Asked) -> int:
    """Run it all and print it; return an exit status: 0, or 2 where there is nothing to do."""
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Copy(PROJECT, Path(folder))
        faults = drawn(copy.root, Path("fabricsim") / asked.package, asked.count, asked.seed, asked.kind)
        if not faults:
            print(f"{asked.package}: given a package without code; allowed: a folder of fabricsim", file=sys.stderr)
            return 2
        kept = Path(asked.record).absolute() if asked.record else Path(folder) / "record.json"
        if not kept.exists():
            code = recorded(copy, asked.tests or f"tests/{asked.package.split('/')[0]}", kept)
            print(f"the tests as they are: exit status {code}; those that fail are left out", flush=True)
        choice = Choice(copy.root, record.read(kept))
        outcomes = []
        for number, fault in enumerate(faults, 1):
            outcomes.append(tried(copy, choice, fault, asked.most))
            print(f"{number:4d} {line_of(outcomes[-1])}", flush=True)
        print(told(outcomes, copy.root))
    return 0


def drawn(project: Path, package: Path, count: int, seed: int, kind: str | None = None) -> list[Fault]:
    """Return so many of the faults that can be made in a ``package``, always the same for a seed."""
    sources = {path.relative_to(project): path.read_bytes() for path in sorted((project / package).rglob("*.py"))}
    every = [one for path, source in sources.items() for one in faults_in(path, source) if kind in (None, one.kind)]
    random.Random(seed).shuffle(every)
    return list(islice((one for one in every if one.counts(sources[one.path])), count))


def recorded(copy: Copy, tests: str, kept: Path) -> int:
    """Run all the ``tests`` without a fault and leave what they come by in the file ``kept``."""
    recorder = record.Recorder(copy.root)
    return copy.run([tests], [recorder], 24 * 3600.0, lambda: record.write(kept, recorder.tried))


def tried(copy: Copy, choice: Choice, fault: Fault, most: float, start: float = START) -> Outcome:
    """Show a fault to the tests that come by it, as many as take ``most`` seconds; ``start``: see START."""
    every = choice.tests_for(fault)
    names: list[str] = []
    for name in every:
        if choice.took([*names, name]) > most:
            break
        names.append(name)
    if not names:
        return Outcome(fault, False, 0, len(every))
    files = list(dict.fromkeys(name.split("::")[0] for name in names))
    limit = start + PATIENCE * choice.took(names)
    with copy.spoilt(fault.path, fault.made_in((copy.root / fault.path).read_bytes())):
        code = copy.run(["-x", *files], [Chosen(names, set(choice.tried))], limit)
    return Outcome(fault, code not in (PASSED, NO_TESTS), len(names), len(every), code == OUT_OF_TIME)


def line_of(one: Outcome) -> str:
    how = "out of time" if one.out_of_time else "noticed" if one.noticed else f"SURVIVED {one.tests} of {one.of} tests"
    return f"{one.fault.path}:{one.fault.line} {one.fault.kind}: {how}"


def told(outcomes: Sequence[Outcome], project: Path) -> str:
    """Return every fault that was not noticed with its lines, and how many of each kind were."""
    lines = [""]
    for one in outcomes:
        if not one.noticed:
            diff = one.fault.diff((project / one.fault.path).read_bytes())
            lines += [line_of(one), *(f"    {line}" for line in diff)]
    made, noticed = Counter(one.fault.kind for one in outcomes), Counter(o.fault.kind for o in outcomes if o.noticed)
    lines += ["", f"{'kind':<18}{'faults':>8}{'noticed':>9}{'survived':>10}{'noticed, %':>12}"]
    rows = [(kind, made[kind], noticed[kind]) for kind in KINDS if made[kind]]
    for kind, count, seen in [*rows, ("all", made.total(), noticed.total())]:
        lines.append(f"{kind:<18}{count:>8}{seen:>9}{count - seen:>10}{100 * seen / count:>12.0f}")
    return "\n".join(lines)
