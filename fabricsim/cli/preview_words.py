"""What a preview says to a knitter."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.words import CAUTION, count, row_word
from fabricsim.design.floats import FloatFault
from fabricsim.fabric.advice import advice
from fabricsim.fabric.forecast import SLACK_DOUBT, Band, Forecast
from fabricsim.fabric.verdict import pucker_word
from fabricsim.units import CENTINEWTON, CM, MM

CASE_WORDS = {
    "repeat": "endless repeats, far from any edge",
    "swatch": "a swatch lying on a table, edges free",
    "round": "a tube, floats inside",
}


def words(forecast: Forecast, over: Sequence[FloatFault]) -> list[str]:
    """Return the summary, line by line."""
    scene, mesh = forecast.equilibrium.scene, forecast.equilibrium.mesh
    unit = row_word(scene)
    lines = [
        scene.title,
        f"Seen as {CASE_WORDS[mesh.case]}: {count(mesh.stitches, 'stitch')} x {count(mesh.rows, unit)}.",
        "",
        *(f"{label:<11}{text}" for label, text in _figures(forecast, over, unit)),
        "",
        "What to do",
        *(f"  - {sentence}" for sentence in advice(forecast, over)),
        "",
        *_trust(forecast),
    ]
    return [*lines, CAUTION] if len(mesh.floats) else lines


def _figures(forecast: Forecast, over: Sequence[FloatFault], unit: str) -> list[tuple[str, str]]:
    measures = forecast.measures
    mesh, rules = forecast.equilibrium.mesh, forecast.equilibrium.scene.floats
    floats, widths = len(mesh.floats), measures.widths
    if floats == 0:
        carried = [("Floats", "none: one colour a row, nothing to pull")]
    else:
        longest = int(mesh.floats.gap_f.max())
        carried = [
            (
                "Floats",
                f"{floats:,}{' in one repeat' if mesh.case == 'repeat' else ''}; {len(over)} over your limit of "
                f"{count(rules.longest_gap, 'stitch')} or "
                f"{rules.longest_cm:g} cm (the longest passes behind {count(longest, 'stitch')})",
            ),
            (
                "Taut",
                f"{measures.pull.taut:,} of {floats:,}"
                + (
                    f"; the hardest pulls with {measures.pull.greatest / CENTINEWTON:.2f} cN"
                    " (1 cN is about the weight of a gram)"
                    if measures.pull.taut
                    else ": nothing pulls while the fabric lies"
                ),
            ),
        ]
    plain, draw_in = widths.plain, forecast.draw_in
    narrower = f"{_percent(draw_in.nominal)} narrower, {plain / CM:.1f} cm to {widths.width / CM:.1f} cm"
    figures = [*carried, ("Draw-in", narrower + _band(draw_in, plain))]
    if mesh.case != "repeat" and widths.narrowest > widths.overall + 0.0005:
        row = int(widths.loss_i.argmax()) + 1
        figures.append(("Narrowest", f"{unit} {row}: {_percent(widths.narrowest)} narrower"))
    taller = measures.height_change
    figures.append(("Height", f"{_percent(abs(taller))} {'taller' if taller >= 0.0 else 'shorter'}"))
    pucker = forecast.pucker
    word = pucker_word(pucker.nominal)
    text = f"{word.word} ({word.range_mm}): {pucker.nominal / MM:.1f} mm from peak to valley"
    if forecast.corners:
        text += f"; likely {_between(pucker, MM, 'mm')}, so {_words_between(pucker)}"
    figures.append(("Pucker", text))
    return figures


def _percent(share: float) -> str:
    return f"{abs(100.0 * share) if abs(share) < 5e-4 else 100.0 * share:.1f} %"


def _band(band: Band, plain: float) -> str:
    if band.low == band.high:
        return ""
    low, high = max(0.0, band.low), band.high
    return f"; likely {100 * low:.1f} to {100 * high:.1f} %, {low * plain / CM:.1f} to {high * plain / CM:.1f} cm"


def _between(band: Band, unit: float, name: str) -> str:
    return f"{band.low / unit:.1f} to {band.high / unit:.1f} {name}"


def _words_between(band: Band) -> str:
    low, high = pucker_word(band.low).word, pucker_word(band.high).word
    return low if low == high else f"{low} to {high}"


def _trust(forecast: Forecast) -> list[str]:
    if not forecast.corners:
        return ["This was a draft: one solve, no band. Leave out --draft for the likely range."]
    lost = [corner for corner in forecast.corners if corner.measures is None]
    said = [
        f"'Likely' is the range over slack {100 * SLACK_DOUBT:.0f} % tighter and looser and fabric half and twice as "
        "stiff to bend. The mechanics is checked against exact solutions, not against hand-knits: knit a swatch."
    ]
    if lost:
        left_out = "is left out" if len(lost) == 1 else "are left out"
        said.append(f"{count(len(lost), 'corner')} of that range found no rest and {left_out}.")
    return said
