"""How shaped fabric rests before any float pulls: it has no flat grid, so its shape is looked for.

Known are lengths, from the gauge alone: along a row stitches lie a stitch width apart, from row to row it is a row
height, straight up the wales. A round of n stitches is a closed line of n widths, whatever the one below has; only
stitches that are worked together have less room, as at their top they share the place of one, and where counts change
at a stroke rows give and take a little of their width. ``along_rows.py`` lays stitches along their rows so, as upright
on those below as they can be, square to the rows as those slope. That gives every bar its length: along rows from
stitch to stitch, up a leg sqrt(c² + a²), a how far the leg leans sideways, for a stitch that takes two on the average
half a width. The bars alone say how the fabric curves within itself (a cone where counts fall evenly, a pole where they
close); where no surface has all these lengths, the fabric's own stiffness finds the mean. It is laid out flat, row on
row, or as a surface of revolution (``turned.py``), and let go: bars of those lengths, and bending: round a tube a row
would rather be the circle that it was laid out as, and everything else lie flat. Where it comes to rest, or is after so
many steps, is what is measured afterwards: lengths and curvatures there are those of fabric without stress, so that
plain shaped fabric takes no step, as a plain tube does. What would pass through itself keeps the surface of revolution.

So what the search leaves in the bars (a per cent or so beside a decrease, and where rib draws in the rounds above it)
is taken for relaxed, as washing does.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial.transform import Rotation

from fabricsim.arrays import Floats, Ints
from fabricsim.design.scene.made import TAKES
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.along_rows import Lengths, lengths
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.giving import MOST_GIVEN, disc_loses, given_and_taken, ruffle
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.shaped_terms import ACROSS, Elements
from fabricsim.fabric.standing import KINDS, Standing
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.fabric.turned import STEEPEST, Profile, laid_out_round, let_go_round
from fabricsim.mechanics.assemble import State, assemble
from fabricsim.mechanics.solver.minimise import minimise
from fabricsim.mechanics.solver.stopping import Status, Stopping

DRAWN_UP = 0.5
"""Width of a stitch where the yarn draws it up, over its own: two strands side by side, each about a quarter as thick
as a stitch is wide (derived)."""
SMOOTHER = 3.0
"""How many times as stiff against bending fabric is taken while its shape is looked for: of the shapes that its lengths
allow, one smoother than it would fall into by itself (chosen: hands lay it so; with once it ends in a deeper dent where
a crown closes flat)."""
NEAR_ENOUGH = 1e-6
"""Force left on a stitch, as a share of what doubles its width (chosen: what is left is taken for relaxed)."""
STEPS = 16
"""Most steps of the search (chosen: where a surface has the lengths it takes 2 to 10; where counts fall so fast that
fabric must ruffle, ever larger ruffles take over from smaller ones for a hundred more, by which its bars hardly come
nearer to their lengths)."""


@dataclass(frozen=True)
class Search:
    """What the search for the rest shape took."""

    steps: int
    factorisations: int


def found(mesh: Mesh, stiffness: Stiffness, where: str) -> tuple[Mesh, Search]:
    """Return the shaped ``mesh`` with its stitches where they rest, and what it took to find that.

    Raises NoEquilibriumError, naming ``where``, if a force becomes infinite on the way.
    """
    standing = mesh.standing
    assert standing is not None
    tube = mesh.case == "round"
    made = Elements(mesh, stiffness, where)
    width_n = made.width_n * drawn_together(standing) * given_and_taken(standing, disc_loses(mesh))
    if mesh.needle_i is not None:
        width_n = width_n * mesh.needle_i[standing.row_n]
    # rib of flat fabric is narrower, yet its stitches stand below those above, not beside them
    drawn_n = np.ones(len(width_n)) if tube else made.width_n / mesh.stitch_width
    gauge = lengths(standing, width_n / drawn_n, tube, mesh.row_height, stiffness)
    if standing.apex >= 0 and ruffle(mesh) is None:
        width_n = width_n * _squeezed(standing, gauge)
        gauge = lengths(standing, width_n, tube, mesh.row_height, stiffness)
    begin_nc = laid_out(standing, gauge, drawn_n)
    scale = stiffness.stretch_across * mesh.stitch_width
    bars = [(one, _gauge_length(standing, gauge, drawn_n, one.name, one.node_bp)) for one in made.bars]
    smooth = Elements(mesh, stiffness.bent(SMOOTHER), where)
    bends = [one.at_rest(one.measured(begin_nc) * (one.name == ACROSS)) for one in smooth.bends]
    let = [one.at_rest(length_b) for one, length_b in bars]
    smooth_nc = begin_nc
    if gauge.tube:
        smooth_nc = let_go_round(assemble([*let, *bends], State(begin_nc)), standing, begin_nc)
    energy = assemble([*let, *bends], State(smooth_nc), _held(standing, tube))
    end = minimise(energy, energy.free(energy.start), Stopping(NEAR_ENOUGH * scale, STEPS))
    if end.status is Status.NOT_FINITE:
        raise NoEquilibriumError(
            f"{where}: the shape of the plain fabric was not found: {end.status.text}; shape it more evenly"
        )
    there = energy.state(end.q_f)
    kept_nc = there.x_nc if crossing_cells(replace(mesh, rest_nc=smooth_nc), there) == 0 else smooth_nc
    return replace(mesh, rest_nc=stood_up(mesh, kept_nc) if tube else kept_nc), Search(end.steps, end.factorisations)


def stood_up(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return a tube at ``x_nc`` (n, 3) m turned so that the line through the middles of its rounds is upright.

    Where rounds meet at an angle, as under an arm, they lie aslant to it. What is not as tall as it is broad has no
    such line, and stays.
    """
    count_i = np.bincount(mesh.row_n)
    middle_ic = np.stack([np.bincount(mesh.row_n, x_c) for x_c in x_nc.T], axis=1) / count_i[:, None]
    off_ic = middle_ic - middle_ic.mean(axis=0)
    if np.ptp(off_ic[:, 1]) < count_i.max() * mesh.stitch_width / np.pi:
        return x_nc
    along_c = off_ic[:, 1] @ off_ic / (off_ic[:, 1] @ off_ic[:, 1])  # how the middles move a metre up, (x, 1, z)
    turn, _ = Rotation.align_vectors([[0.0, 1.0, 0.0]], [along_c])
    return np.asarray(turn.apply(x_nc - x_nc[0]) + x_nc[0])


