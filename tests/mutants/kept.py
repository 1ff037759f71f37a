"""What is kept in files from one run to the next: what tests come by, and what became of faults."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, field
from pathlib import Path

from tests.mutants import record, started
from tests.mutants.faults import Fault
from tests.mutants.host import Host
from tests.mutants.record import Tried


@dataclass(frozen=True)
class Outcome:
    """What became of a ``fault``: ``noticed``, and by which test if it is known; ``shown`` to so many tests of ``of``
    that come by it. ``out_of_time``: a test that it was shown to did not end."""

    fault: Fault
    noticed: bool = False
    shown: list[str] = field(default_factory=list)
    of: int = 0
    by: str | None = None
    out_of_time: bool = False

    @property
    def cut_short(self) -> bool:
        """Whether it survived without having been shown to all."""
        return not self.noticed and len(self.shown) < self.of


class Outcomes:
    """Those in a file, a line each, the last one said of a fault counting; without a file none."""

    def __init__(self, path: Path | None, root: Path) -> None:
        self.path, self.root = path, root
        self._known: dict[str, dict[str, object]] = {}
        if path and path.exists():
            for line in path.read_text().splitlines():
                said = json.loads(line)
                self._known[said.pop("fault")] = said

    def of(self, fault: Fault) -> Outcome:
        """Return what is known of a fault, if only that nothing is."""
        said = self._known.get(self._name(fault), {"noticed": False})
        return Outcome(fault, **said)  # type: ignore[arg-type]

    def add(self, outcome: Outcome) -> None:
        said = {"fault": self._name(outcome.fault)} | {
            name: value for name, value in asdict(outcome).items() if name != "fault"
        }
        if self.path:
            with self.path.open("a") as file:
                file.write(json.dumps(said) + "\n")

    def _name(self, fault: Fault) -> str:
        """Return what tells a fault from others, and from itself in a module that has been changed since."""
        said = f"{fault.path} {fault.begin} {fault.end} {fault.text} {_seal(self.root / fault.path)}"
        return hashlib.sha256(said.encode()).hexdigest()[:20]


def known(host: Host, root: Path, package: Path, path: Path) -> dict[str, Tried]:
    """Return what the tests of a ``host`` come by.

    What the file at ``path`` says of a test counts as long as nothing of the ``package`` has been changed, nor the
    file of the test, nor what notes it; the other tests are run, and all of it is left in the file.
    """
    kept = json.loads(path.read_text()) if path.exists() else {}
    code = _seal(Path(record.__file__), Path(started.__file__), *sorted((root / package).rglob("*.py")))
    seals = {file: _seal(root / file) for file in dict.fromkeys(name.split("::")[0] for name in host.names)}
    held = kept.get("tests", {}) if kept.get("package") == code else {}
    same = {file for file, seal in seals.items() if held.get(file) == seal}
    found = {name: one for name, one in record.read(kept.get("tried", {})).items() if name.split("::")[0] in same}
    fresh = [name for name in host.names if name.split("::")[0] not in same]
    if fresh:
        found |= host.record(fresh, package)
        path.write_text(json.dumps({"package": code, "tests": seals, "tried": record.written(found)}))
    return {name: found[name] for name in host.names if name in found}


def _seal(*files: Path) -> str:
    found = hashlib.sha256()
    for file in files:
        found.update(hashlib.sha256(file.read_bytes()).digest())
    return found.hexdigest()[:16]
