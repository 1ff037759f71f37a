"""From the steps of a sweep to the page of a lesson: pictures, words and how they were made."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.commands.lesson.telling import telling, uneven_told
from fabricsim.cli.commands.lesson.words import figures, group, narrower_said, verdict
from fabricsim.cli.commands.lesson.worn import WornStep, worn_beside, worn_short, worn_tight
from fabricsim.cli.shell.progress import Watch
from fabricsim.cli.words.advice import USUAL
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, row_word
from fabricsim.cli.words.fabric import row_said, seen_as
from fabricsim.cli.words.pins import pins_said
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.cli.words.shares import slack_words
from fabricsim.cli.words.strands import strands_said
from fabricsim.cli.words.worn import ON_WORDS
from fabricsim.design.scene.choices import Case
from fabricsim.fabric.lying import Unpinned, as_seen
from fabricsim.lengths import fine_per_unit, fine_unit, gauge_said
from fabricsim.render.handouts.lesson import Beside, Lesson, Plate, Scene3D, Station, lesson_page
from fabricsim.render.handouts.lesson_curves import LessonCurve, curve
from fabricsim.render.handouts.lesson_pictures import Views, album
from fabricsim.study.forecast.sweep import Step, Sweep
from fabricsim.units import CENTINEWTON

BEST = 0.5 * sum(USUAL)
"""The slack to be shown as right: the middle of the usual aim."""
SEEN_AS: dict[Case, tuple[str, str]] = {
    "repeat": ("face", "back, as seen from behind"),
    "swatch": ("face", "back, as seen from behind"),
    "round": ("outside", "inside, with the near half cut away"),
}
"""What the two pictures show, in each load case."""
LEAD = (
    "A float is the strand of the yarn not in use, carried across the back. Its slack is how much more yarn it holds "
    "than the distance that it bridges: with 10 % slack a tenth more, with none just enough, and 10 % too short means "
    "a tenth less.",
    "All pictures show the same chart, knitted by the same hands at the same gauge; only the slack differs, and it is "
    "the same in every float. Fine broken lines mark how wide the fabric is without floats.",
)
TRUST = (
    "A forecast, not a photograph. Its mechanics is verified: it agrees with exact solutions and with an independent "
    "physics engine. It is not validated against measured hand-knits, as nobody has published such measures. How much "
    "the fabric draws in follows closely from the slack; how high it puckers is known to about a factor of two. Real "
    "floats are not all alike, and yours may be tighter than you think: knit a swatch."
)


def page_of(
    found: Sweep,
    both: tuple[Step, Step] | None,
    solid_name: str | None,
    watch: Watch,
    worn: Sequence[WornStep] = (),
) -> str:
    """Return the page of all steps that came to rest; ``worn``: some of them put on; ``both``: one of
    them, and the same with uneven floats, if that came to rest too; ``solid_name``: the file of the page in 3-D, if
    there is one."""
    scene, steps = found.steps[0].rest.scene, found.steps
    uneven = (both[1],) if both is not None else ()
    drawn = (*steps[:-1], *uneven, steps[-1])  # the loosest sets the scale, the tightest where it is cut through

    def announce(number: int) -> None:
        name = (
            "uneven floats"
            if any(drawn[number] is one for one in uneven)
            else slack_words(drawn[number].slack).split(":")[0]
        )
        watch.drawing(f"{name} ({number + 1} of {len(drawn)})")

    pictures = album([step.rest for step in drawn], announce=announce)
    watch.drawing("the page")
    keys = key_slacks([step.slack for step in steps])
    views_of = dict(zip(map(id, drawn), pictures.steps, strict=True))
    stations = tuple(
        _station(step, found, views_of[id(step)], pictures.row, step.slack in keys) for step in reversed(steps)
    )
    tight = Scene3D(solid_name, solid_said(steps[-1], worn)) if solid_name is not None else None
    return lesson_page(
        Lesson(
            title=scene.title,
            lead=LEAD,
            stations=stations,
            shown=0,
            curves=_curves(tuple(reversed(steps))),
            metres_per_px=pictures.metres_per_px,
            colours=pictures.colours,
            made=tuple(_made(found)),
            notes=(TRUST, CAUTION),
            scene_3d=tight,
            worn=worn_beside(worn) if worn else None,
            beside=None if both is None else _beside(both, views_of[id(both[0])], views_of[id(both[1])]),
        )
    )


def _beside(both: tuple[Step, Step], even: Views, uneven: Views) -> Beside:
    """Return floats all alike and uneven ones side by side."""
    front, _ = SEEN_AS[both[0].rest.mesh.case]
    named = ("every float alike", "floats uneven, the same on average")
    plates = tuple(
        Plate(
            "face",
            f"{name[0].upper()}{name[1:]}: {_shape(step)}",
            f"{front.capitalize()} with {name}: {_shape(step)}.",
            views.face,
        )
        for name, step, views in zip(named, both, (even, uneven), strict=True)
    )
    return Beside("The same slack, carried unevenly", tuple(uneven_told(both)), plates)


def _shape(step: Step) -> str:
    return f"{narrower_said(step.measures)}, {pucker_word(step.measures.pucker.peak_to_valley).word}"


def solid_page_of(step: Step, loose: Unpinned | None, back: str, watch: Watch, worn: Sequence[WornStep] = ()) -> str:
    """Return the page with the fabric of one step in 3-D, off its pins if it is known so, or the tightest of those
    ``worn`` that went on, where it is worn; ``back``: the name of the lesson's own page."""
    from fabricsim.render.handouts.lesson_solid import solid_page

    watch.drawing("the fabric in 3-D")
    tight = worn_tight(worn)
    if tight is not None:
        (step, put), title = tight, step.rest.scene.title
        assert put.worn is not None
        said = f"The fabric with its floats {_carried(step.slack)}, {worn_short(put)}."
        return solid_page(put.worn.on.equilibrium, title=title, said=said, back=back, form=put.worn.form)
    name = _carried(step.slack)
    said = " ".join([f"The fabric with its floats {name}: {narrower_said(step.measures)}.", *pins_said(loose)])
    return solid_page(as_seen(step.rest, loose), title=step.rest.scene.title, said=said, back=back)


