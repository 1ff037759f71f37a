"""Many settings brought to rest: chains of jobs, each starting from the shape that the one before it came to.

Along a chain all is alike but the slack, from loose to tight, as a knitter's floats tighten: a warm start takes a part
of the work of a cold one. A job is given all that it needs (the scene as it is to be, the shape to start from) and
nothing else, so that it comes to the same bits wherever and whenever it runs.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from math import isfinite

import fabricsim
from fabricsim.cores import usable_cores
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.faults import faults
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import FabricsimError, InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.whole import carried_floats, is_whole, set_up_seen
from fabricsim.mechanics.assemble import State
from fabricsim.study.compare.checkpoint import Kept, Row
from fabricsim.study.compare.setting import Study
from fabricsim.study.executors import Chain, each_in_chains
from fabricsim.study.forecast.forecast import SEED, Forecast, Labour, forecast_of
from fabricsim.study.forecast.puckering import puckers_from
from fabricsim.study.forecast.waves import in_waves
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import carrying
from fabricsim.units import CENTINEWTON, CM, MM

SMALL = 10_000
"""Stitches of all settings together up to which one process does: half as many seconds as others take to get ready
(chosen: about 1 to 2 ms a stitch, and 2 s for a process to begin)."""
LARGE = 5_000
"""Stitches from which fabrics are not solved side by side unasked: each needs memory for itself (chosen)."""


@dataclass(frozen=True)
class Job:
    """All that it takes to bring one setting to rest, wherever that is done."""

    number: int
    version: str
    scene: Scene
    case: Case
    inside_out: bool
    stretch: float
    bending: float
    even: bool
    onset: bool
    start: State | None
    whole: bool = False


@dataclass(frozen=True)
class Settled:
    """What became of the setting ``number``: its ``row``, and the shape that it rests in, if it does."""

    number: int
    row: Row
    state: State | None


def compare(study: Study, kept: Kept, *, processes: int = 1, cluster: str | None = None) -> Iterator[int]:
    """Bring to rest what is not yet kept; yield the number of each setting once its row is.

    A setting that finds no rest is a row that says so, and its chain goes on from the last that did. Raises as
    ``each_in_chains`` does.
    """
    chains = [chain for chain in study.grid.chains() if any(number not in kept.rows for number in chain)]
    jobs = (_chain(study, kept, chain) for chain in chains)
    with closing(each_in_chains(solve, jobs, processes=processes, cluster=cluster)) as solving:
        for chain, solved in solving:
            if solved.number not in kept.rows:  # else it was solved once more, for its shape
                kept.add(solved.number, solved.row, solved.state, chains[chain])
                yield solved.number
    kept.finish()


def once_more(study: Study, kept: Kept) -> int:
    """Return how many settings whose rows are kept have to come to rest once more, since the shape that their chain
    should go on from is lost."""
    parts = (behind for chain in study.grid.chains() for _, behind in _missing(kept, chain))
    return sum(len(_from_shape(kept, behind)[0]) for behind in parts)


def _chain(study: Study, kept: Kept, numbers: tuple[int, ...]) -> Chain[Job, Settled]:
    """Solve what is missing of a chain, each from the shape of the last before it that came to rest: also where rows in
    its middle were lost, or shapes, so that all comes to the same bits as if nothing had been."""
    state: State | None = None
    for number, behind in _missing(kept, numbers):
        again, found = _from_shape(kept, behind)
        state = found or state
        for one in (*again, number):
            solved = yield job_of(study, one, state)
            state = solved.state or state


def _missing(kept: Kept, numbers: tuple[int, ...]) -> Iterator[tuple[int, list[int]]]:
    """Yield every setting of a chain that has no row, with those between it and the one before it that came to rest."""
    rests = {number: bool(kept.rows[number]["at_rest"]) for number in numbers if number in kept.rows}
    behind: list[int] = []
    for number in numbers:
        if number not in rests:
            yield number, behind
            behind = []
        elif rests[number]:
            behind.append(number)


def _from_shape(kept: Kept, behind: list[int]) -> tuple[list[int], State | None]:
    """Return which of ``behind`` have to be solved once more to come to the shape of the last of them, and the shape
    from which; None: that of whatever was solved before them, or plain fabric."""
    for place in range(len(behind), 0, -1):
        state = kept.shape(behind[place - 1])
        if state is not None:
            return behind[place:], state
    return behind, None


def job_of(study: Study, number: int, start: State | None) -> Job:
    """Return the job of one setting."""
    setting = study.grid.setting(number)
    return Job(
        number=number,
        version=study.version,
        scene=study.scene_of(setting),
        case=study.case_of(setting),
        inside_out=study.inside_out(setting),
        stretch=setting.stretch_stiffness or 1.0,
        bending=setting.bending_stiffness or 1.0,
        even=study.grid.even,
        onset=study.tells_onset,
        start=start,
        whole=study.is_whole(setting),
    )


def solve(job: Job) -> Settled:
    """Bring one setting to rest and measure it."""
    if job.version != fabricsim.__version__:
        raise InputError(
            "--cluster", f"workers with fabricsim {fabricsim.__version__}", f"fabricsim {job.version}", "install that"
        )
    try:
        fabric = fabric_of(job)
        rest = rest_of(job, fabric=fabric)
        row = row_of(forecast_in(job, rest, fabric))
        if job.onset:
            row["onset_slack_percent"] = _onset(job)
    except NoEquilibriumError as why:
        return Settled(job.number, _without_rest("no rest found", why, job.scene), None)
    except FabricsimError as why:
        return Settled(job.number, _without_rest("can't be worked", why, job.scene), None)
    except MemoryError:
        return Settled(job.number, {"at_rest": False, "status": "too large", "remark": "not enough memory"}, None)
    return Settled(job.number, row, rest.state)


def forecast_in(job: Job, rest: Equilibrium, fabric: Fabric | None = None) -> Forecast:
    """Return the forecast of a setting from its ``rest``: with its band, or of every float alike; ``fabric``: that of
    the job, where it is at hand."""
    hands = carrying(job.scene, job.case, even=job.even)
    return forecast_of(fabric or fabric_of(job), hands, Labour(band=not job.even), rest=in_waves(rest))


def rest_of(job: Job, shift: float = 0.0, fabric: Fabric | None = None) -> Equilibrium:
    """Return the fabric that is shown of a setting, all its slack moved by ``shift``, an endless one without waves
    longer than its chart, so that each setting starts from that; raises InputError and NoEquilibriumError."""
    fabric, hands = fabric or fabric_of(job), carrying(job.scene, job.case, even=job.even)
    return come_to_rest(in_hand(fabric, typical(fabric, SEED), hands, shift), job.start)


def fabric_of(job: Job) -> Fabric:
    """Return the fabric that is brought to rest."""
    fabric = set_up_seen(job.scene, None if job.whole else job.case, inside_out=job.inside_out, whole=job.whole)
    stiffness = fabric.stiffness.stretched(job.stretch).bent(job.bending)
    return fabric.with_stiffness(stiffness) if stiffness != fabric.stiffness else fabric


def _onset(job: Job) -> float | None:
    """Return from what slack on a setting's chart without end puckers, per cent; None where it doesn't, or can't be."""
    try:
        return puckers_from(job.scene, fabric_of(replace(job, case="repeat", inside_out=False, whole=False)))
    except FabricsimError:  # a chart too small to go on without end
        return None


