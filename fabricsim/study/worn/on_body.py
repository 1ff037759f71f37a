"""From where a piece is worn to the form that it is put on: whose body, and where on it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fabricsim.design.scene.bodies import Body, read_bodies, usual_bodies
from fabricsim.design.scene.items import KINDS, WornOn
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.worn_on import ENDED, On
from fabricsim.design.sizes.fits import FITS, FOLDED, HEEL, Fit, wearers, widest_cm
from fabricsim.design.sizes.makeup import narrows
from fabricsim.design.sizes.plan import plan_of
from fabricsim.errors import InputError, meant
from fabricsim.fabric.form import shapes
from fabricsim.fabric.form.shapes import Form
from fabricsim.units import CM

PARTS: dict[On, WornOn | None] = {"head": "head", "hand": "hand", "arm": "arm", "leg": "foot", "board": None}
"""Which bodies of the table have such a form."""
CALF = 1.55
"""Round the calf over round the ball of the foot (memory: 37 to 24 cm)."""


@dataclass(frozen=True, eq=False)
class Seat:
    """Whose ``form`` it is put on, and the height ``at`` (m) of it where the middle of the tube comes to lie, or below
    which the rim of what is drawn up at its top isn't pulled; ``body`` None for a board."""

    form: Form
    at: float
    body: Body | None


RIM_BELOW = 0.08
"""How far below the widest place of a head the rim of a whole hat is pulled at the most, over how far round that is:
4.5 cm of 56, over the tips of the ears (chosen)."""


def seat(
    scene: Scene, on: On, plain: float, girth: float, height: float, size: str | None = None, *, closed: bool = False
) -> Seat:
    """Return where a tube is put on: of those it is for, else of all in question, that whom it fits best, or
    the one called ``size``.

    ``plain`` and ``girth`` m: how far round it is as plain fabric and at rest; ``height`` m; ``closed``: whether it is
    drawn up at its top. Raises InputError where no
    such body is known, and for what is drawn up and would have to lie over an end that its form hasn't.
    """
    if closed and on not in ENDED:
        given = f"'{on}' for a piece that is drawn up at its top"
        raise InputError("--on", given, " or ".join(ENDED), "name one, or put on the chart alone: --no-whole")
    if on == "board":
        if size is not None:
            raise InputError("--size", f"'{size}' on a board", "a body to wear it", "leave it out")
        return Seat(shapes.board(plain, 2.0 * height), height, None)
    body = _body(scene, on, girth, size)
    around, fit = body.middle_cm * CM, _fit(scene, on)
    widest = widest_cm(fit, body) * CM if fit is not None else 0.0
    if on == "head":
        return Seat(shapes.head(around), -RIM_BELOW * around if closed else 0.0, body)
    if on == "hand":
        form = shapes.hand(around, max(widest, FOLDED * around))
        return Seat(form, form.bottom + (0.0 if closed else 0.5 * height), body)
    if on == "arm":
        form = shapes.arm(around, WRIST_FOLDED * around)
    else:
        form = shapes.arm(CALF * around, max(widest, HEEL * around), "a leg")
    if narrows(scene):  # it begins at the upper arm
        return Seat(form.turned(), -0.5 * height, body)
    return Seat(form, 0.5 * height, body)


WRIST_FOLDED = 0.75
"""A hand folded to go through a sleeve, over how far round the upper arm is (memory: 21 to 28 cm)."""


def _fit(scene: Scene, on: On) -> Fit | None:
    """Return how the scene's item should sit, if that is worn there."""
    if scene.item is None or scene.item not in FITS or KINDS[scene.item].worn_on != PARTS[on]:
        return None
    return FITS[scene.item]


def check_size(scene: Scene, on: On, size: str | None) -> None:
    """Raise InputError for a ``size`` that no body in question has, before anything is solved."""
    if size is not None and on != "board":
        _body(scene, on, 0.0, size)


def _body(scene: Scene, on: On, girth: float, size: str | None) -> Body:
    """Return the body that a piece ``girth`` (m) round fits best, or the one that is named."""
    here, wished = _bodies(scene, on), _wished(scene, on)
    fit = _fit(scene, on)
    if size is None:
        of_body, aim = (1.0, 0.0) if fit is None else (fit.of_body, fit.aim)
        return min(wished or here, key=lambda one: abs(one.middle_cm * CM * of_body * (1.0 + aim) - girth))
    here = [*wished, *here]
    for one in here:
        if str(one.name) == size:
            return one
    names = list(dict.fromkeys(str(one.name) for one in here))
    near = meant(size, names)
    todo = f"did you mean '{near}'?" if near is not None else "name one of them"
    raise InputError("--size", f"'{size}'", ", ".join(names), todo)


def _wished(scene: Scene, on: On) -> list[Body]:
    """Return the bodies that the scene is for, if it says so and they have that part."""
    wished = scene.sizes is not None and scene.sizes.bodies is not None
    return list(plan_of(scene).bodies) if wished and _fit(scene, on) is not None else []


def _bodies(scene: Scene, on: On) -> list[Body]:
    """Return the bodies in question: of those who wear the item, of that part, in the scene's table."""
    sizes, part = scene.sizes, PARTS[on]
    if sizes is not None and sizes.file is not None:
        folder = scene.source.parent if scene.source is not None else Path()
        known = read_bodies(folder / sizes.file, scene.where("sizes.file"))
    else:
        known = usual_bodies()
    here = [one for one in known if one.part == part]
    if scene.item is not None and scene.item in FITS:
        here = [one for one in here if one.wearer in wearers(scene.item)] or here
    if not here:
        raise InputError(scene.where("sizes.file"), f"no {part}", "at least one", "add it, or put it on something else")
    return here
