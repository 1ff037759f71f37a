"""Every motif brought to rest, row by row: a study that goes on where it was stopped, on processes or a cluster."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from typing import Any

import fabricsim
from fabricsim.design.floats.of_scene import floats_of_repeat
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import FabricsimError, InputError
from fabricsim.fabric.setup import set_up
from fabricsim.study.change.placing import redrawn
from fabricsim.study.compare.order import goodness
from fabricsim.study.executors import each_done
from fabricsim.study.forecast.forecast import Forecast, forecast
from fabricsim.study.forecast.puckering import puckers_from
from fabricsim.study.motifs.classes import Motif
from fabricsim.units import MM

MotifRow = dict[str, Any]


@dataclass(frozen=True)
class MotifMap:
    """The ``motifs`` to be looked at in the yarns, gauge and slack of a ``scene``; ``version`` of the program."""

    scene: Scene
    motifs: tuple[Motif, ...]
    version: str

    def scene_of(self, motif: Motif, squares: int = 1) -> Scene:
        """Return the scene with the motif for its chart, typed as often as it takes to have so many squares each way,
        plain rows and catches left out."""
        up, across = -(-squares // motif.rows), -(-squares // motif.stitches)
        return motif_scene(self.scene, motif, up, across)


def motif_scene(scene: Scene, motif: Motif, up: int = 1, across: int = 1) -> Scene:
    """Return a ``scene`` whose chart is the ``motif``, typed so often, in the scene's first two yarns."""
    bare = scene.model_copy(
        update={"bands": (), "chart": scene.chart.model_copy(update={"plain_below": 0, "plain_above": 0})}
    )
    return redrawn(bare, [tuple(yarn_j) * across for yarn_j in motif.chart_ij] * up, 1, 1)


@dataclass(frozen=True)
class _Job:
    version: str
    scene: Scene
    motif: Motif


def mapped(
    todo: MotifMap, rows: dict[str, MotifRow], *, processes: int = 1, cluster: str | None = None
) -> Iterator[str]:
    """Bring to rest every motif that has no row yet; yield its key and add its row to ``rows`` as it is found.

    A motif that finds no rest is a row that says so. Raises as ``each_done`` does.
    """
    left = [motif for motif in todo.motifs if motif.key not in rows]
    jobs = [_Job(todo.version, todo.scene, motif) for motif in left]
    with closing(_each(jobs, processes, cluster)) as solving:
        for number, row in solving:
            rows[left[number].key] = row
            yield left[number].key


def _each(jobs: Sequence[_Job], processes: int, cluster: str | None) -> Any:
    return each_done(row_of_motif, jobs, processes=processes, cluster=cluster)


def row_of_motif(job: _Job) -> MotifRow:
    """Return what came of one motif, in the units of its keys."""
    if job.version != fabricsim.__version__:
        raise InputError(
            "--cluster", f"workers with fabricsim {fabricsim.__version__}", f"fabricsim {job.version}", "install that"
        )
    scene = motif_scene(job.scene, job.motif)
    try:
        found, begins = at_rest(scene), puckers_from(scene, set_up(scene, "repeat"))
    except FabricsimError as why:
        return {"at_rest": False, "remark": str(why), **counted(scene)}
    measures = found.measures
    return {
        "at_rest": True,
        "remark": "",
        **counted(scene),
        "draw_in_percent": 100.0 * max(0.0, measures.widths.overall),
        "pucker_mm": measures.pucker.peak_to_valley / MM,
        "onset_slack_percent": begins,
    }


def at_rest(scene: Scene) -> Forecast:
    """Return the forecast of a motif as the chart without end, every float carried alike."""
    return forecast(scene, "repeat", even=True, band=False)


def counted(scene: Scene) -> MotifRow:
    """Return what is counted of one repeat: the longest float, floats a stitch, and rows of one yarn."""
    chart_ij, found = scene.chart_rows(), floats_of_repeat(scene)
    stitches = len(chart_ij) * len(chart_ij[0])
    most = scene.limits.most(scene.gauge.stitch_width)
    return {
        "longest_gap_stitches": max((one.gap for one in found), default=0),
        "floats_per_stitch": len([one for one in found if one.gap]) / stitches,
        "plain_rows_percent": 100.0 * sum(len(set(yarn_j)) == 1 for yarn_j in chart_ij) / len(chart_ij),
        "floats_over_limit": sum(one.gap > most for one in found),
    }


def map_identity(todo: MotifMap) -> dict[str, object]:
    """Return what makes it this study and no other: that it holds more motifs than another makes no difference."""
    return {"command": "motifs", "version": todo.version, "scene": scene_hash(todo.scene)}


def in_order(todo: MotifMap, rows: Mapping[str, MotifRow]) -> list[tuple[Motif, MotifRow]]:
    """Return the motifs that have a row, the best first; equals as they are listed."""
    there = [(motif, rows[motif.key]) for motif in todo.motifs if motif.key in rows]
    return sorted(there, key=lambda one: goodness(one[1]))


def goes_with(causing: Sequence[float], caused: Sequence[float]) -> float:
    """Return how far one thing goes with another, by Spearman's rank correlation; 0 where either is always the same."""
    if len(set(causing)) < 2 or len(set(caused)) < 2:
        return 0.0
    from scipy.stats import spearmanr  # late: it takes longer to load than a motif to come to rest

    return float(spearmanr(causing, caused).statistic)
