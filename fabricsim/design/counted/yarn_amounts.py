"""How much yarn a piece takes: its loops, the floats behind them, and all else that a knitter cuts or carries."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

from fabricsim import units
from fabricsim.design.counted.needles import times_as_wide
from fabricsim.design.floats.carry_ups import CarryUp
from fabricsim.design.floats.found import Float
from fabricsim.design.floats.of_scene import carry_ups, floats
from fabricsim.design.scene.chart import Rows
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

TAIL = 0.20
"""Yarn left at every end, to be darned in, m: 15 to 20 cm (common practice), the longer."""
CAST_ON_WIDTHS, CAST_ON_TAIL = 3.0, 0.25
"""Yarn of a long-tail cast-on, in widths, and its tail, m: 3 widths and 15 to 25 cm (common practice), the longer."""
SEAM_LENGTHS = 1.5
"""Yarn that sews up a seam, in its lengths (memory: once and a half to twice for one sewn stitch by stitch)."""
DRAW_TAIL = 0.30
"""Yarn left to draw through the last stitches of a crown and darn in, m (common practice)."""
BIND_OFF_WIDTHS = 3.0
"""Yarn of a bind-off, in widths (memory)."""
CATCH_ALLOWANCE = 0.5
"""Yarn that a float takes to be twisted in at a catch, stitch widths (chosen: once round a yarn at rest and back)."""
MARGIN_PERCENT = 15.0
"""Yarn to spare, per cent: 10 to 15 (common practice), the more careful."""


@dataclass(frozen=True)
class YarnAmount:
    """What one yarn is needed for, m, in so many ``stitches`` and ``ends`` (the pieces of yarn that are darned in).

    ``loops``: the stitches; ``floats``: what floats take beyond the loops that they join; ``catches``: twisting them
    in; ``carried``: on the way up past whole rows; ``edges``: cast-on and bind-off; ``seam``: sewing it up;
    ``lining``: what lines it; ``thumb``: that of a mitten; ``tails``: at the ends. ``margin``
    is the share to spare on top, ``balls`` how many whole ones that makes.
    """

    yarn: int
    stitches: int
    loops: float
    floats: float
    catches: float
    carried: float
    edges: float
    ends: int
    tails: float
    tex: float
    margin: float
    balls: int
    seam: float = 0.0
    lining: float = 0.0
    thumb: float = 0.0

    @property
    def length(self) -> float:
        """All the yarn that goes into the piece, m, nothing to spare."""
        knitted = self.loops + self.floats + self.catches + self.carried + self.lining + self.thumb
        return knitted + self.edges + self.seam + self.tails

    @property
    def wanted(self) -> float:
        """The same with the margin, m."""
        return self.length * (1.0 + self.margin)

    @property
    def mass(self) -> float:
        """The mass of ``length``, kg."""
        return self.length * self.tex * units.TEX

    def left_of_balls(self, ball_mass: float) -> float:
        """Return what is left of its balls of ``ball_mass`` (kg) once the piece is done, kg."""
        return self.balls * ball_mass - self.mass

    @property
    def wanted_mass(self) -> float:
        """The mass of ``wanted``, kg."""
        return self.wanted * self.tex * units.TEX


@dataclass(frozen=True)
class Around:
    """What a piece has around the rows of its scene: ``made_y``, how many stitches each yarn makes there; which yarn
    casts on and binds off how many stitches, or draws them together (``drawn``); ``seam``, the yarn that sews it up
    and how long a seam, m; ``lining``: its yarn, its stitches, and those that are bound off; ``carried``, its yarns on
    their way up, those past its own rows among them; ``leads``: what floats take into its scene's rows and out of them,
    m, for each yarn; ``thumb``: the yarn of one and its stitches."""

    made_y: Mapping[int, int]
    cast_on: tuple[int, int]
    bind_off: tuple[int, int]
    drawn: bool
    seam: tuple[int, float]
    lining: tuple[int, int, int]
    carried: tuple[CarryUp, ...]
    leads: Mapping[int, float] = field(default_factory=dict)
    thumb: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class Amounts:
    """The yarns of so many ``pieces``, those in use only.

    ``over_plain``: yarn of the rows in two colours or more over that of their loops alone, less 1 (None without such
    rows); ``areal_mass``: loops and floats over the area at the gauge, kg/m2.
    """

    yarns: tuple[YarnAmount, ...]
    pieces: int
    over_plain: float | None
    areal_mass: float

    def stitch_share(self, one: YarnAmount) -> float:
        """Return the share of ``one`` in all stitches."""
        return one.stitches / sum(each.stitches for each in self.yarns)

    def yarn_share(self, one: YarnAmount) -> float:
        """Return the share of ``one`` in the metres of all stitches and floats."""
        return (one.loops + one.floats) / sum(each.loops + each.floats for each in self.yarns)


def _times(scene: Scene, row: int) -> float:
    """Return how many times as large the stitches of a ``row`` of the piece are for the needles of its band."""
    band = scene.band_of(scene.chart_row_of(row))
    return 1.0 if band is None else times_as_wide(band.needle_sizes)


def yarn_amounts(
    scene: Scene,
    *,
    slack: float | None = None,
    edges: bool = True,
    margin_percent: float = MARGIN_PERCENT,
    pieces: int = 1,
    around: Around | None = None,
) -> Amounts:
    """Return the yarn that so many ``pieces`` of ``scene`` take, with its slack or this ``slack`` for all floats.

    ``edges``: whether to reckon a cast-on before the first row and a bind-off after the last, in the yarn that makes
    most stitches there. The loop is that of the gauge. A yarn has an end where it
    comes in and where it goes, two more at every break (see ``CarryUp.advice``) and two more for every ball after the
    first. ``around``: what else the piece has; left out, the rows of the scene are all of it. Raises ``InputError`` for
    a ball too short to be joined.
    """
    yarn_ij, width, loop = scene.knitted_rows(), scene.gauge.stitch_width, scene.gauge.loop_length
    found, own_y = floats(scene, slack=slack), Counter(yarn for yarn_j in yarn_ij for yarn in yarn_j)
    times_i = [_times(scene, row) for row in range(len(yarn_ij))]
    larger_y = {
        yarn: sum((times - 1.0) * list(yarn_j).count(yarn) for times, yarn_j in zip(times_i, yarn_ij, strict=True))
        for yarn in own_y
    }
    around = _bare(scene) if around is None else around
    made = []
    for yarn in sorted({*own_y, *(yarn for yarn, stitches in around.made_y.items() if stitches)}):
        of_yarn = [one for one in found if one.yarn == yarn]
        up = [one for one in around.carried if one.yarn == yarn]
        broken = [one for one in up if one.advice == "break and rejoin"]
        casts_on, cast = edges and around.cast_on[0] == yarn, CAST_ON_WIDTHS * around.cast_on[1]
        last = around.bind_off[0] == yarn
        binds_off, draws = edges and last and not around.drawn, last and around.drawn
        bound = BIND_OFF_WIDTHS * around.bind_off[1]
        stitches = own_y[yarn] + around.made_y.get(yarn, 0)
        lines = around.lining[1] > 0 and around.lining[0] == yarn
        sews = around.seam[1] > 0.0 and around.seam[0] == yarn
        thumbed = around.thumb[1] > 0 and around.thumb[0] == yarn
        ends = 2 + 2 * len(broken) + 2 * sews + 2 * lines + 2 * thumbed
        once = YarnAmount(
            yarn=yarn,
            stitches=pieces * stitches,
            loops=pieces * (stitches + larger_y.get(yarn, 0.0)) * loop,
            floats=pieces
            * (
                sum(times_i[one.row] * beyond_loops(one, yarn_ij, width) for one in of_yarn)
                + around.leads.get(yarn, 0.0)
            ),
            catches=pieces * sum(one.caught_end for one in of_yarn) * CATCH_ALLOWANCE * width,
            carried=pieces * sum(one.length for one in up if one not in broken),
            edges=pieces
            * ((cast * casts_on + bound * binds_off) * width + CAST_ON_TAIL * casts_on + DRAW_TAIL * draws),
            lining=pieces * lines * (around.lining[1] * loop + around.lining[2] * BIND_OFF_WIDTHS * width),
            thumb=pieces * thumbed * around.thumb[1] * loop,
            seam=pieces * SEAM_LENGTHS * around.seam[1] * sews,
            ends=pieces * ends,
            tails=pieces * (ends - casts_on - draws) * TAIL,  # they bring their own
            tex=scene.yarns[yarn].tex_value,
            margin=margin_percent / 100.0,
            balls=1,
        )
        made.append(_in_balls(once, scene.yarns[yarn].ball_length, scene.where(f"yarns (no. {yarn + 1}).ball_grams")))
    mixed = {row for row, yarn_j in enumerate(yarn_ij) if len(set(yarn_j)) > 1}
    loops = len(mixed) * len(yarn_ij[0]) * loop
    behind = sum(beyond_loops(one, yarn_ij, width) for one in found)
    mass = sum((own_y[one.yarn] * loop + one.floats / pieces) * one.tex * units.TEX for one in made)
    area = len(yarn_ij) * len(yarn_ij[0]) * width * scene.gauge.row_height
    return Amounts(tuple(made), pieces, behind / loops if mixed else None, mass / area)


def _bare(scene: Scene) -> Around:
    """Return what the rows of a scene have around them by themselves: a cast-on and a bind-off."""
    first, last = scene.knitted_rows()[0], scene.knitted_rows()[-1]
    casts_on, binds_off = (most_of(first), len(first)), (most_of(last), len(last))
    return Around({}, casts_on, binds_off, False, (casts_on[0], 0.0), (casts_on[0], 0, 0), carry_ups(scene))


def most_of(yarn_j: Sequence[int]) -> int:
    """Return the yarn that makes most stitches of a row."""
    return max(sorted(set(yarn_j)), key=yarn_j.count)


def _in_balls(one: YarnAmount, ball: float, where: str) -> YarnAmount:
    """Return ``one`` with whole balls of ``ball`` m, and the ends where they are joined."""
    join = 2.0 * TAIL * (1.0 + one.margin)
    if ball <= join:
        raise InputError(
            where,
            f"a ball of {ball / units.CM:.0f} cm",
            f"a ball longer than what is left at its ends, {join / units.CM:.0f} cm",
            "check ball_grams and the weight of the yarn",
        )
    # b balls hold the wanted yarn and b - 1 joins: b ball >= wanted + (b - 1) join
    balls = max(1, ceil((one.wanted - join) / (ball - join) * (1.0 - 1e-12)))
    joins = balls - 1
    return replace(one, balls=balls, ends=one.ends + 2 * joins, tails=one.tails + 2 * joins * TAIL)


def beyond_loops(one: Float, yarn_ij: Rows, stitch_width: float) -> float:
    """Return the yarn of a float, m, beyond that of the loops at its ends.

    Half a stitch of the way at each end lies in the loop there, if that is one of its own yarn and no catch or edge
    stitch of another: behind n stitches a row in two colours so takes one stitch width and its slack for each of them.
    """
    starts = not one.caught_start and yarn_ij[one.row][one.start] == one.yarn
    ends = not one.caught_end and yarn_ij[one.end_row][one.end] == one.yarn
    return one.yarn_length * (1.0 - 0.5 * (starts + ends) * stitch_width / one.span)
