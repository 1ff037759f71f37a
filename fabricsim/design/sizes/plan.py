"""What all sizes of a scene share: how it is to fit, and for whom."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from fabricsim import units
from fabricsim.design.scene.bodies import Body, read_bodies, usual_bodies
from fabricsim.design.scene.items import KINDS, Item, WornOn
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.sizing import Sizing, Wish
from fabricsim.design.sizes.counts import (
    Chart,
)
from fabricsim.design.sizes.fits import FITS, Fit, wearers
from fabricsim.design.sizes.makeup import Makeup, makeup_of
from fabricsim.errors import InputError
from fabricsim.lengths import long_plain, long_unit


@dataclass(frozen=True)
class Plan:
    """What all sizes of a scene share; ``aim`` is the ease to aim at, a share, within ``fit.least`` to ``fit.most``."""

    scene: Scene
    item: Item
    sizing: Sizing
    fit: Fit
    aim: float
    bodies: tuple[Body, ...]
    chart: Chart
    makeup: Makeup

    @property
    def cut_open(self) -> bool:
        return self.makeup.cut_open

    @property
    def crown(self) -> bool:
        return self.makeup.crown

    def wanted(self, body: Body) -> float:
        """Return the width to knit for ``body``, m."""
        return self.worn_at(body) * (1.0 + self.aim) + self.lining_takes

    @property
    def lining_takes(self) -> float:
        """How much narrower a lining makes it inside, m."""
        return self.makeup.lining_takes(self.scene)

    def worn_at(self, body: Body) -> float:
        """Return how far round the body is where the item sits, m."""
        return body.middle_cm * self.fit.of_body * units.CM


def plan_of(scene: Scene) -> Plan:
    """Return what all sizes share; raises ``InputError`` for a scene that doesn't say what is worn, or on what."""
    item = scene.item
    if item is None or item not in FITS:
        worn = ", ".join(FITS)
        given = "no item" if item is None else f"'{item}', which goes by no size of a body"
        raise InputError(scene.where("item"), given, worn, 'say what it is for: item = "hat" above [chart], say')
    sizing, fit = scene.sizes or Sizing(), FITS[item]
    aim = fit.aim
    if sizing.ease_percent is not None:
        aim = sizing.ease_percent / 100.0
        half = 0.5 * (fit.most - fit.least)  # as far off the aim as usual
        fit = replace(fit, least=aim - half, most=aim + half, owner="yours")
    makeup = makeup_of(scene)
    return Plan(
        scene=scene,
        item=item,
        sizing=sizing,
        fit=fit,
        aim=aim,
        bodies=_bodies(scene, item, sizing),
        chart=makeup.chart(scene),
        makeup=makeup,
    )


def _bodies(scene: Scene, item: Item, sizing: Sizing) -> tuple[Body, ...]:
    """Return the bodies to knit for, the smallest first."""
    part = KINDS[item].worn_on
    assert part is not None
    if sizing.file is not None:
        where = scene.where("sizes.file")
        folder = scene.source.parent if scene.source is not None else Path()
        known = read_bodies(folder / sizing.file, where)
    else:
        where, known = scene.where("sizes.bodies"), usual_bodies()
    here = [one for one in known if one.part == part]
    if sizing.bodies is not None:
        chosen = [_wished(one, here, part, scene.where("sizes.bodies")) for one in sizing.bodies]
    else:
        who = wearers(item)
        chosen = [one for one in here if one.wearer in who]
        if not chosen:
            raise InputError(
                where, f"no {part} of a {' or '.join(who)}", "at least one", "add it, or list sizes.bodies"
            )
    return tuple(sorted(chosen, key=lambda one: one.middle_cm))


def _wished(wish: Wish, here: list[Body], part: WornOn, where: str) -> Body:
    """Return the body that was wished for: from the table, or of its own."""
    if wish.cm is not None:
        name = wish.name or long_plain(wish.cm * units.CM)
        return Body(part=part, name=name, cm=(wish.cm, wish.cm), widest_cm=wish.widest_cm)
    for one in here:
        if one.name == wish.name:
            return one if wish.widest_cm is None else one.model_copy(update={"widest_cm": wish.widest_cm})
    names = ", ".join(one.name for one in here) or f"(the file has no {part})"
    raise InputError(
        where, f"'{wish.name}'", f"{names}, or a number of {long_unit()}", f"name one of them, or give {long_unit()}"
    )
