"""The same piece worn with tight floats and with right ones: which steps are put on, and what is said of them."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.words.counts import row_word
from fabricsim.cli.words.on_form import for_programs
from fabricsim.cli.words.shares import slack_words
from fabricsim.cli.words.worn import ON_WORDS, goes_on, rounded, where_on, worn_figures
from fabricsim.design.scene.worn_on import On
from fabricsim.render.handouts.lesson import Beside, Plate
from fabricsim.render.handouts.lesson_pictures import pictures_worn
from fabricsim.study.forecast.forecast import Stage
from fabricsim.study.forecast.sweep import Step, Sweep
from fabricsim.study.washed.washing import as_worn
from fabricsim.study.worn.putting_on import PutOn, put_on

WornStep = tuple[Step, PutOn]


def worn_steps(found: Sweep, best: float, on: On, size: str | None, stage: Stage) -> tuple[WornStep, ...]:
    """Return steps of a sweep put on the same body, tight ones first: the one nearest to the ``best`` slack, the
    tightest that goes on, and the tightest of all if that doesn't. Raises InputError for what is no tube or a body not
    known."""
    right = min(found.steps, key=lambda one: (abs(one.slack - best), one.slack))
    put = _put_on(right, on, size, stage)
    if put.seat.body is not None:
        size = str(put.seat.body.name)  # whom it fits with right floats wears it with tight ones
    worn: list[WornStep] = []
    for step in reversed(found.steps):
        if step.slack >= right.slack:
            break
        one = _put_on(step, on, size, stage)
        if not worn or one.worn is not None:
            worn.append((step, one))
        if one.worn is not None:
            break
    return (*worn, (right, put))


def worn_tight(worn: Sequence[WornStep]) -> WornStep | None:
    """Return the tightest step that went on and rests there; None if none does."""
    return next((one for one in worn if one[1].worn is not None), None)


def worn_short(put: PutOn) -> str:
    """Return on whom it is and how it sits there, in a few words."""
    return f"on {where_on(put)}: {_short(put)}"


def _put_on(step: Step, on: On, size: str | None, stage: Stage) -> PutOn:
    """Return a step of a sweep put on, washed before if its scene says how it comes out."""
    turned = step.rest.mesh.floats_longer > 1.0
    off, knitted = as_worn(step.rest.scene, step.rest, step.slack, turned, lambda name: stage(name, 0, 1))
    return put_on(off, on, size, stage, knitted=knitted)


def worn_beside(worn: Sequence[WornStep]) -> Beside:
    """Return how they sit, side by side, the tight one first."""
    on = worn[0][1].on
    where = where_on(worn[-1][1])
    shown = [(step, put) for step, put in worn if put.worn is not None]
    images = pictures_worn([(one.worn.on.equilibrium, one.worn.form) for _, one in shown if one.worn is not None])
    plates = tuple(
        Plate("face", f"{_capital(slack_words(step.slack))}: {_short(put)}", _alt(step, put), image)
        for (step, put), image in zip(shown, images, strict=True)
    )
    state = "piece, washed," if worn[-1][1].washed else "piece"
    said = (f"The same {state} on {where}, by the same hands.", *(_told(step, put) for step, put in worn))
    return Beside(f"On {ON_WORDS[on]}", said, plates)


def _told(step: Step, put: PutOn) -> str:
    """Return how it sits with floats of this slack, in sentences."""
    unit = row_word(put.off.scene)
    lines = dict(worn_figures(put, unit))
    said = f"With {slack_words(step.slack)}: does it go on? {_capital(goes_on(put, unit))}."
    if put.fit is None:
        return said + (f" {_capital(lines[''])}." if "" in lines else "")
    return f"{said} {_capital(lines['Worn'])}. Pressure: {lines['Pressure']}."


def _short(put: PutOn) -> str:
    assert put.fit is not None
    stretch = 100.0 * float(put.fit.stretch_i[put.fit.touching_i].max()) if put.fit.touching_i.any() else 0.0
    presses = f"{rounded(put.fit.pressure):,.0f} Pa on average"
    return f"stretched by up to {stretch:.1f} %, {put.fit.taut:,} floats taut, {presses}"


def _alt(step: Step, put: PutOn) -> str:
    return f"The piece on {ON_WORDS[put.on]} with {slack_words(step.slack)}: {_short(put)}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def worn_for_programs(worn: Sequence[WornStep]) -> list[dict[str, object]]:
    """Return how they sit, the tight one first."""
    return [{"slack_percent": 100.0 * step.slack, **for_programs(put)} for step, put in worn]
