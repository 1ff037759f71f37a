"""The built-in hat as the table first shows it, and as it comes to rest."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any
from unittest import mock

from fabricsim.cli.commands.table.telling import told
from fabricsim.cores import usable_cores
from fabricsim.design.scene.read import DEMO
from fabricsim.study.forecast import forecast
from fabricsim.study.forecast.forecast import SEED, KnitPiece
from fabricsim.study.hands.bench import Bench
from fabricsim.study.hands.hand import Hand, numbered
from fabricsim.study.hands.knitting import in_hand, slack_in_hand
from fabricsim.table.messages.fabrics import TellSaid
from fabricsim.table.serving.fabric import USUAL_STEPS
from fabricsim.table.solving.order import Order
from fabricsim.table.solving.pondering import whole
from fabricsim.table.solving.shape import Shape

TEXT = (resources.files("fabricsim.design.scene") / "demo" / DEMO).read_text(encoding="utf-8")
ORDER = Order("first", 0, 0, TEXT, Path(DEMO), "round", USUAL_STEPS)
PIECES = Path(__file__).with_name("hat_pieces.json")
"""What is known of each piece of the hat's band: two thirds of what the whole forecast takes."""

Pieces = Callable[..., tuple[KnitPiece, ...]]


def at_rest(order: Order = ORDER, pieces: Pieces = forecast._pieces) -> tuple[Shape, TellSaid]:
    """Return the shape of an order and what is said of its whole forecast, made here and now; ``pieces``: what knits
    those of the band."""
    with mock.patch.object(forecast, "_pieces", pieces):
        said, shape = whole(order, told, usable_cores())
    return shape, said


def written_down(into: list[dict[str, Any]]) -> Pieces:
    """Return what knits the pieces of a band and adds what each came to to a list."""
    knit = forecast._pieces

    def pieces(bench: Bench, *how: Any) -> tuple[KnitPiece, ...]:
        done = knit(bench, *how)
        into.extend(of_hand(bench, n) | came_to(piece) for n, piece in enumerate(done))
        return done

    return pieces


def read_back(each: Callable[[Bench, int, dict[str, Any]], None]) -> Pieces:
    """Return what takes the pieces of a band as they are written down, and hands over each with bench and number."""
    kept = json.loads(PIECES.read_text(encoding="utf-8"))

    def pieces(bench: Bench, count: int, *_: object) -> tuple[KnitPiece, ...]:
        assert count == len(kept)
        for number, one in enumerate(kept):
            each(bench, number, one)
        return tuple(_piece(one) for one in kept)

    return pieces


def of_hand(bench: Bench, number: int) -> dict[str, float]:
    """Return what is to be known of a piece before it is at rest."""
    hand = numbered(bench.fabric, SEED, number)
    slack_f = slack_in_hand(bench.fabric, hand, bench.hands)
    stiffness = in_hand(bench.fabric, hand, bench.hands).stiffness
    return {
        "mean_slack": float(slack_f.mean()),
        "spread_of_slack": float(slack_f.std()),
        "last_slack": float(slack_f[-1]),
        "stretch_across": float(stiffness.stretch_across),
        "bend_across": float(stiffness.bend_across),
    }


def solved(bench: Bench, number: int) -> dict[str, Any]:
    """Return what a piece of the band comes to, brought to rest here and now."""
    hand: Hand = numbered(bench.fabric, SEED, number)
    return came_to(forecast._piece((bench, hand)))


def came_to(piece: KnitPiece) -> dict[str, Any]:
    """Return the numbers of a piece at rest."""
    assert piece.measures is not None
    return {
        **{name: getattr(piece, name) for name in HAND},
        "lost": float(piece.measures.widths.overall),
        "pucker": float(piece.measures.pucker.peak_to_valley),
    }


HAND = ("slack", "unevenness", "short", "stretch", "bending")
"""Fields of a piece that tell of its hand."""


@dataclass(frozen=True)
class _Widths:
    overall: float


@dataclass(frozen=True)
class _Pucker:
    peak_to_valley: float


@dataclass(frozen=True)
class _Measures:
    """What a forecast asks of a piece of its band, and nothing else."""

    widths: _Widths
    pucker: _Pucker


def _piece(kept: dict[str, Any]) -> KnitPiece:
    measures = _Measures(_Widths(kept["lost"]), _Pucker(kept["pucker"]))
    return KnitPiece(**{name: kept[name] for name in HAND}, measures=measures)  # type: ignore[arg-type]
