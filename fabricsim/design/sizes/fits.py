"""How an item should sit on a body: its ease, and the widest place that it must pass on the way."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.design.scene.bodies import Body, Wearer
from fabricsim.design.scene.items import KINDS, Item


@dataclass(frozen=True)
class Fit:
    """Ease in shares of the body, from ``least`` to ``most`` (negative: smaller than the body).

    The item sits ``at`` a place ``of_body`` times as wide as the body's size, and must pass ``over`` one that is
    ``widest`` times as wide. ``crown``: it is closed at the top as a hat and a mitten are. ``owner``: where the ease
    comes from.
    """

    least: float
    most: float
    at: str
    over: str
    of_body: float = 1.0
    widest: float = 1.0
    crown: bool = False
    owner: str = "from memory"

    @property
    def aim(self) -> float:
        """The ease to aim at: halfway."""
        return 0.5 * (self.least + self.most)


# A hand folded to pass a cuff is about 1.15 of it round the knuckles (memory); a wrist about 0.85 (memory), which
# makes the 35 % that a snug cuff must stretch. Round the heel a foot is about 1.4 of its ball (memory), which makes the
# 35 to 50 % of a sock.
FOLDED, WRIST, HEEL = 1.15, 0.85, 1.4

_HAT = Fit(-0.08, 0.0, "round the head", "the head", crown=True, owner="seen in tables")
_MITTENS = Fit(0.0, 0.10, "round the knuckles", "the folded hand", widest=FOLDED, crown=True)  # memory
_SOCKS = Fit(-0.10, 0.0, "round the ball of the foot", "the heel", widest=HEEL)  # memory
_CUFFS = Fit(-0.05, 0.05, "round the wrist", "the folded hand", of_body=WRIST, widest=FOLDED)  # memory
_SLEEVES = Fit(0.05, 0.20, "round the upper arm", "the upper arm")  # memory
_BODY = Fit(0.0, 0.12, "round the chest", "the chest")  # memory

FITS: dict[Item, Fit] = {
    "hat": _HAT,
    "baby hat": _HAT,
    "mittens": _MITTENS,
    "child mittens": _MITTENS,
    "baby mittens": _MITTENS,
    "socks": _SOCKS,
    "baby socks": _SOCKS,
    "cuffs": _CUFFS,
    "sleeves": _SLEEVES,
    "body": _BODY,
    "baby body": _BODY,
    "yoke": _BODY,
}
"""Every item that is worn."""
assert set(FITS) == {item for item, kind in KINDS.items() if kind.worn_on is not None}


def wearers(item: Item) -> tuple[Wearer, ...]:
    """Return who wears an item."""
    if KINDS[item].baby:
        return ("baby",)
    return ("child",) if item.startswith("child") else ("child", "adult")


def widest_cm(fit: Fit, body: Body) -> float:
    """Return the widest place of a body that the item must pass, cm: as measured, else as is usual."""
    return body.widest_cm if body.widest_cm is not None else body.middle_cm * fit.widest


def stretch_to_put_on(item: Item | None, ease_percent: float | None = None) -> float:
    """Return the share by which an item must stretch to pass the widest place on its way; 0 if nobody wears it.

    Of one that sits as is usual, at the ease to aim at, unless ``ease_percent`` is given (derived).
    """
    if item is None or item not in FITS:
        return 0.0
    fit = FITS[item]
    ease = fit.aim if ease_percent is None else 0.01 * ease_percent
    return max(0.0, fit.widest / (fit.of_body * (1.0 + ease)) - 1.0)
