"""The yarns that meet, held against each other in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from fabricsim.colour import lab
from fabricsim.design.floats.meeting import Meeting, meetings
from fabricsim.design.scene.model import Scene
from fabricsim.render.basics.eyes import Eye, contrast, difference, grey, seen

CLEAR, MUDDY = 30.0, 15.0
"""Gaps of lightness, of 100, from which two yarns are clear in grey, and under which they are muddy (memory)."""
LOST = 20.0
"""Difference under which two yarns run into each other. Chosen: ten times what can just be seen (2.3, Mahy 1994,
memory), as yarn is seen in single stitches and in any light."""

Verdict = Literal["clear", "fair", "muddy"]


@dataclass(frozen=True)
class Apart:
    """How far two yarns are apart to some eyes: ``gap`` of lightness, 0 to 100, and ``difference`` (CIE 1976)."""

    gap: float
    difference: float

    @property
    def lost(self) -> bool:
        """Whether they run into each other: neither clear in lightness nor far apart in all."""
        return self.gap < CLEAR and self.difference < LOST


@dataclass(frozen=True)
class Compared:
    """Two yarns that meet: the ``lightness`` of both, their ``contrast`` ratio, and how far apart they are to usual
    eyes, in ``grey`` and to the colour-blind."""

    meeting: Meeting
    lightness: tuple[float, float]
    contrast: float
    usual: Apart
    grey: Apart
    blind: dict[Eye, Apart]

    @property
    def verdict(self) -> Verdict:
        """How well they are told apart in grey."""
        return "clear" if self.usual.gap >= CLEAR else "muddy" if self.usual.gap < MUDDY else "fair"


def compared(scene: Scene) -> tuple[Compared, ...]:
    """Return every two yarns of the piece that meet, in numbers; those that touch oftenest first."""
    return tuple(_compared(scene, two) for two in meetings(scene))


def _compared(scene: Scene, two: Meeting) -> Compared:
    pair = [scene.yarns[two.one].rgb, scene.yarns[two.other].rgb]
    lab_2 = lab(pair)
    return Compared(
        meeting=two,
        lightness=(float(lab_2[0, 0]), float(lab_2[1, 0])),
        contrast=contrast(*pair),
        usual=_apart(pair),
        grey=_apart(grey(pair).tolist()),
        blind={eye: _apart(seen(pair, eye).tolist()) for eye in get_args(Eye)},
    )


def _apart(pair: list[tuple[int, int, int]] | list[list[float]]) -> Apart:
    one, other = lab(pair)
    return Apart(abs(float(one[0] - other[0])), difference(one, other))