def drawn_together(standing: Standing) -> Floats:
    """Return the width of each stitch, (n,), over that of one that nothing draws in.

    A stitch worked together with others shares the place of one at its top, and the last ones are drawn up there; in
    its middle it is half-way between that and its own width (derived).
    """
    takes_n = np.bincount(standing.leg_b2[:, 1], minlength=len(standing.row_n))
    made = np.array([TAKES[one] == 0 for one in KINDS])[standing.made_n]
    top_n = np.where(made, 1.0, 1.0 / np.maximum(takes_n, 1))
    if standing.apex >= 0:
        top_n[standing.apex] = DRAWN_UP
    below, above = standing.leg_b2[~made[standing.leg_b2[:, 1]]].T
    share_n = np.ones(len(takes_n))
    share_n[below] = 0.5 * (1.0 + top_n[above])
    return share_n


def _squeezed(standing: Standing, gauge: Lengths) -> Floats:
    """Return the width of each stitch, (n,), over its own where a drawn-up top has more stitches than room.

    The last few rounds of a crown, decreased in every one, are squeezed until a cap lies smooth over them, as hands
    pull it.
    """
    far_i = _drawn_leg(standing, gauge) + gauge.row_height * np.arange(len(standing.count_i) - 1)[::-1]
    share_i = np.ones(len(standing.count_i))
    share_i[:-1] = np.clip(STEEPEST * 2.0 * np.pi * far_i / gauge.width_i[:-1], 1.0 - MOST_GIVEN, 1.0)
    return np.asarray(share_i[standing.row_n])


def _gauge_length(standing: Standing, gauge: Lengths, drawn_n: Floats, name: str, node_b2: Ints) -> Floats:
    one_b, other_b = node_b2.T
    sideways_b = gauge.sideways(standing, one_b, other_b)
    if name == "course":
        return np.asarray(sideways_b * drawn_n[node_b2].mean(axis=1))
    length_b = np.hypot(gauge.row_height, gauge.leaning(standing, one_b, other_b))
    if standing.apex < 0:
        return np.asarray(length_b)
    drawn = _drawn_leg(standing, gauge)
    return np.asarray(np.where((node_b2 == standing.apex).any(axis=1), drawn, length_b))


def _drawn_leg(standing: Standing, gauge: Lengths) -> float:
    """Return how far the last stitches lie from the middle of the yarn that draws them up, m: half a row, and the
    radius of its ring."""
    ring = DRAWN_UP / (0.5 * (1.0 + DRAWN_UP)) * float(gauge.width_i[-2])
    return 0.5 * gauge.row_height + ring / (2.0 * np.pi)


def laid_out(standing: Standing, gauge: Lengths, drawn_n: Floats) -> Floats:
    """Return where the search begins, (n, 3) m: a surface of revolution, or row on row, each as far drawn in as
    ``drawn_n`` (n,) says."""
    return _turned(standing, gauge) if gauge.tube else _row_on_row(standing, gauge, drawn_n)


def _turned(standing: Standing, gauge: Lengths) -> Floats:
    rows = len(standing.count_i) - (standing.apex >= 0)
    leg = _drawn_leg(standing, gauge) if standing.apex >= 0 else np.inf
    profile = Profile(gauge.width_i[:rows] / (2.0 * np.pi), gauge.row_height, leg)
    return laid_out_round(standing, profile, gauge.along_n)


def _row_on_row(standing: Standing, gauge: Lengths, drawn_n: Floats) -> Floats:
    return np.column_stack([gauge.along_n * drawn_n, gauge.row_height * standing.row_n, np.zeros(len(standing.row_n))])


def _held(standing: Standing, tube: bool) -> list[int]:
    """Return the unknowns that hold the fabric as a whole and carry no force; of flat fabric, all heights."""
    far = int(standing.count_i[0]) - 1
    if tube:
        opposite, aside = (far + 1) // 2, 3 * (far + 1) // 4
        return [0, 1, 2, 3 * opposite + 1, 3 * opposite + 2, 3 * aside + 1]
    flat = range(2, 3 * len(standing.row_n), 3)  # it is laid on a table
    return [0, 1, 3 * far + 1, *flat]
