"""From a forecast to the same piece washed, and pinned out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fabricsim.arrays import Floats
from fabricsim.design.catches.plan import catches_of, with_catches
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.shaped_piece import shaped_rows
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import WashedGauge
from fabricsim.fabric.build import float_term
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.whole import is_whole, of_rows, whole_piece_floats
from fabricsim.mechanics.assemble import State
from fabricsim.study.washed.blocking import Blocked, blocked, check_blocking
from fabricsim.study.washed.following import Following, following
from fabricsim.units import CM, PER_10_CM

PLAIN_MOVES = 0.06
"""Share of its width by which plain fabric was found to move, either way, by wetting and drying unpinned: so far apart
may its rests lie (75 swatches of five yarns, kelbournewoolens.com/blog 2016/10 to 12, excerpt)."""
STRANDED_GAINED = 0.078
"""Share of its width that a stranded hat was reported to have gained and kept by gentle blocking
(sandbphiladelphia.blogspot.com/2011/01, excerpt)."""


@dataclass(frozen=True, eq=False)
class Washed:
    """A piece washed and dried flat: ``before`` and ``after``, and what is ``measured`` of it after.

    ``wider``, ``taller``: shares by which plain fabric came out of the wash; ``first``, ``half`` m: how wide the piece
    is pulled when the first twentieth of its floats are straight, and half of them; None without floats.
    ``following``: how far each row can follow plain fabric; ``blocked``: the piece pinned out, or None.
    """

    before: Measures
    after: Equilibrium
    measured: Measures
    wider: float
    taller: float
    first: float | None
    half: float | None
    following: Following
    blocked: Blocked | None

    @property
    def follows(self) -> float:
        """The share by which the piece itself is wider than before."""
        return self.measured.widths.width / self.before.widths.width - 1.0

    @property
    def follows_up(self) -> float:
        """The share by which the piece itself is taller than before."""
        return (1.0 + self.taller) * (1.0 + self.measured.height_change) / (1.0 + self.before.height_change) - 1.0

    @property
    def pinned(self) -> float | None:
        """How wide it is pinned out, m: the mean of the rows from the first with a float to the last; None if not."""
        if self.blocked is None:
            return None
        return float(self.blocked.width_i[self.measured.widths.counted].mean())

    @property
    def springs(self) -> tuple[float, float] | None:
        """How wide it is once the pins are out, m: from keeping nothing of what it was pulled, to all of it."""
        if self.pinned is None:
            return None
        own = self.measured.widths.width
        return min(own, self.pinned), max(own, self.pinned)


FIRST = 0.05
"""Share of the floats that are the first to be straight (chosen: a single one pulls on its own stitches only)."""

WASHING = "washed"
"""What the solve of a piece out of the wash is called."""
Begun = Callable[[str], Progress | None]
"""Told what is being brought to rest, returns whom to tell its steps."""


def washed(
    scene: Scene,
    before: Equilibrium,
    measures: Measures,
    slack: float | None = None,
    inside_out: bool | None = None,
    begun: Begun = lambda _: None,
) -> Washed | None:
    """Return a piece at rest ``before`` washing as it is after; None where the scene has no washed gauge.

    ``slack`` and ``inside_out`` as they were asked for. Raises NoEquilibriumError if it finds no rest, InputError for
    what can't be pinned out as asked.
    """
    gauge = scene.gauge
    if gauge.washed is None:
        return None
    check_blocking(scene, before.mesh.case, whole=is_whole(before.mesh))
    fabric = _as_washed(scene, before, slack, inside_out)
    after = come_to_rest(fabric, _swollen(before, gauge.washed), begun(WASHING))
    measured = measure(after)
    first, half = _straight(fabric, measured.widths.plain)
    cm, over = gauge.washed.pinned_cm, gauge.washed.over
    return Washed(
        before=measures,
        after=after,
        measured=measured,
        wider=gauge.stitches / gauge.washed.stitches - 1.0,
        taller=gauge.rows / gauge.washed.rows - 1.0,
        first=first,
        half=half,
        following=following(fabric.mesh, measured),
        blocked=None if cm is None else blocked(fabric, after, measured, cm * CM, over, begun("pinned out")),
    )


def as_worn(
    scene: Scene,
    rest: Equilibrium,
    slack: float | None = None,
    inside_out: bool | None = None,
    begun: Begun = lambda _: None,
) -> tuple[Equilibrium, Mesh | None]:
    """Return a piece as it is put on, and the mesh that it was knitted as, if it was washed before.

    That is how ``washed`` has it after, not pinned out, where the scene has a washed gauge, else as it is at ``rest``.
    Raises NoEquilibriumError if it finds no rest.
    """
    wash = scene.gauge.washed
    if wash is None:
        return rest, None
    fabric = _as_washed(scene, rest, slack, inside_out)
    return come_to_rest(fabric, _swollen(rest, wash), begun(WASHING)), rest.mesh


def _swollen(before: Equilibrium, wash: WashedGauge) -> State | None:
    """Return a piece as it lay before the wash, so much wider and taller as plain fabric came out of it: let go from
    plain fabric all at once a tight tube may crumple instead. None for a repeat, as that may lie in several."""
    if before.mesh.case == "repeat":
        return None
    across = PER_10_CM / wash.stitches / before.mesh.stitch_width
    up = PER_10_CM / wash.rows / before.mesh.row_height
    flat = before.mesh.case == "swatch"
    return State(before.x_nc * np.array([across, up, 1.0 if flat else across]))


def _as_washed(scene: Scene, before: Equilibrium, slack: float | None, inside_out: bool | None) -> Fabric:
    """Return the fabric with stitches of the washed gauge, and floats of as much yarn as they were knitted with."""
    case = before.mesh.case
    length_f = before.mesh.floats.length_f
    if case == "repeat":  # several repeats of it may lie in what is at rest; carried evenly they are all alike
        length_f = set_up(scene, case, slack=slack, inside_out=inside_out).mesh.floats.length_f
    # caught where it was, and of a whole piece as many stitches and rounds, whatever the gauge is now
    caught = with_catches(scene, catches_of(scene)) if scene.floats.plan_catches else scene
    other = caught.model_copy(update={"gauge": scene.gauge.as_washed()})
    if is_whole(before.mesh):
        piece = piece_of(scene)
        rows = shaped_rows(piece)
        fabric = of_rows(other, piece, rows, whole_piece_floats(piece, rows, slack), inside_out).fabric
    else:
        fabric = set_up(other, case, slack=slack, inside_out=inside_out)
    table = fabric.mesh.floats
    slack_f: Floats = length_f / table.span_f - 1.0
    floats = replace(table, length_f=length_f, slack_f=slack_f)
    return replace(fabric, scene=scene, mesh=replace(fabric.mesh, floats=floats))


def _straight(fabric: Fabric, plain: float) -> tuple[float | None, float | None]:
    """Return how wide the piece is when the first of its floats are straight, and half of them, m."""
    mesh = fabric.mesh
    if not len(mesh.floats):
        return None, None
    plain_f = float_term(mesh, fabric.stiffness).measures(mesh.rest_nc, mesh.period_a)
    reach_f = plain * mesh.floats.length_f / plain_f
    first, half = np.quantile(reach_f, [FIRST, 0.5])
    return float(first), float(half)
