"""How a piece sits on whom it is for, in words."""

from __future__ import annotations

from fabricsim.cli.words.counts import count
from fabricsim.cli.words.fabric import row_said
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.design.scene.worn_on import On
from fabricsim.fabric.form.wearing import LEAST_FRICTION, MOST_FRICTION, Hold, Worn
from fabricsim.fabric.shaped_measures import knitted_rows
from fabricsim.lengths import long, long_number
from fabricsim.study.worn.putting_on import FELT, STOCKINGS, PutOn
from fabricsim.units import CENTINEWTON, MM

ON_WORDS: dict[On, str] = {
    "head": "a head",
    "hand": "a hand",
    "arm": "an arm",
    "leg": "a leg",
    "board": "a board",
}
PASCALS = 10.0
"""To what pressures are said (chosen: forecasts of stiffness are no finer)."""


def where_on(put: PutOn) -> str:
    """Return what a piece is put on: ``a head (woman), 55.0 cm round where it is widest``."""
    body, form = put.seat.body, put.seat.form
    if body is None:
        return f"{form.name} as wide as its plain fabric"
    widest = float(max(form.girth(height) for height in (form.bottom, 0.0, form.top)))
    passed = f", {long(form.widest_passed)} as it goes through" if form.widest_passed > widest else ""
    return f"{form.name} ({body.name}), {long(widest)} round where it is widest{passed}"


def as_what(put: PutOn) -> str:
    """Return that a piece was washed before it was put on, as an end of what is said of where; nothing of others."""
    if not put.washed:
        return ""
    wash = put.off.scene.gauge.washed
    return "; put on washed" + (", not as pinned out" if wash is not None and wash.pinned_cm is not None else "")


def lies_on(put: PutOn) -> str:
    """Return how a piece lies that is put on, as titles of pictures say it: ``washed, on a head``."""
    return f"{'washed, ' if put.washed else ''}on {ON_WORDS[put.on]}"


def worn_figures(put: PutOn, unit: str) -> list[tuple[str, str]]:
    """Return the labelled lines that tell how it sits."""
    lines = [("On", where_on(put) + as_what(put)), ("Goes on", goes_on(put, unit))]
    if put.loose:
        return [*lines, ("", "it is wider than that all along, and hangs loose: nothing holds it")]
    if put.worn is None or put.fit is None:
        return [*lines, ("", f"it found no rest there: {put.why_not}")] if put.why_not else lines
    fit, floats = put.fit, len(put.off.mesh.floats)
    stretch_i, girth_i = fit.stretch_i[fit.touching_i], fit.girth_i[fit.touching_i]
    wider = percent(stretch_i.max(), 1)
    if stretch_i.max() - stretch_i.min() >= 10.0 * SAID:
        wider = f"{100.0 * stretch_i.min():.1f} to {wider}"
    girth = long(girth_i.max())
    if girth_i.max() - girth_i.min() >= 2.0 * MM:
        girth = f"{long_number(girth_i.min())} to {girth}"
    taut = f"{fit.taut:,} of {floats:,} floats are taut there" if floats else "no float pulls"
    pull = f", the hardest pulls with {fit.greatest / CENTINEWTON:.0f} cN" if fit.taut else ""
    rounds = knitted_rows(put.off.mesh)  # the yarn that draws up a top is none
    touches = int(fit.touching_i[:rounds].sum())
    some = "" if touches == rounds else f"{count(touches, unit)} of {rounds} touch; these "
    return [
        *lines,
        ("Worn", f"{some}stretched by {wider}, {girth} round; {taut}{pull}"),
        ("Pressure", pressure(put)),
        ("Stays", stays(put.worn)),
    ]


def goes_on(put: PutOn, unit: str) -> str:
    """Return whether it goes on, by the round that has least room."""
    way = put.way
    row = way.tightest
    needed, opens = float(way.needed_i[row]), float(way.opens_i[row])
    last = f"{_named(put, row)} opens to {long(opens)} at the most and must pass {long(needed)}"
    first = "lowest" if way.first == 0 else "topmost"
    if way.goes_on:
        return f"yes, the {first} {unit} first; {last}, {percent(opens / needed - 1.0)} to spare"
    lacking = [i for i in range(len(way.needed_i)) if way.opens_i[i] < way.needed_i[i]]
    those = f"{count(len(lacking), unit)} don't" if len(lacking) > 1 else "it doesn't"
    return f"no: {last}; {those} pass. More stitches, or looser floats"


def _named(put: PutOn, row: int) -> str:
    """Return what a round is called, as everywhere else: of a whole piece as its pattern does."""
    return row_said(put.off.scene, put.off.mesh, row)


def pressure(put: PutOn) -> str:
    """Return how hard it presses and where, beside what is usual."""
    assert put.fit is not None
    fit = put.fit
    mean, most = (rounded(value) for value in (fit.pressure, fit.pressure_i.max()))
    said = f"{mean:,.0f} Pa on average, most in {_named(put, fit.hardest)}: {most:,.0f} Pa"
    low, high = STOCKINGS
    beside = "less than is" if mean < low else "as is" if mean <= high else "more than is"
    said += f"; {beside} usual under support stockings, {low:,.0f} to {high:,.0f} Pa"
    return said + (f", and {FELT:,.0f} Pa and more are felt as tight" if most >= FELT else "")


def rounded(pressure: float) -> float:
    """Return a pressure (Pa) as it is said."""
    return PASCALS * round(pressure / PASCALS)


def stays(worn: Worn) -> str:
    """Return whether it stays where it was put on."""
    slick, firm = worn.hold(worn.slick), worn.hold(worn.firm)
    if slick == firm == "holds":
        return f"it holds where it was put, on smooth hair or skin too (it needs a friction of {worn.needs:.2f})"
    most, least = f"where friction is {MOST_FRICTION:g}", f"where it is {LEAST_FRICTION:g}"
    if slick == firm:
        return f"{_how(worn, firm, firm_end=True)}, {most} and {least} (it needs {worn.needs:.2f} to hold)"
    return (
        f"{_how(worn, firm, firm_end=True)} {most}, {_how(worn, slick, firm_end=False)} {least} "
        f"(it needs {worn.needs:.2f} to hold)"
    )


def _how(worn: Worn, hold: Hold, *, firm_end: bool) -> str:
    one = worn.firm if firm_end else worn.slick
    if hold == "holds":
        return "it holds"
    if hold == "slips" or one is None:
        return "it slips off"
    return f"it rides {'up' if one.rides > 0.0 else 'down'} by {long(abs(one.rides))}"
