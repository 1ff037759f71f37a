"""What a preview says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp

from fabricsim.cli.words.advice import advice
from fabricsim.cli.words.bands import bands_said
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.corners import corner_figure
from fabricsim.cli.words.counts import count, limit_words, row_word
from fabricsim.cli.words.fabric import row_said, seen_as
from fabricsim.cli.words.knitter import hands_used
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.cli.words.washed import NO_SINGLE_REST, washed_figures
from fabricsim.cli.words.worn import worn_figures
from fabricsim.design.floats.faults import FloatFault
from fabricsim.fabric.corner_line import corner_line
from fabricsim.fabric.setup import scene_row
from fabricsim.fabric.whole import as_numbered, carried_floats, is_whole
from fabricsim.lengths import fine, fine_number, fine_plain, long, long_number
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.forecast.waves import Onset
from fabricsim.study.hands.prior import EVEN, UNKNOWN_SLACK
from fabricsim.study.washed.washing import Washed
from fabricsim.study.worn.putting_on import PutOn
from fabricsim.units import CENTINEWTON, MICROJOULE, MM

SAID_HEIGHT = 0.05 * MM
"""Heights below half of the last digit printed are nothing, m."""

USUAL_STARTS = 2
"""Plain fabric, and from loose to tight: nothing to tell while both come to the same."""


def words(
    forecast: Forecast, over: Sequence[FloatFault], put: PutOn | None = None, wash: Washed | None = None
) -> list[str]:
    """Return the summary, line by line."""
    scene, mesh = forecast.equilibrium.scene, forecast.equilibrium.mesh
    unit = row_word(scene)
    lines = [
        scene.title,
        seen_as(scene, mesh),
        *remarks(forecast),
        "",
        *(f"{label:<11}{text}" for label, text in figures(forecast, over, unit)),
        *([] if wash is None else ["", *(f"{label:<11}{text}" for label, text in washed_figures(wash))]),
        *([] if put is None else ["", *(f"{label:<11}{text}" for label, text in worn_figures(put, unit))]),
        "",
        "What to do",
        *(f"  - {sentence}" for sentence in advice(forecast, over)),
        "",
        *trust(forecast),
        *([NO_SINGLE_REST] if forecast.pieces else []),
    ]
    return [*lines, CAUTION] if len(mesh.floats) else lines


def other_slack(forecast: Forecast) -> bool:
    """Return whether the slack was asked for in place of what the scene says."""
    scene, case = forecast.equilibrium.scene, forecast.equilibrium.mesh.case
    for one in as_numbered(forecast.equilibrium):
        band = scene.band_of(scene_row(scene, case, one.row))
        if one.slack != scene.slack_of_yarns[one.yarn] + (0.0 if band is None else band.looser):
            return True
    return False


def remarks(forecast: Forecast) -> list[str]:
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
        said.append("The scene is worked flat: as a tube its floats join round the edge, other than in 'floats'.")
    if mesh.case == "swatch" and scene.steek is not None:
        said.append(
            "Seen cut open, the stitches of its steek left out: their floats don't pull, and those of the chart end at "
            "its edges."
        )
    elif mesh.case == "swatch" and scene.worked == "round":
        said.append("The scene is worked in the round: cut flat its floats end at the edges, other than in 'floats'.")
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


def figures(forecast: Forecast, over: Sequence[FloatFault], unit: str) -> list[tuple[str, str]]:
    measures = forecast.measures
    mesh = forecast.equilibrium.mesh
    whole = carried_floats(forecast.equilibrium.scene, mesh.case, whole=is_whole(mesh))
    floats, parts, widths = len(whole), len(mesh.floats), measures.widths
    of_them = f"{floats:,}" if parts == floats else f"{parts:,} parts, as those that go far round lie there in several"
    if mesh.case == "repeat" and parts > floats:
        of_them = f"{parts:,} in {many_repeats(forecast.equilibrium.repeats)}"
    if floats == 0:
        carried = [("Floats", "none: one colour a row, nothing to pull")]
    else:
        longest = max(one.gap for one in whole)
        behind = f"{count(longest, 'stitch')}, {long(longest * mesh.stitch_width)}"
        carried = [
            (
                "Floats",
                f"{floats:,}{' in one repeat' if mesh.case == 'repeat' else ''}; {len(over) or 'none'} over your limit "
                f"of {limit_words(forecast.equilibrium.scene)} "
                f"(the longest passes behind {behind})",
            ),
            (
                "Taut",
                f"{measures.pull.taut:,} of {of_them}"
                + (
                    f"; the hardest pulls with {measures.pull.greatest / CENTINEWTON:.2f} cN"
                    " (1 cN is about the weight of a gram)"
                    if measures.pull.taut
                    else ": nothing pulls while the fabric lies"
                ),
            ),
        ]
    figures = [*carried, ("Draw-in", _draw_in(forecast))]
    if mesh.case != "repeat" and widths.narrowest > widths.overall + SAID:
        row = row_said(forecast.equilibrium.scene, mesh, int(widths.loss_i.argmax()))
        figures.append(("Narrowest", f"{row}: {percent(widths.narrowest, 1)} narrower"))
    change = measures.height_change
    taller = (
        f"{percent(abs(change), 1)} {'taller' if change > 0.0 else 'shorter'}" if abs(change) >= SAID else "unchanged"
    )
    figures += [("Height", taller), ("Pucker", _pucker(forecast))]
    if measures.pull.pressing:
        figures.append(("", _pressing(measures.pull.pressing)))
    if mesh.case == "repeat" and floats:
        figures += [("Waves", told) for told in [waves(forecast)] if told]
    line = corner_line(forecast.equilibrium)
    if line is not None:
        figures.append(corner_figure(forecast.equilibrium.scene, line, mesh.stitches, unit))
    shapes = _shapes(forecast)
    return [*figures, ("Shapes", shapes)] if shapes else figures


def many_repeats(repeats: tuple[int, int]) -> str:
    """Return how many repeats of the chart lie side by side and above each other."""
    across, up = repeats
    if up == 1:
        return f"{count(across, 'repeat')} side by side"
    return f"{count(up, 'repeat')} above each other" if across == 1 else f"{across} x {up} repeats"


def waves(forecast: Forecast) -> str:
    """Return in which waves of several repeats an endless fabric folds, and how tight floats make it begin; nothing
    where neither is known."""
    wave, begins = forecast.found.wave, forecast.onset
    if wave is None and begins is None:
        return ""
    said = "none longer than the chart"
    if wave is not None:
        said = f"{long(wave.length, 0)} long, over {many_repeats(wave.tile)}"
    if begins is None:
        return said
    return f"{said}; flat fabric begins to pucker {_tightened(forecast, begins)}"


def _tightened(forecast: Forecast, begins: Onset) -> str:
    """Return how tight floats must be for fabric to begin to pucker."""
    slacks = {one.slack for one in forecast.equilibrium.floats}
    if len(slacks) == 1:
        return f"at a slack of {100.0 * begins.slack:+.1f} %"
    tighter = "tighter" if begins.shift < 0.0 else "looser"
    return f"with all floats {percent(abs(begins.shift), 1)} {tighter} than here"


def _shapes(forecast: Forecast) -> str:
    """Return what the starts came to, if there is anything to tell: more than one shape, or random starts asked for."""
    found = forecast.found
    lost = sum(one.measures is None for one in found.starts)
    if found.shapes == 1 and len(found.starts) <= USUAL_STARTS and not lost:
        return ""
    came = "all came to one shape" if found.shapes == 1 else f"came to {count(found.shapes, 'shape')}"
    if lost:
        came = f"{came.removeprefix('all ')}, {lost} of them to no rest"
    (least, most), (low, high) = (
        found.spread(lambda m: m.widths.overall),
        found.spread(lambda m: m.pucker.peak_to_valley),
    )
    return (
        f"{count(len(found.starts), 'start')} {came}: {100 * least:.1f} to {100 * most:.1f} % narrower, pucker "
        f"{fine_number(low)} to {fine(high)}; shown is the one of least energy, "
        f"{found.rest.effort.energy / MICROJOULE:.3g} microjoules"
    )


def _draw_in(forecast: Forecast) -> str:
    plain, band = forecast.measures.widths.plain, forecast.draw_in
    width = forecast.measures.widths.width
    text = (
        f"{percent(band.nominal, 1)} narrower, "
        + (f"{long(plain)} to {long(width)}" if plain - width >= MM else f"less than {fine_plain(MM)} of {long(plain)}")
        if band.nominal >= SAID
        else f"none: {long(width)} wide, as plain fabric"
    )
    if not forecast.pieces or band.high < SAID:
        return text
    low, high = max(0.0, band.low), band.high
    return f"{text}; likely {100 * low:.1f} to {100 * high:.1f} %, {long_number(low * plain)} to {long(high * plain)}"


def _pucker(forecast: Forecast) -> str:
    band = forecast.pucker
    word, least, most = (pucker_word(value) for value in (band.nominal, band.low, band.high))
    text = f"{word.word} ({word.range_said}): {fine(band.nominal)} from peak to valley"
    if band.high - band.low < SAID_HEIGHT:
        return text
    between = least.word if least is most else f"{least.word} to {most.word}"
    return f"{text}; likely {fine_number(band.low)} to {fine(band.high)}, so {between}"


def _pressing(pressing: int) -> str:
    if pressing == 1:
        return "(1 taut float lies on the back of the fabric and holds down the stitches that bulge in its way)"
    return (
        f"({pressing:,} taut floats lie on the back of the fabric and hold down the stitches that bulge in their way)"
    )


def hands_told(forecast: Forecast) -> str:
    """Return what hands and what fabric the likely range is over."""
    hands = forecast.hands
    within = 100.0 * hands.all_slack / EVEN
    about = "slack as written" if _written(forecast) else "slack as the knitter's file says"
    if _unknown(forecast):
        about = "floats that just reach"
    parts = [f"{about}, {within:.2g} % tighter to {within:.2g} % looser"]
    if hands.floats > 0.0:
        parts.append(f"uneven by {100.0 * hands.floats:.2g} % from float to float" + _factor(hands.unevenness_log))
    low, high = (max(0.0, hands.short + sign * hands.short_spread / EVEN) for sign in (-1.0, 1.0))
    if high > 0.0:
        between = f"{fine_number(low)} to {fine(high)}" if high - low > SAID_HEIGHT else fine(high)
        parts.append(f"each {between} shorter")
    stiff = exp(max(hands.stretch, hands.bending) / EVEN)
    parts.append(f"and fabric up to {stiff:.2g} times as stiff or as soft")
    return ", ".join(parts)


def _unknown(forecast: Forecast) -> bool:
    """Return whether nobody has written a slack, nor measured one."""
    return forecast.hands.all_slack == UNKNOWN_SLACK * EVEN and not forecast.equilibrium.scene.slack_is_learnt


def _factor(log: float) -> str:
    return f" (or {exp(log / EVEN):.2g} times more or less)" if log else ""


def _written(forecast: Forecast) -> bool:
    scene = forecast.equilibrium.scene
    asked = other_slack(forecast)
    return asked or not scene.slack_is_learnt


def trust(forecast: Forecast) -> list[str]:
    if not forecast.pieces:
        if not forecast.equilibrium.floats:
            return ["Nothing floats, so nothing is uncertain but the gauge."]
        way = "" if forecast.found.starts[1:] else " from one start"
        return [f"This was a draft: one forecast{way}, no likely range. Leave out --draft for that."]
    even = forecast.hands.floats == 0.0
    shown = (
        "Every float is taken alike; uneven ones draw in more."
        if even
        else "The one shown draws in as the middle of them."
    )
    said = [
        f"'Likely': nine pieces in ten lie there, of {len(forecast.pieces)} knitted by hands that might be yours: "
        f"{hands_told(forecast)}. {shown} The mechanics is checked against exact "
        "solutions, not against hand-knits: knit a swatch" + _calibrate(forecast)
    ]
    if forecast.lost:
        crumpled = (
            "crumpled and found no rest; it counts" if forecast.lost == 1 else "crumpled and found no rest; they count"
        )
        said.append(f"{count(forecast.lost, 'piece')} {crumpled} as drawn in further than the rest.")
    return said


def _calibrate(forecast: Forecast) -> str:
    """Return what narrows the range, where nobody has measured the hands."""
    if not _unknown(forecast):
        return "."
    return ", and 'fabricsim calibrate' learns your hands from it, which narrows this range the most."
