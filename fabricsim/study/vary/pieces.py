"""The same piece knitted by many hands: each brought to rest from the nominal one, wherever there is a processor."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import measure
from fabricsim.study.compare.store import Store
from fabricsim.study.executors import each_done
from fabricsim.study.hands.bench import Bench, at_rest, rest_of_first
from fabricsim.study.hands.hand import Hand
from fabricsim.study.hands.knitting import all_slack, falls_short, in_hand, unevenness


@dataclass(frozen=True)
class Outcome:
    """What one piece came to: ``lost`` share of the width that its own gauge would give; ``plain`` that width and
    ``width`` what is left of it, m; ``pucker`` m, peak to valley; ``pull`` N, of the float numbered ``hardest`` (-1:
    nothing pulls)."""

    lost: float
    plain: float
    width: float
    pucker: float
    pull: float
    hardest: int
    taut: int


@dataclass(frozen=True)
class Piece:
    """A piece and the hand that knitted it: ``slack`` in all floats more than the scene says, their ``unevenness``, how
    much each falls ``short`` (m); slack of the ``tightest`` float and of the ``loosest``; ``gauge``, ``stretch``,
    ``bending`` as factors. Without ``outcome`` it came to no rest, and ``said`` is why."""

    slack: float
    unevenness: float
    short: float
    tightest: float
    loosest: float
    gauge: float
    stretch: float
    bending: float
    outcome: Outcome | None
    said: str = ""


def knit(task: tuple[Bench, Hand]) -> Piece:
    """Return the piece that a hand makes of what is on the bench. It depends on nothing else."""
    bench, hand = task
    fabric = in_hand(bench.fabric, hand, bench.hands)
    slack_f = fabric.mesh.floats.slack_f
    outcome, said = None, ""
    try:
        outcome = _outcome(at_rest(fabric, rest_of_first(bench)))
    except NoEquilibriumError as why:
        said = str(why)
    return Piece(
        slack=all_slack(bench.hands, hand),
        unevenness=unevenness(bench.hands, hand),
        short=falls_short(bench.hands, hand),
        tightest=float(slack_f.min()),
        loosest=float(slack_f.max()),
        gauge=fabric.mesh.stitch_width / bench.fabric.mesh.stitch_width,
        stretch=fabric.stiffness.stretch_across / bench.fabric.stiffness.stretch_across,
        bending=fabric.stiffness.bend_across / bench.fabric.stiffness.bend_across,
        outcome=outcome,
        said=said,
    )


def _outcome(rest: Equilibrium) -> Outcome:
    found = measure(rest)
    return Outcome(
        lost=found.widths.overall,
        plain=found.widths.plain,
        width=found.widths.width,
        pucker=found.pucker.peak_to_valley,
        pull=found.pull.greatest,
        hardest=int(np.argmax(rest.tension_f)) if found.pull.taut else -1,
        taut=found.pull.taut,
    )


def in_turn(
    bench: Bench,
    hand_of: Callable[[int], Hand],
    most: int,
    name: str,
    *,
    store: Store | None = None,
    processes: int = 1,
    cluster: str | None = None,
) -> Generator[Piece, None, None]:
    """Yield the pieces 0, 1, 2 ... of up to ``most`` hands, each once it and all before it are done.

    Those in the ``store`` under ``name`` and their number are not knitted again, and the others are added to it.
    """
    kept = {} if store is None else store.rows
    known = {number: _read(kept[key]) for number in range(most) if (key := f"{name} {number}") in kept}
    given: list[int] = []

    def tasks() -> Iterator[tuple[Bench, Hand]]:
        for number in range(most):
            if f"{name} {number}" not in kept:
                given.append(number)
                yield bench, hand_of(number)

    done = each_done(knit, tasks(), processes=processes, cluster=cluster)
    try:
        for number in range(most):
            while number not in known:
                task, piece = next(done)
                known[given[task]] = piece
                if store is not None:
                    store.add(f"{name} {given[task]}", asdict(piece))
            yield known.pop(number)
    finally:
        done.close()  # type: ignore[attr-defined]


def _read(row: dict[str, Any]) -> Piece:
    outcome = row["outcome"]
    return Piece(**{**row, "outcome": None if outcome is None else Outcome(**outcome)})
