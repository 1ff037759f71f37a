"""Advice that follows from the numbers of a forecast, in a knitter's words."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.words.crowns import FEWER_GO
from fabricsim.cli.words.needles import larger_needle
from fabricsim.cli.words.pucker import PUCKER_WORDS
from fabricsim.cli.words.shares import percent
from fabricsim.design.floats.faults import FloatFault
from fabricsim.design.scene.rules import BAGGY
from fabricsim.fabric.crown import crown_shape
from fabricsim.lengths import long
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.units import CM

SEEN = 0.05
"""Share of width lost from which colourwork looks narrower than the plain fabric around it (memory)."""
HOURGLASS = 0.08
"""Share from which it looks like an hourglass (memory: 8 to 10 %)."""
TOO_MUCH = 0.25
"""Share beyond which more stitches are no remedy (chosen)."""
COUNTS = 0.005
"""Share below which a loss of width is not worth a word (chosen)."""
USUAL = (0.05, 0.15)
"""The usual aim for slack (memory)."""
SPREAD = "4 or 5"
"""Stitches to spread before a change of colour (common practice)."""


ROLLED = (
    "What its rolled edges take counts in its width, its height and its pucker: 'preview' of the same with "
    'edges = "flat" under [fabric] tells what its floats do, and what to do about that.'
)


def advice(forecast: Forecast, over: Sequence[FloatFault]) -> list[str]:
    """Return what to do about it, most pressing first; one sentence at least."""
    rest = forecast.equilibrium
    if rest.mesh.case == "swatch" and rest.stiffness.curls:
        return [*_too_long(over, forecast), ROLLED, *_loose(forecast)]
    said = [*_too_long(over, forecast), *_too_narrow(forecast), *_puckered(forecast), *_loose(forecast)]
    if said:
        return said
    flat = forecast.measures.pucker.peak_to_valley < PUCKER_WORDS[1].least
    lies = "the fabric lies flat" if flat else "it lies nearly flat"
    return [f"Nothing to mend: floats within your limits, no width lost, and {lies}."]


def _too_long(over: Sequence[FloatFault], forecast: Forecast) -> list[str]:
    if not over:
        return []
    scene, mesh = forecast.equilibrium.scene, forecast.equilibrium.mesh
    word = "chart row" if mesh.case == "repeat" else "round" if scene.worked == "round" else "row"
    rows = sorted({one.float.row + 1 for one in over})
    listed = ", ".join(str(r) for r in rows[:6]) + (" and more" if len(rows) > 6 else "")
    many = len(over) > 1
    return [
        f"Catch the {len(over)} float{'s' if many else ''} over your limit (in {word}{'s' if len(rows) > 1 else ''} "
        f'{listed}; catches = "planned" under [floats] shows where), or break up '
        f"{'those gaps' if many else 'that gap'} in the chart ('fabricsim mend' finds the smallest changes)."
    ]


def _too_narrow(forecast: Forecast) -> list[str]:
    measures, scene = forecast.measures, forecast.equilibrium.scene
    loss = measures.widths.overall
    if loss < COUNTS:
        return []
    slack_y = {one.yarn: one.slack for one in forecast.equilibrium.floats}
    tightest = min(slack_y.values())
    short = [scene.yarns[yarn].name for yarn, slack in slack_y.items() if slack < 0.0]
    whose = "Your floats" if len(short) == len(slack_y) else f"Your floats of {' and '.join(short)}"
    needle = larger_needle(scene, loss)
    said = [needle] if needle is not None else []
    said.append(
        f"{whose} are up to {percent(-tightest)} too short. Spread the last few stitches on the right needle to "
        f"their full width before each change of colour, so that the floats gain {percent(-tightest)} and more; "
        f"the usual aim is a slack of {100 * USUAL[0]:.0f} to {percent(USUAL[1])}."
        if tightest < 0.0
        else "On average your floats are long enough, but no hand carries them evenly, and each falls a little short "
        "where it becomes a stitch: the tight ones pull, and the loose ones can't push. Carry them a little looser, "
        "and all of them alike."
    )
    if loss > TOO_MUCH:
        return said
    extra = max(1, round(loss / (1.0 - loss) * measures.widths.plain * scene.gauge.stitches / (10 * CM)))
    more = "1 more stitch" if extra == 1 else f"{extra} more stitches"
    said.append(f"Or allow for it: about {more} would make good the width (one repeat is {scene.stitches_per_repeat}).")
    if loss >= HOURGLASS:
        said.append(f"From about {percent(HOURGLASS)} it looks like an hourglass beside plain fabric.")
    elif loss >= SEEN:
        said.append(f"From about {percent(SEEN)} it is seen beside plain fabric.")
    return said


def _puckered(forecast: Forecast) -> list[str]:
    pucker = forecast.measures.pucker
    puckered = PUCKER_WORDS[2].least
    top = crown_shape(forecast.equilibrium)
    if top is not None and top.lies != "smooth":
        return [FEWER_GO.format(lies="ruffles" if top.lies == "ruffled" else "dishes")]
    if pucker.peak_to_valley >= puckered:
        wave = pucker.wave_across or pucker.wave_up
        size = "" if wave is None else f", in waves about {long(wave, 0)} long"
        return [
            f"It puckers{size}: looser floats first; where a motif is wide, break up its plain areas with a stitch of "
            "the other colour, so that no float has a wide flap of fabric to fold."
        ]
    if forecast.pucker.high >= puckered:
        return ["It may pucker if your floats come out a little tighter than you think: knit a swatch first."]
    return []


def _loose(forecast: Forecast) -> list[str]:
    table = forecast.equilibrium.mesh.floats
    if len(table) == 0:
        return []
    if max(one.slack for one in forecast.equilibrium.floats) > BAGGY:
        return [f"Floats with more than {percent(BAGGY)} slack hang in loops and snag: work them a little tighter."]
    spare = float(forecast.measures.pull.spare_f.min())
    if spare > COUNTS:
        return [f"As forecast here it gives about {percent(spare)} across before the first floats go taut."]
    return []