def _carried(slack: float) -> str:
    """Return how floats of a slack are, as in "its floats just long enough"."""
    return slack_words(slack).removeprefix("no slack: ")


def key_slacks(slacks: Sequence[float]) -> set[float]:
    """Return the few slacks that stand for all: the tightest, the loosest, and the one nearest to what is right."""
    return {min(slacks), max(slacks), min(slacks, key=lambda slack: (abs(slack - BEST), slack))}


def solid_said(step: Step, worn: Sequence[WornStep] = ()) -> str:
    """Return what the page in 3-D shows."""
    tight = worn_tight(worn)
    shown, where = (step, "") if tight is None else (tight[0], f" on {ON_WORDS[tight[1].on]}")
    return f"the fabric with its floats {_carried(shown.slack)}{where}, in 3-D, on a page of its own."


def _station(step: Step, found: Sweep, views: Views, row: int, key: bool) -> Station:
    name = slack_words(step.slack)
    return Station(
        slack=step.slack,
        group=group(step.slack),
        name=name,
        verdict=verdict(step),
        heard=f"{name}: {narrower_said(step.measures)}",
        figures=figures(step),
        telling=tuple(telling(step, found)),
        plates=_plates(step, views, row),
        key=key,
    )


def _plates(step: Step, views: Views, row: int) -> tuple[Plate, ...]:
    scene, pull = step.rest.scene, step.measures.pull
    front, behind = SEEN_AS[step.rest.mesh.case]
    run = (
        f"{pull.taut:,} of {len(step.rest.mesh.floats):,} floats are drawn straight"
        if pull.taut
        else "the floats run along it without pulling"
        if step.slack <= USUAL[1] + 1e-9
        else "the floats hang in bows"
    )
    names = " and ".join(one.name for one in scene.yarns) if len(scene.yarns) == 2 else f"{len(scene.yarns)} yarns"
    return (
        Plate(
            "face",
            front,
            f"{front.capitalize()} of {scene.title} in {names}, {slack_words(step.slack)}: {_shape(step)}.",
            views.face,
        ),
        Plate("back", behind, f"Its {behind}: {run}.", views.back),
        Plate(
            "pull",
            f"{behind}: how hard the floats pull",
            f"The {behind}, floats coloured by pull: {_pull_alt(step)}.",
            views.pull,
        ),
        Plate("section", _cut_words(step, row), _cut_alt(step, row), views.section),
    )


