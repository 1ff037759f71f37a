"""Orders, what hears of them, and what is measured of a fabric that was never made."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from fabricsim.table.solving.order import Order, Outcome
from tests.table.test_drafts import SMALL

ORDER = Order("first", 3, 7, SMALL, Path("small.toml"), "round", 12)


class WireHeard:
    """A wire that keeps what is told, each with its order; an order is ``overtaken`` if it is said so."""

    def __init__(self) -> None:
        self.told: list[Any] = []
        self.orders: list[Order] = []
        self.late = False

    def overtaken(self, order: Order) -> bool:
        return self.late

    def tell(self, order: Order, what: Outcome) -> None:
        self.orders.append(order)
        self.told.append(what)


def measured(lost: float = 0.25, pucker_m: float = 0.004) -> Any:
    """Return what a fabric measures that has ``lost`` so much of its width and puckers by so many metres."""
    pucker = SimpleNamespace(peak_to_valley=pucker_m, height_n=np.array([0.001, 0.002, -0.003]))
    return SimpleNamespace(widths=SimpleNamespace(overall=lost), pucker=pucker)


def order_of(text: str, **other: Any) -> Order:
    return replace(ORDER, text=text, **other)
