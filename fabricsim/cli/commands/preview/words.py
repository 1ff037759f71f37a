"""What a preview says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf

from fabricsim.cli.commands.preview.figures import figures
from fabricsim.cli.commands.preview.likely import other_slack, trust
from fabricsim.cli.words.advice import advice
from fabricsim.cli.words.bands import bands_said
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.crowns import too_fast
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.knitter import hands_used
from fabricsim.cli.words.shares import percent
from fabricsim.cli.words.washed import no_single_rest, washed_figures
from fabricsim.cli.words.worn import worn_figures
from fabricsim.design.floats.faults import FloatFault
from fabricsim.fabric.corner_line import TurnedOut
from fabricsim.fabric.crown import crown_shape
from fabricsim.fabric.giving import ruffle
from fabricsim.fabric.lying import Unpinned
from fabricsim.fabric.stiffness import Stiffness
from fabricsim.lengths import long
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.washed.washing import Washed
from fabricsim.study.worn.putting_on import PutOn


def words(
    forecast: Forecast,
    over: Sequence[FloatFault],
    put: PutOn | None = None,
    wash: Washed | None = None,
    turned: TurnedOut | None = None,
    loose: Unpinned | None = None,
) -> list[str]:
    """Return the summary, line by line."""
    scene, mesh = forecast.equilibrium.scene, forecast.equilibrium.mesh
    unit = row_word(scene)
    lines = [
        scene.title,
        seen_as(scene, mesh),
        *remarks(forecast, loose),
        "",
        *(f"{label:<11}{text}" for label, text in figures(forecast, over, unit, turned)),
        *([] if wash is None else ["", *(f"{label:<11}{text}" for label, text in washed_figures(wash, unit))]),
        *([] if put is None else ["", *(f"{label:<11}{text}" for label, text in worn_figures(put, unit))]),
        "",
        "What to do",
        *(f"  - {sentence}" for sentence in advice(forecast, over)),
        "",
        *trust(forecast),
        *dead_band(forecast),
    ]
    return [*lines, CAUTION] if len(mesh.floats) else lines


def dead_band(forecast: Forecast) -> list[str]:
    """Return what friction leaves open of the width at rest, beside a forecast that has a likely range."""
    return [no_single_rest(forecast.measures.widths.width)] if forecast.pieces else []


def edges_said(stiffness: Stiffness, loose: Unpinned | None = None, *, flat: bool = False) -> str:
    """Return how the edges of what lies on a table are seen, and what that does to its measure; ``flat``: its scene
    says that they are."""
    if stiffness.curls:
        deep = "" if isinf(stiffness.curl_depth) else f" {long(stiffness.curl_depth, 0)} deep"
        return f"Its edges curl{deep}: pin it flat to measure it, and measure in the middle, where none curls."
    if flat:
        return "Its edges lie flat, as the scene says: pinned, ribbed or weighed."
    if loose is not None and loose.rest is None:
        return (
            "Its edges are seen pinned flat, as one measures them: off its pins they curl, but no rest was found for "
            "that, so there is no unpinned.png."
        )
    if loose is not None:
        lost, deep = 1.0 - loose.width / loose.pinned, long(loose.depth, 0)
        less = f"{percent(lost, 1)} less" if lost >= 0.0005 else "no less"
        return (
            "Its numbers are taken with the edges pinned flat, as one measures it. Off its pins its edges curl "
            f"{deep} deep (unpinned.png): it stands {long(loose.stands)} high, and a tape right across finds "
            f"{long(loose.width)}, {less}."
        )
    return (
        "Its edges lie flat, as after pinning, and so its numbers are taken; off its pins sides roll to the back and "
        "ends to the face (draw --view three-quarter shows it)."
    )


def remarks(forecast: Forecast, loose: Unpinned | None = None) -> list[str]:
    """Return what a reader must know before the numbers."""
    scene, mesh = forecast.equilibrium.scene, forecast.equilibrium.mesh
    asked = other_slack(forecast)
    said = hands_used(scene, other_slack=asked)
    if not asked:
        said += bands_said(scene)
    if mesh.floats_longer > 1.0:
        said.append(
            f"Knitted inside out, so that floats are {percent(mesh.floats_longer - 1.0, 1)} longer, then turned."
        )
    if mesh.case == "round" and scene.worked == "flat":
        said.append("Worked flat, it is seen sewn up, edge to edge: no float crosses the seam.")
    if mesh.case == "swatch" and scene.steek is not None:
        said.append(
            "Seen cut open, the stitches of its steek left out: their floats don't pull, and those of the chart end at "
            "its edges."
        )
    elif mesh.case == "swatch" and scene.worked == "round":
        said.append("The scene is worked in the round: cut flat its floats end at the edges, other than in 'floats'.")
    if (fast := ruffle(mesh)) is not None:
        said.append(too_fast(scene, mesh, fast, crown_shape(forecast.equilibrium)))
    if mesh.case == "swatch":
        said.append(edges_said(forecast.equilibrium.stiffness, loose, flat=scene.fabric.edges == "flat"))
    grid_ij = scene.chart_grid()
    unused = [yarn.name for number, yarn in enumerate(scene.yarns) if not (grid_ij == number).any()]
    if unused:
        said.append(f"In no square of the chart: {', '.join(unused)}.")
    if forecast.measures.crossing:
        said.append(
            "Beware: so tight, the fabric passes through itself here. Don't trust these numbers; try a looser slack or "
            "another case."
        )
    elif forecast.measures.touching:
        touch = "touches" if forecast.measures.touching == 1 else "touch"
        said.append(f"So tight, the fabric folds onto itself ({count(forecast.measures.touching, 'stitch')} {touch}).")
    return said