def row_of(found: Forecast) -> Row:
    """Return what is compared, in the units of its keys: the whole piece but for the floats, which are the case's own.

    ``low``, ``high``: between what nine pieces in ten lie; None where every float is alike. ``shift``: of all slack of
    the fabric that is shown, as in a ``Forecast``. ``stretch_left``: how far it stretches before the first float is
    taut; ``yarn_m``: of each yarn, nothing to spare.
    """
    rest, measures = found.equilibrium, found.measures
    scene, banded = rest.scene, bool(found.pieces)
    lost, pucker = found.draw_in, found.pucker
    pull, floats = measures.pull, len(rest.floats)
    remark = ""
    if measures.crossing:
        remark = "passes through itself: trust none of it"
    elif measures.touching:
        remark = "folds onto itself"
    whole = is_whole(rest.mesh)
    around = around_of(piece_of(scene)) if whole else None
    yarn_y = {one.yarn: one.length for one in yarn_amounts(scene, around=around).yarns}
    row: Row = {
        "at_rest": True,
        "shift": found.shift,
        "draw_in_percent": 100.0 * measures.widths.overall,
        "draw_in_cm": measures.widths.plain * measures.widths.overall / CM,
        "width_cm": measures.widths.width / CM,
        "draw_in_low_percent": 100.0 * lost.low if banded else None,
        "draw_in_high_percent": 100.0 * lost.high if banded else None,
        "pucker_mm": measures.pucker.peak_to_valley / MM,
        "pucker_low_mm": pucker.low / MM if banded else None,
        "pucker_high_mm": pucker.high / MM if banded else None,
        "floats": floats,
        "taut_floats": pull.taut,
        "greatest_tension_cN": pull.greatest / CENTINEWTON,
        "stretch_left_percent": 100.0 * max(0.0, float(pull.spare_f.min())) if floats else None,
        "floats_over_limit": len(faults(carried_floats(scene, rest.mesh.case, whole=whole), scene.limits)),
        "yarn_m": [yarn_y.get(yarn, 0.0) for yarn in range(len(scene.yarns))],
        "status": "at rest",
        "remark": remark,
    }
    assert all(isfinite(value) for value in row.values() if isinstance(value, float))
    return row


def _without_rest(status: str, why: FabricsimError, scene: Scene) -> Row:
    remark = str(why).removeprefix(f"{scene.source or scene.title}: ")
    return {"at_rest": False, "status": status, "remark": remark}


def identity(study: Study) -> dict[str, object]:
    """Return what makes it this study and no other; where its files lie is no part of that."""
    said = study.grid.model_dump(mode="json")
    del said["scenes"]
    return {
        "command": "compare",
        "version": study.version,
        "scenes": [scene_hash(scene) for scene in study.scenes],
        "grid": said,
    }


def usual_processes(study: Study, left: int) -> int:
    """Return how many processes work on it unless asked for otherwise: as many as there are cores, one where it is
    small; ``left`` is how many settings are still to do."""
    grid = study.grid
    per_chain = len(grid.axes[-1][1])
    sizes = [study.stitches(grid.setting(chain * per_chain)) for chain in range(grid.chain_count)]
    if max(sizes) > LARGE or sum(sizes) / len(sizes) * left < SMALL:
        return 1
    return min(usable_cores(), grid.chain_count)
