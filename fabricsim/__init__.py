"""fabricsim: what stranded colourwork does before a stitch is knitted.

From Python:

>>> import fabricsim
>>> scene = fabricsim.demo_scene()
>>> rest = fabricsim.relax(scene, "repeat", slack=-0.05)
>>> round(fabricsim.measure(rest).widths.overall, 3)
0.049

In a notebook an equilibrium shows itself as a picture of its face. Nothing heavy is imported before it is used.
Everything inside is in SI units (m, N, kg, s).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from fabricsim.errors import FabricsimError, InputError, NoEquilibriumError

if TYPE_CHECKING:
    from PIL.Image import Image

    from fabricsim.design.floats.found import Float
    from fabricsim.design.scene.choices import Case
    from fabricsim.design.scene.model import Scene
    from fabricsim.fabric.equilibrium import Equilibrium
    from fabricsim.fabric.look import Look
    from fabricsim.fabric.measures import Measures

__all__ = [
    "FabricsimError",
    "InputError",
    "NoEquilibriumError",
    "demo_scene",
    "draw",
    "floats",
    "measure",
    "read_scene",
    "relax",
    "settle",
]

__version__ = "0.1.0"


def read_scene(path: str | Path) -> Scene:
    """Return the scene written in the TOML file ``path``. Raises InputError for anything that isn't a scene.

    >>> fabricsim.read_scene("a.toml")
    Traceback (most recent call last):
    fabricsim.errors.InputError: a.toml: given 'a.toml', which isn't there; allowed: a file that exists; check the name
    """
    from fabricsim.design.scene import read

    return read.read_scene(path)


def demo_scene() -> Scene:
    """Return the scene that comes with the package: a hat band in the round.

    >>> fabricsim.demo_scene()
    <Scene 'Seed-head hat band': 2 yarns, worked in the round>
    """
    from fabricsim.design.scene import read

    return read.demo_scene()


def floats(scene: Scene, *, slack: float | None = None) -> tuple[Float, ...]:
    """Return every float of the whole piece as it is worked, in the order of the knitting.

    ``slack`` takes the place of every slack in the scene.

    >>> found = fabricsim.floats(fabricsim.demo_scene())
    >>> len(found), max(one.gap for one in found)
    (653, 8)
    """
    from fabricsim.design.floats import of_scene as counting

    return counting.floats(scene, slack=slack)


def relax(
    scene: Scene, case: Case | None = None, *, slack: float | None = None, inside_out: bool | None = None
) -> Equilibrium:
    """Return ``scene`` at rest in a load case, ``repeat``, ``swatch`` or ``round``; by default the scene's own, or the
    whole piece where the scene shapes it.

    Tight fabric may rest in more than one shape: it is let go at once, and from loose to tight, and an endless one is
    also let fold in waves of several repeats. The shape of least energy is returned; its ``start`` says which of these
    led there. A chart typed twice over comes to the same as typed once, and so does its mirror image.
    ``slack`` takes the place of every slack in the scene, ``inside_out`` of its switch. Raises InputError for what
    can't be built, NoEquilibriumError if the solver finds no rest.

    >>> fabricsim.relax(fabricsim.demo_scene(), "repeat", slack=-0.05)
    <Equilibrium of 'Seed-head hat band': repeat, 13 rows of 12 stitches, 82 floats>
    """
    from dataclasses import replace

    from fabricsim.fabric.whole import set_up_seen
    from fabricsim.study.forecast.starts import lowest_rest

    found = lowest_rest(set_up_seen(scene, case, slack=slack, inside_out=inside_out), begin=lambda name, number: None)
    return replace(found.rest, painter=_painted)


def settle(
    scene: Scene,
    case: Case | None = None,
    *,
    start: Equilibrium | None = None,
    slack: float | None = None,
    inside_out: bool | None = None,
    look: Callable[[Look], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Equilibrium | None:
    """Return where ``scene`` comes to rest from ``start``, seen on its way; None if it was stopped.

    For whoever changes a scene and wants to see at once what comes of it. ``start`` is the fabric as it was before the
    change, at rest or as a look showed it: with other slack, other catches, other stitches painted, but of the same
    size and case; by default plain fabric. What was in contact there and still holds is kept; a start of another size
    or case, or one that leads nowhere, is left aside. ``look`` is handed the fabric before the first step and after
    each; the last look is the settled one. ``stop`` is asked every few milliseconds, also amid a step; where it says
    yes the work ends, and no look follows.

    Fabric that may rest in several shapes follows the one that it begins in; ``relax`` finds which lies lowest.
    Both run in the thread that called. Raises InputError for what can't be built, NoEquilibriumError if the solver
    finds no rest.

    >>> scene = fabricsim.demo_scene()
    >>> rest = fabricsim.settle(scene, "repeat", slack=-0.05)
    >>> looks = []
    >>> tighter = fabricsim.settle(scene, "repeat", start=rest, slack=-0.06, look=looks.append)
    >>> [look.settled for look in looks if look.force < 1e-9]
    [False, True]
    >>> fabricsim.settle(scene, "repeat", start=tighter, slack=-0.07, stop=lambda: True) is None
    True
    """
    from dataclasses import replace

    from fabricsim.fabric.settling import settle as settled
    from fabricsim.fabric.setup import set_up

    rest = settled(set_up(scene, case, slack=slack, inside_out=inside_out), start, look=look, stop=stop)
    return None if rest is None else replace(rest, painter=_painted)


def measure(equilibrium: Equilibrium) -> Measures:
    """Return widths, height change, pucker and float tensions of a fabric at rest, SI.

    >>> found = fabricsim.measure(fabricsim.relax(fabricsim.demo_scene(), "repeat"))
    >>> f"{found.widths.overall:.1%} of the width is lost"
    '3.9% of the width is lost'
    """
    from fabricsim.fabric import measures

    return measures.measure(equilibrium)


def draw(
    equilibrium: Equilibrium,
    side: Literal["face", "back"] = "face",
    *,
    width_px: int = 1200,
    quality: Literal["full", "draft"] = "full",
) -> Image:
    """Return a picture of one side of the fabric, yarn by yarn, with its scale and its yarns beside it.

    It is as many pixels wide as asked, but for its margins, which are whole ones; a ``draft`` is quicker and coarser.

    >>> rest = fabricsim.relax(fabricsim.demo_scene(), "repeat")
    >>> picture = fabricsim.draw(rest, "back", width_px=300, quality="draft")
    >>> picture.mode
    'RGB'
    """
    from fabricsim import render

    return render.draw(equilibrium, side, width_px=width_px, quality=quality)


def _painted(equilibrium: Equilibrium) -> bytes:
    """Return the face as PNG bytes, quickly: what a notebook shows."""
    from fabricsim.render.basics import files

    return files.page_png(draw(equilibrium, width_px=700, quality="draft"))