def _pull_alt(step: Step) -> str:
    """Return what the colours of the floats tell."""
    pull = step.measures.pull
    if pull.taut:
        return f"{pull.taut:,} pull, the hardest with {pull.greatest / CENTINEWTON:.2f} cN"
    return f"none pulls; they have at least {100.0 * float(pull.spare_f.min()):.0f} % yarn to spare"


def _cut_words(step: Step, row: int) -> str:
    """Return what the cross-section shows."""
    name = row_said(step.rest.scene, step.rest.mesh, row)
    if step.rest.mesh.case == "round":
        return f"half of {name} seen edge on, outside up"
    return f"{name} seen edge on, face up"


def _cut_alt(step: Step, row: int) -> str:
    """Return what is to be seen in the cross-section, from the floats of that row."""
    rest, pull = step.rest, step.measures.pull
    mine_f = rest.mesh.row_n[rest.mesh.floats.node_f2[:, 0]] == row
    taut, every = int(pull.taut_f[mine_f].sum()), int(mine_f.sum())
    where = "inside the round of stitches" if rest.mesh.case == "round" else "behind the line of stitches"
    if taut:
        return f"Edge on: {taut} of the {count(every, 'float')} of this row lie straight {where} and pull."
    spare = 100.0 * float(pull.spare_f[mine_f].mean())
    return f"Edge on: {count(every, 'float')} {where}, none of them taut, with {spare:.0f} % yarn to spare on average."


def _curves(steps: Sequence[Step]) -> tuple[LessonCurve, ...]:
    slacks = [step.slack for step in steps]
    draw_in = [100.0 * step.measures.widths.overall for step in steps]
    pucker = [step.measures.pucker.peak_to_valley / fine_per_unit() for step in steps]
    return (
        curve("Draw-in, % of the width", "%", slacks, draw_in, 1.0),
        curve(f"Pucker, {fine_unit()} from peak to valley", fine_unit(), slacks, pucker, 1.0),
    )


def _made(found: Sweep) -> list[tuple[str, str]]:
    rest = found.steps[0].rest
    scene, mesh, unit = rest.scene, rest.mesh, row_word(rest.scene)
    made = [
        ("Scene", scene.title),
        ("Seen as", seen_as(scene, mesh).removeprefix("Seen as ").removesuffix(".")),
        (
            "Gauge",
            f"{gauge_said(scene.gauge.stitches, scene.gauge.rows, unit)}, plain, on the needles used",
        ),
        ("Yarns", ", ".join(f"{one.name} ({one.tex_value:.0f} tex)" for one in scene.yarns)),
        *([("Strands", below)] if (below := strands_said(scene)) else []),
        ("Slack", "one for all floats at a time, in place of what the scene says"),
    ]
    if mesh.floats_longer > 1.0:
        longer = f"{100.0 * (mesh.floats_longer - 1.0):.1f} %"
        made.append(("Inside out", f"knitted with the floats outside, which makes them {longer} longer, then turned"))
    for slack, why in found.lost:
        made.append(("Left out", f"{slack_words(slack)}: no rest was found ({why})"))
    return [*made, ("By", "fabricsim")]
