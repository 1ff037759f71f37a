"""Put a forecast piece on and tell how it sits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabricsim.design.scene.worn_on import On
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.form.laying import is_closed
from fabricsim.fabric.form.passing import WayOn, way_on
from fabricsim.fabric.form.wearing import Hold, Worn, laid_on, stitches_of, wear
from fabricsim.fabric.form.worn import WornFit, worn_fit
from fabricsim.fabric.measures import girths
from fabricsim.fabric.mesh import Mesh
from fabricsim.study.forecast.forecast import Stage
from fabricsim.study.worn.on_body import Seat, seat

STOCKINGS = (600.0, 1800.0)
"""Pa: what was measured on legs under support stockings, 6 to 19 gf/cm2 (Park, Sung, Song 2000, J. Korean Soc. Clothing
Textiles, abstract)."""
FELT = 1960.0
"""Pa: where clothing begins to be felt as tight; 1.96 to 3.92 kPa were called comfortable, 5.9 and more not (Denton
1970, memory)."""


@dataclass(frozen=True, eq=False)
class PutOn:
    """A piece put on: where it has its ``seat``, its ``way`` there from ``off`` its form, and ``worn``, which is None
    where it hangs loose or doesn't go on; ``fit``: what is measured of it on; ``why_not``: why it found no rest, if it
    didn't; ``washed``: whether it was washed before."""

    on: On
    seat: Seat
    off: Equilibrium
    way: WayOn
    worn: Worn | None
    fit: WornFit | None
    why_not: str = ""
    washed: bool = False

    @property
    def holds(self) -> tuple[Hold, Hold] | None:
        """Whether it holds with the least and with the most friction."""
        return None if self.worn is None else (self.worn.hold(self.worn.slick), self.worn.hold(self.worn.firm))

    @property
    def loose(self) -> bool:
        """Whether it goes on and touches nowhere."""
        return self.way.goes_on and self.worn is None and not self.why_not


def put_on(
    off: Equilibrium, on: On, size: str | None = None, stage: Stage | None = None, *, knitted: Mesh | None = None
) -> PutOn:
    """Return the tube ``off`` its form put on a head, a hand, an arm, a leg or a board.

    ``knitted``: of one that was washed the mesh that it was knitted as, as its floats have kept that yarn. One that
    doesn't go on is not let come to rest there. Raises InputError for what is no tube or a body not known.
    """
    place, way = way_over(off, on, size, knitted=knitted)
    girth_i = girths(off.mesh, off.x_nc)
    washed = knitted is not None
    if not way.goes_on:
        return PutOn(on, place, off, way, None, None, washed=washed)
    numbers = iter(range(3))
    try:
        worn = wear(
            off.contact.fabric,
            off,
            place.form,
            place.at,
            stage=None if stage is None else lambda name: stage(name, next(numbers), 3),
        )
    except NoEquilibriumError as error:
        return PutOn(on, place, off, way, None, None, str(error), washed)
    fit = None if worn is None else worn_fit(worn.on, girth_i)
    return PutOn(on, place, off, way, worn, fit, washed=washed)


def way_over(off: Equilibrium, on: On, size: str | None = None, *, knitted: Mesh | None = None) -> tuple[Seat, WayOn]:
    """Return where the tube ``off`` its form comes to sit, and its way there, without bringing it to rest on it.

    ``knitted``: as above. Raises InputError for what is no tube or a body not known.
    """
    mesh = off.mesh
    if mesh.case != "round":
        raise InputError(
            "--on", f"the case '{mesh.case}'", "the case 'round'", "only a tube is put on: add --case round"
        )
    count_i, girth_i = stitches_of(mesh), girths(mesh, off.x_nc)
    widest = count_i == count_i.max()
    plain, height = int(count_i.max()) * mesh.stitch_width, float(np.ptp(off.x_nc[:, 1]))
    place = seat(off.scene, on, plain, float(girth_i[widest].mean()), height, size, closed=is_closed(mesh))
    laid_nc = laid_on(off.contact.fabric, off, place.form, place.at).x_nc
    return place, way_on(_as_carried(off, knitted), place.form, laid_nc)


def _as_carried(off: Equilibrium, knitted: Mesh | None) -> Mesh:
    """Return the mesh with floats as long as they are on average: as it opens, the tightest are lent yarn by others.

    Their yarn is what was carried over the stitches that were ``knitted``, however wide washing made those.
    """
    over = off.mesh if knitted is None else knitted
    slack_f = np.array([one.slack for one in off.floats], dtype=np.float64)
    length_f = over.floats.span_f * (1.0 + slack_f) * over.floats_longer
    return replace(off.mesh, floats=replace(off.mesh.floats, length_f=length_f))
