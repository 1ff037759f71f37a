"""Which floats pass a limit of the scene."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fabricsim.design.floats.found import Float

if TYPE_CHECKING:
    from fabricsim.design.scene.items import Limits


@dataclass(frozen=True)
class FloatFault:
    """A float past a limit of the scene: behind too many stitches, behind too many centimetres, or both."""

    float: Float
    too_many_stitches: bool
    too_many_cm: bool


def faults(all_floats: Sequence[Float], limits: Limits) -> tuple[FloatFault, ...]:
    """Return those of ``all_floats`` that pass one of the ``limits``, in the order given.

    The limit in cm is held against the width of the stitches passed behind, as the trade does: at 22 stitches
    to 10 cm, 2.5 cm are 5 stitches. Stitches of a steek don't count.
    """
    found = [
        FloatFault(one, limits.too_many_stitches(one.counted_gap), limits.too_long(one.counted_width))
        for one in all_floats
    ]
    return tuple(one for one in found if one.too_many_stitches or one.too_many_cm)
