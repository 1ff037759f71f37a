"""Many faults, one after the other, and what came of each."""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

from tests.mutants.choice import Choice
from tests.mutants.faults import KINDS, Fault, faults_in
from tests.mutants.host import COLD, Host, Spoilt
from tests.mutants.kept import Outcome, Outcomes, known
from tests.mutants.trial import NO_TESTS, OUT_OF_TIME, PASSED, Chosen, Copy

PROJECT = Path(__file__).parent.parent.parent
PATIENCE = 5.0
"""How many times what a test took it may take with a fault; more is a fault noticed (chosen)."""
SPARE = 5.0
"""Seconds that any test may take beside: what it loads may be loaded already where it was timed (chosen)."""
START = 20.0
"""Seconds that a run may take beside its tests where all is loaded anew (chosen)."""


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
    outcomes: str | None


@dataclass(frozen=True)
class Bench:
    """Where faults are shown: a copy, a host that holds the tests, and which to choose. ``spare``: see SPARE."""

    copy: Copy
    host: Host
    choice: Choice
    spare: float = SPARE


def main(asked: Asked) -> int:
    """Run it all and print it; return an exit status: 0, or 2 where there is nothing to do."""
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Copy(PROJECT, Path(folder))
        package = Path("fabricsim") / asked.package
        faults = drawn(copy.root, package, asked.count, asked.seed, asked.kind)
        if not faults:
            print(f"{asked.package}: given a package without code; allowed: a folder of fabricsim", file=sys.stderr)
            return 2
        host = Host(copy, [asked.tests or f"tests/{asked.package.split('/')[0]}"])
        kept = Path(asked.record).absolute() if asked.record else Path(folder) / "record.json"
        tried = known(host, copy.root, package, kept)
        print(f"{len(tried)} tests of {len(host.names)} pass as they are; the others are left out", flush=True)
        bench = Bench(copy, host, Choice(copy.root, tried))
        before = Outcomes(Path(asked.outcomes).absolute() if asked.outcomes else None, copy.root)
        outcomes = []
        for number, fault in enumerate(faults, 1):
            outcomes.append(shown(bench, before.of(fault), asked.most))
            before.add(outcomes[-1])
            print(f"{number:4d} {line_of(outcomes[-1])}", flush=True)
        host.close()
        print(told(outcomes, copy.root))
        print(f"{asked.package}, seed {asked.seed}: {time.monotonic() - begun:.0f} s by the clock")
    return 0


def drawn(project: Path, package: Path, count: int, seed: int, kind: str | None = None) -> list[Fault]:
    """Return so many of the faults that can be made in a ``package``, always the same for a seed."""
    sources = {path.relative_to(project): path.read_bytes() for path in sorted((project / package).rglob("*.py"))}
    every = [one for path, source in sources.items() for one in faults_in(path, source) if kind in (None, one.kind)]
    random.Random(seed).shuffle(every)
    return list(islice((one for one in every if one.counts(sources[one.path])), count))


def shown(bench: Bench, before: Outcome, most: float) -> Outcome:
    """Show a fault to the tests that come by it, as many as take ``most`` seconds, without those that were shown it
    ``before`` and did not notice."""
    if before.noticed:
        return before
    every = bench.choice.tests_for(before.fault)
    held = [name for name in before.shown if name in every]
    chosen = bench.choice.within((name for name in every if name not in held), most)
    outcome = replace(before, shown=held, of=len(every))
    if not chosen:
        return outcome
    code, last = _code(bench, before.fault, {name: bench.spare + PATIENCE * took for name, took in chosen.items()})
    if code in (PASSED, NO_TESTS):
        return replace(outcome, shown=[*held, *chosen])
    return replace(outcome, noticed=True, shown=[], by=last, out_of_time=code == OUT_OF_TIME)


def _code(bench: Bench, fault: Fault, seconds: dict[str, float]) -> tuple[int, str | None]:
    """Return how it ends when a fault is shown to tests, and the last of them if it is known."""
    file = bench.copy.root / fault.path
    before = file.read_bytes()
    after = fault.made_in(before)
    with bench.copy.spoilt(fault.path, after):
        code, last = bench.host.show(Spoilt(file, before, after, seconds))
        if code != COLD:
            return code, last
        files = list(dict.fromkeys(name.split("::")[0] for name in seconds))
        return bench.copy.run(files, Chosen(seconds, set(bench.choice.tried)), START), None


def line_of(one: Outcome) -> str:
    how = f"SURVIVED {len(one.shown)} of {one.of} tests"
    if one.noticed:
        how = ("out of time" if one.out_of_time else "noticed") + (f" by {one.by}" if one.by else "")
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
    lines += [
        "",
        f"{sum(one.out_of_time for one in outcomes)} were noticed because a test did not end in its time;",
        f"{sum(one.cut_short for one in outcomes)} survived and were not shown to all tests that come by them.",
    ]
    return "\n".join(lines)
