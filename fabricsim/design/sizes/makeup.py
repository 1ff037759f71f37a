"""What a piece has besides its chart: rib, adjusting round, crown, seam, and the counts of them."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from fabricsim import units
from fabricsim.design.scene.items import Item
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.sizing import EDGE_STITCHES, Sizing
from fabricsim.design.sizes.counts import Chart, rib_for
from fabricsim.design.sizes.crown import Crown, crown_of
from fabricsim.design.sizes.fits import FITS
from fabricsim.design.sizes.spread import Spread, spread
from fabricsim.errors import InputError

# memory, all of them: cuffs and brims of patterns lie between 2 and 7 cm
RIB_CM: dict[Item, float] = {
    "hat": 4.0,
    "mittens": 5.0,
    "socks": 5.0,
    "cuffs": 3.0,
    "sleeves": 5.0,
    "body": 5.0,
    "yoke": 2.5,
    "cowl": 2.5,
    "child mittens": 4.0,
    "baby hat": 2.5,
    "baby mittens": 3.0,
    "baby socks": 3.0,
    "baby body": 3.0,
}
"""How high the rib of an item is, cm, where the scene does not say."""
OTHER_RIB_CM = 2.5
"""The same of a piece of no item (chosen)."""
LINING_THICKNESS = 0.5
"""How thick plain knitting is as a lining, stitch widths (memory: about two yarns, and a stitch is about four wide)."""
RIBBED_TWICE: frozenset[Item | None] = frozenset({None, "swatch", "cuffs", "cowl"})
"""What has its rib above too: open at both ends, it would curl there (common practice)."""


JOINED: frozenset[Item | None] = frozenset({"sleeves", "yoke"})
"""What is joined to a body at its wide end, where none is ribbed (common practice)."""


def narrows(scene: Scene) -> bool:
    """Return whether a piece is narrower at its end than at its beginning, such as a sleeve worked from the top."""
    rows = scene.knitted_rows()
    return len(rows[-1]) < len(rows[0])


@dataclass(frozen=True)
class Makeup:
    """What stands around the chart of a piece.

    ``rib``: knits and purls of it, None for none; ``rib_fewer``: the share of stitches that it has fewer;
    ``rib_height`` m; ``rib_above``: there is one above too. ``edges``: stitches at the sides of flat work,
    that go into the seam if it is ``sewn``, else are its selvedge. ``steek``:
    at the beginning and at the end of a round, for cutting. ``crown``: whether it closes as a hat does,
    decreasing in one of ``crown_every`` rounds (None: so that it closes flat).
    ``plain_rounds`` between chart and crown or rib, as written, if they are. ``lining``: plain, inside all but the rib.
    """

    flat: bool
    rib: tuple[int, int] | None
    rib_fewer: float
    rib_height: float
    rib_above: bool
    edges: int
    crown: bool
    crown_every: int | None
    plain_rounds: int | None
    lining: bool
    steek: tuple[int, int] = (0, 0)
    sewn: bool = True

    @property
    def seam(self) -> int:
        """Stitches that go into a seam."""
        return self.edges if self.sewn else 0

    @property
    def cut_open(self) -> bool:
        """Whether it has two edges in the end, before anything is sewn up."""
        return self.flat or any(self.steek)

    def lining_takes(self, scene: Scene) -> float:
        """Return by how much a lining makes it narrower inside, m: 2 pi times its thickness (derived)."""
        return 2.0 * pi * LINING_THICKNESS * scene.gauge.stitch_width if self.lining else 0.0

    def chart(self, scene: Scene) -> Chart:
        """Return what is repeated across."""
        return Chart(scene.stitches_per_repeat, scene.gauge.stitch_width, self.edges + sum(self.steek))


@dataclass(frozen=True)
class Counts:
    """Counts of a piece: its ``stitches``, those of the seam or the steek among them, of its ``rib``, likewise, the
    round that leads from it, the crown."""

    stitches: int
    rib: int | None
    adjusting: Spread | None
    crown: Crown | None


def makeup_of(scene: Scene) -> Makeup:
    """Return what a scene's piece has besides its chart: what its item needs, or it says under ``[sizes]``.

    Raises ``InputError`` for seam stitches in the round.
    """
    item, flat = scene.item, scene.worked == "flat"
    sizing = scene.sizes or Sizing()
    made = item in FITS or item == "cowl"
    if sizing.edge_stitches and not flat:
        where, given = scene.where("sizes.edge_stitches"), f"{sizing.edge_stitches} in the round"
        raise InputError(where, given, "0 in the round, which has no seam", "take it out, or work flat")
    edges = sizing.edge_stitches if sizing.edge_stitches is not None else EDGE_STITCHES if made else 0
    at_the_body = item in JOINED and narrows(scene)
    ribbed = (made and not at_the_body) or not {"rib", "rib_cm"}.isdisjoint(sizing.model_fields_set)
    usual = RIB_CM.get(item, OTHER_RIB_CM) if item is not None else OTHER_RIB_CM
    stranded = any(len(set(yarn_j)) > 1 for yarn_j in scene.chart_rows())
    crowned = item in FITS and FITS[item].crown
    return Makeup(
        flat=flat,
        rib=sizing.knits_and_purls if ribbed else None,
        rib_fewer=sizing.rib_fewer_percent / 100.0,
        rib_height=(usual if sizing.rib_cm is None else sizing.rib_cm) * units.CM,
        rib_above=item in RIBBED_TWICE,
        edges=edges if flat else 0,
        crown=crowned if sizing.crown is None else sizing.crown,
        crown_every=sizing.crown_every,
        plain_rounds=sizing.plain_rounds,
        lining=made and stranded and scene.limits.none_open and scene.steek is None
        if sizing.lining is None
        else sizing.lining,
        steek=scene.beside,
        sewn=made,
    )


def shaped_crown(scene: Scene, makeup: Makeup, left: int) -> Crown:
    """Return the crown over the stitches that shaped rows have ``left``; raises ``InputError`` for too few."""
    chart = makeup.chart(scene)
    bare = left - chart.edges if makeup.edges else left
    repeats, over = divmod(bare, chart.repeat)
    crown = crown_of(
        bare if over else chart.repeat,
        1 if over else repeats,
        squareness=chart.stitch_width / scene.gauge.row_height,
        edges=chart.edges,
        flat=makeup.flat,
        every=makeup.crown_every,
    )
    if crown is None:
        raise InputError(
            scene.where("shaping"),
            f"{left} stitches left for the crown",
            "at least 16",
            "decrease less in the rows below, or take crown = false under [sizes]",
        )
    return crown


def counts_of(scene: Scene, makeup: Makeup, repeats: int, wedges: int | None = None) -> Counts:
    """Return the counts of a piece of so many ``repeats``, its crown in so many ``wedges`` if they fit."""
    chart = makeup.chart(scene)
    stitches = chart.stitches(repeats)
    rib, steek = None, sum(makeup.steek)
    if makeup.rib is not None:
        rib = rib_for(stitches - steek, makeup.rib, makeup.rib_fewer, flat=makeup.cut_open)
        rib = None if rib is None else rib + steek
    crown = None
    if makeup.crown:
        crown = crown_of(
            chart.repeat,
            repeats,
            squareness=chart.stitch_width / scene.gauge.row_height,
            edges=chart.edges,
            flat=makeup.flat,
            every=makeup.crown_every,
            alike=wedges,
        )
    adjusting = spread(rib, stitches, flat=makeup.flat, beside=makeup.steek) if rib is not None else None
    return Counts(stitches, rib, adjusting, crown)
