"""What is told of a scene at once, by counting alone."""

from __future__ import annotations

from fabricsim.design.catches.plan import plan_of
from fabricsim.design.counted.difficulty import difficulty
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats_of_chart
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.carried import whole_floats
from fabricsim.table.messages.fabrics import TellCounts, ToldFloat
from fabricsim.units import CM


def counted(scene: Scene, revision: int, case: Case | None = None) -> TellCounts:
    """Return the floats of a ``scene``: all of the piece as numbers, those of one repeat one by one."""
    whole = whole_floats(scene, case or scene.case)
    over = faults(whole, scene.limits)
    repeat, hard = floats_of_chart(scene), difficulty(scene)
    long = {id(one.float) for one in faults(repeat, scene.limits)}
    rows, stitches = len(scene.chart_rows()), scene.stitches_per_repeat
    told = []
    for one in repeat:
        first = one.start + 1 if one.direction > 0 else one.start - one.gap
        told.append(
            ToldFloat.model_construct(  # of a large chart there are thousands, all made here: no need to doubt them
                row=one.row % rows,
                column=first % stitches,
                gap=one.gap,
                cm=one.gap_width / CM,
                yarn=one.yarn,
                edge=one.crosses,
                over=id(one) in long,
            )
        )
    return TellCounts.model_construct(
        revision=revision,
        count=len(whole),
        over=len(over),
        longest_gap=max((one.counted_gap for one in whole), default=0),
        longest_cm=max((one.counted_width for one in whole), default=0.0) / CM,
        repeat=tuple(told),
        planned=tuple(sorted({hold.square for hold in plan_of(scene).planned})) if scene.floats.plan_catches else (),
        difficulty=hard.verdict,
        difficulties=dict(hard.levels),
    )
