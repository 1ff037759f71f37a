"""How much a piece varies with the hands that knit it: a seeded Monte Carlo, as long as it takes and no longer.

It ends with the first piece at which the standard error of the mean width loss is no more than wanted, of at least
``LEAST`` that came to rest, or with the last that is allowed (the sequential rule of Chow and Robbins 1965, Ann. Math.
Stat. 36, 457; memory). That is decided in the order of the pieces, not in which they get done, so that it ends with
the same piece on any machine. The first of them are those that a forecast is made of.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from itertools import islice
from typing import Any

import numpy as np

from fabricsim.cores import usable_cores
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.cell import copied
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.study.compare.store import Store
from fabricsim.study.forecast.forecast import SEED, Labour, Stage, forecast_of
from fabricsim.study.hands.bench import Bench
from fabricsim.study.hands.hand import numbered, steady, typical
from fabricsim.study.hands.prior import Hands
from fabricsim.study.vary.pieces import Outcome, Piece, in_turn, knit
from fabricsim.study.vary.shares import HandPairs, Shares, indices, varying
from fabricsim.study.vary.summary import Summary, summary

LEAST = 30
"""Pieces at the least (chosen: fewer leave the 5 % quantile without an error, and an early lucky streak might end
it)."""
OUTPUTS = ("lost", "width", "pucker")
"""Of which outcomes the shares are told."""

Counted = Callable[[int], None]
"""Told how many pieces are done."""


@dataclass(frozen=True)
class Sampling:
    """What was asked for: pieces at most, standard error of the mean width loss (a share), the seed, and of how many
    pairs of hands shares are made (None: none)."""

    runs: int
    error: float
    seed: int = 0
    hands: Hands = field(default_factory=Hands)
    pairs: int | None = None


@dataclass(frozen=True)
class Variation:
    """The ``fabric`` as the scene says and the ``even`` piece, every float of it alike; the ``pieces`` in their order;
    ``shares`` if asked for."""

    fabric: Fabric
    asked: Sampling
    even: Piece
    pieces: tuple[Piece, ...]
    shares: Shares | None

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """Of the pieces that came to rest."""
        return tuple(one.outcome for one in self.pieces if one.outcome is not None)

    def of(self, value: Callable[[Outcome], float]) -> Summary:
        """Return what any one outcome comes to, such as ``lambda o: o.pucker``; at least one must have come to rest."""
        return summary([value(one) for one in self.outcomes])

    @property
    def reached(self) -> bool:
        """Whether the mean width loss is known as well as was wanted."""
        return enough(np.array([one.lost for one in self.outcomes]), self.asked.error)


def enough(lost_k: np.ndarray, error: float) -> bool:
    """Return whether the mean of what was lost is known to the standard ``error``, by at least ``LEAST`` pieces."""
    return len(lost_k) >= LEAST and float(lost_k.std(ddof=1)) <= error * len(lost_k) ** 0.5


def identity(scene: Scene, case: Case, slack: float | None, inside_out: bool | None, asked: Sampling) -> dict[str, Any]:
    """Return what makes a study this one: all but how many pieces, and shares, so that it can go on to more."""
    return {
        "command": "vary",
        "scene": scene_hash(scene),
        "case": case,
        "slack": slack,
        "inside_out": inside_out,
        "seed": asked.seed,
        "hands": asdict(asked.hands),
    }


def vary(
    scene: Scene,
    case: Case,
    asked: Sampling,
    *,
    slack: float | None = None,
    inside_out: bool | None = None,
    store: Store | None = None,
    processes: int | None = None,
    cluster: str | None = None,
    stage: Stage | None = None,
    counted: Callable[[str, int], Counted] | None = None,
) -> Variation:
    """Return what becomes of ``scene`` in many hands.

    ``processes``: on how many processors, by default all; rows that ``store`` holds are not worked out again.
    ``stage`` is asked as in ``forecast``; ``counted``, as each series of pieces begins, for whom to tell how many are
    done, given what they are and how many at most. Raises InputError for what can't be built, NoEquilibriumError if
    the nominal fabric finds no rest, or none of the pieces.
    """
    fabric = set_up(scene, case, slack=slack, inside_out=inside_out)
    rest = forecast_of(fabric, asked.hands.even() if case == "repeat" else asked.hands, Labour(band=False), stage=stage)
    first = typical(fabric, SEED)
    if case == "repeat":  # as many repeats as it folds in, each float of them as it happens to be
        fabric = copied(fabric, rest.equilibrium.mesh.rows, rest.equilibrium.mesh.stitches)
        first = steady(fabric)
    bench = Bench.of(fabric, asked.hands, first, rest.equilibrium)
    workers = {"store": store, "processes": processes or usable_cores(), "cluster": cluster}

    def told(said: str, most: int) -> Counted:
        return (lambda done: None) if counted is None else counted(said, most)

    pieces = _pieces(bench, asked, told("pieces", asked.runs), workers)
    if all(one.outcome is None for one in pieces):
        raise NoEquilibriumError(pieces[0].said)
    shares = None if asked.pairs is None else _shares(bench, asked, asked.pairs, told, workers)
    return Variation(fabric, asked, knit((bench, steady(fabric))), pieces, shares)


def _pieces(bench: Bench, asked: Sampling, counted: Counted, workers: dict[str, Any]) -> tuple[Piece, ...]:
    pieces: list[Piece] = []
    lost: list[float] = []
    coming = in_turn(bench, lambda number: numbered(bench.fabric, asked.seed, number), asked.runs, "piece", **workers)
    for piece in coming:
        pieces.append(piece)
        counted(len(pieces))
        if piece.outcome is not None:
            lost.append(piece.outcome.lost)
        if enough(np.array(lost), asked.error):
            break
    coming.close()
    return tuple(pieces)


def _shares(
    bench: Bench, asked: Sampling, pairs: int, told: Callable[[str, int], Counted], workers: dict[str, Any]
) -> Shares | None:
    """Return the shares from the first ``pairs`` of which all pieces come to rest, of up to twice as many; None if
    hardly any do."""
    inputs = varying(asked.hands)
    each = 2 + len(inputs)
    hands = HandPairs(bench.fabric, asked.seed, 2 * pairs)
    coming = in_turn(
        bench,
        lambda number: hands.hand(number // each, number % each, inputs),
        2 * pairs * each,
        f"share of {len(inputs)}",
        **workers,
    )
    counted = told("pieces for the shares", pairs * each)
    done: list[list[list[float]]] = []
    tried = 0
    while len(done) < pairs and (series := tuple(islice(coming, each))):
        tried += 1
        counted(tried * each)
        outcomes = [one.outcome for one in series]
        if all(outcomes):
            done.append([[float(getattr(one, name)) for name in OUTPUTS] for one in outcomes])
    coming.close()
    if len(done) < 2:
        return None
    kept = 1 << (len(done).bit_length() - 1)
    value_kwo = np.array(done[:kept]).reshape(kept, each, len(OUTPUTS))
    alone, whole, alone_error, whole_error = indices(value_kwo, asked.seed)
    return Shares(inputs, OUTPUTS, alone, whole, alone_error, whole_error, kept, tried * each, tried - len(done))
