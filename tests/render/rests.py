"""Fabrics that the solver has let come to rest, each solved once for all the tests that look at it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import relax
from tests.render.fabrics import scene_of

SCENES = Path(__file__).parents[2] / "scenes"
LOZENGE = (
    "aaaaaaaaaaaaaaaa",
    "aaaaaabbbbaaaaaa",
    "aaaabbbbbbbbaaaa",
    "aabbbbbbbbbbbbaa",
    "aaaabbbbbbbbaaaa",
    "aaaaaabbbbaaaaaa",
)


def scene(name: str, across: int | None = None, up: int | None = None) -> Scene:
    """Return a scene of the project's own, with fewer repeats where a smaller piece will do."""
    read = read_scene(SCENES / f"{name}.toml")
    more = {key: count for key, count in (("across", across), ("up", up)) if count is not None}
    return read.model_copy(update={"chart": read.chart.model_copy(update=more)})


@cache
def stars() -> Equilibrium:
    """A repeat that puckers, some of its floats on the backs of what bulges."""
    return relax(scene("across_the_edge"), "repeat", slack=-0.09)


@cache
def three_colours() -> Equilibrium:
    """A repeat with three colours in a row."""
    return relax(scene("three_colours"), "repeat")


@cache
def swatch() -> Equilibrium:
    """A flat piece with its edges."""
    return relax(scene("flat_swatch"), "swatch")


@cache
def band() -> Equilibrium:
    """A narrow tube."""
    return relax(scene("hat_band", across=2, up=1), "round")


@cache
def folded() -> Equilibrium:
    """A motif under floats so tight that it folds, and they lie on the folds."""
    rest = relax(scene_of(LOZENGE), "repeat", slack=-0.15)
    assert sum(len(steps) > 0 for steps in rest.pressed) >= 4
    assert (rest.way_f / rest.chord_f).max() > 1.03
    return rest
