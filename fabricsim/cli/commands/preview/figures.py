"""The figures of a preview, each after its label."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.words.corners import corner_figure, turned_figure
from fabricsim.cli.words.counts import count, limit_words
from fabricsim.cli.words.crowns import top_figure
from fabricsim.cli.words.fabric import row_said
from fabricsim.cli.words.pucker import SAID_HEIGHT, pucker_word
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.design.floats.faults import FloatFault
from fabricsim.fabric.corner_line import TurnedOut, corner_line
from fabricsim.fabric.shaped_measures import counts, drawn_apart
from fabricsim.fabric.whole import carried_floats, is_whole
from fabricsim.lengths import fine, fine_number, fine_plain, long, long_number
from fabricsim.study.forecast.forecast import Forecast
from fabricsim.study.forecast.waves import Onset
from fabricsim.units import CENTINEWTON, MICROJOULE, MM

USUAL_STARTS = 2
"""Plain fabric, and from loose to tight: nothing to tell while both come to the same."""


def figures(
    forecast: Forecast, over: Sequence[FloatFault], unit: str, turned: TurnedOut | None = None
) -> list[tuple[str, str]]:
    """Return the labelled lines; ``turned``: the same tube knitted inside out, where needles leave lines up it."""
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
    apart = int((drawn_apart(mesh) & measures.pull.taut_f).sum())
    if apart:
        carried.append(("", _apart(apart)))
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
    top = top_figure(forecast.equilibrium)
    if top is not None:
        figures.append(top)
    line = corner_line(forecast.equilibrium)
    if line is not None:
        scene, lowest = forecast.equilibrium.scene, int(line.row_r[0])
        first = row_said(scene, mesh, lowest) if is_whole(mesh) else ""
        figures.append(corner_figure(scene, line, int(counts(mesh)[lowest]), unit, first))
        if turned is not None:
            figures.append(turned_figure(turned, line))
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


def _apart(taut: int) -> str:
    """Return that so many taut floats lie where the shaping makes them so."""
    lie = "1 of them lies" if taut == 1 else f"{taut:,} of them lie"
    return f"({lie} where stitches that come or go draw their neighbours apart: carry yarn looser there)"


def _pressing(pressing: int) -> str:
    if pressing == 1:
        return "(1 taut float lies on the back of the fabric and holds down the stitches that bulge in its way)"
    return (
        f"({pressing:,} taut floats lie on the back of the fabric and hold down the stitches that bulge in their way)"
    )
