"""The same fabric at one slack after the other, each let in from the shape before: what tightening the floats does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.relax import Patience, Progress, come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.whole import is_whole, set_up_seen
from fabricsim.study.forecast.forecast import SEED
from fabricsim.study.forecast.waves import settled
from fabricsim.study.hands.bench import at_rest
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands, hands_of

AT_ONCE = Patience(steps=100, ramps=(1,))
"""How each step of a whole piece is let in (chosen: the steps are parts already, those of a large yoke take up to 70,
and one that crumples took ten minutes to find no rest by more of them and in smaller parts)."""


@dataclass(frozen=True)
class Step:
    """The fabric with this ``slack`` in every float, at ``rest``, and what it ``measures``."""

    slack: float
    rest: Equilibrium
    measures: Measures


@dataclass(frozen=True)
class Sweep:
    """All steps that came to rest, the loosest first, and ``lost``: slacks that found none, each with why."""

    steps: tuple[Step, ...]
    lost: tuple[tuple[float, str], ...] = ()


def sweep(
    scene: Scene,
    case: Case | None,
    slacks: Sequence[float],
    *,
    inside_out: bool | None = None,
    whole: bool = False,
    stage: Callable[[str, int, int], Progress | None] | None = None,
) -> Sweep:
    """Return ``scene``, or all of its piece (``whole``), at rest at each of ``slacks``, which take the place of every
    slack in it, from loose to tight.

    ``stage`` is asked, as each solve begins, what to tell its steps to: given its name, its number and how many there
    are. Raises InputError for what can't be built, NoEquilibriumError if no slack at all comes to rest.
    """
    in_turn = sorted(set(slacks), reverse=True)
    steps: list[Step] = []
    lost: list[tuple[float, str]] = []
    # the shape of a whole piece is looked for once: without floats it rests alike whatever their slack
    shape = set_up_seen(scene, slack=in_turn[0], inside_out=inside_out, whole=True) if whole else None
    for number, slack in enumerate(in_turn):
        fabric = set_up(scene, case, slack=slack, inside_out=inside_out) if shape is None else _carried(shape, slack)
        progress = stage(f"slack {100 * slack:+.3g} %", number, len(in_turn)) if stage is not None else None
        try:
            start = steps[-1].rest if steps else None
            rest = settled(fabric, start, progress) if shape is None else come_to_rest(fabric, start, progress, AT_ONCE)
        except NoEquilibriumError as why:
            lost.append((slack, str(why)))
            continue
        steps.append(Step(slack, rest, measure(rest)))
    if not steps:
        raise NoEquilibriumError(lost[0][1])
    return Sweep(tuple(steps), tuple(lost))


def _carried(fabric: Fabric, slack: float) -> Fabric:
    """Return the same fabric with this slack in every float."""
    floats = tuple(replace(one, slack=slack) for one in fabric.floats)
    return replace(fabric.with_slack_of_yarns([slack] * len(fabric.scene.yarns)), floats=floats)


def carried_unevenly(found: Sweep, progress: Progress | None = None) -> tuple[Step, Step] | None:
    """Return the step nearest to no slack, every float alike, and the same with floats as uneven as hands usually carry
    them, right on average; None where that finds no rest."""
    even = min(found.steps, key=lambda one: (abs(one.slack), one.slack))
    mesh = even.rest.mesh
    fabric = (
        even.rest.contact.fabric
        if is_whole(mesh)
        else set_up(even.rest.scene, mesh.case, slack=even.slack, inside_out=mesh.floats_longer > 1.0)
    )
    known = hands_of(even.rest.scene, other_slack=True)
    uneven = Hands(slack=0.0, rows=known.rows, floats=known.floats)  # nothing else that hands do
    try:
        rest = at_rest(in_hand(fabric, typical(fabric, SEED), uneven), even.rest, progress)
    except NoEquilibriumError:
        return None
    return even, Step(even.slack, rest, measure(rest))
