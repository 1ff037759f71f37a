"""What several commands may be asked for: the scene, the load case, the slack, whether worked inside out."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, TypeVar, get_args

import typer

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import demo_scene, read_scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.design.scene.worn_on import ENDED, HANGS, SEWN_FOR, UNKNOWN, On
from fabricsim.errors import InputError
from fabricsim.lengths import speak

T = TypeVar("T", bound=str)

SceneArgument = Annotated[
    Path | None,
    typer.Argument(metavar="SCENE", show_default=False, help="Scene file (TOML); the built-in hat band if left out."),
]


def open_scene(path: Path | None) -> Scene:
    """Return the scene in ``path``, or the built-in one; from now on lengths are said in its units. Raises
    ``InputError``."""
    scene = demo_scene() if path is None else read_scene(path)
    speak(scene.units)
    return scene


def slack_option(name: str, said: str) -> Any:
    """Return an option ``name`` that takes a slack, with what its help says; what can't be one is an ``InputError``."""

    def slack(given: str) -> float:
        try:
            number = float(given)
        except ValueError:
            raise InputError(name, f"'{given}'", "a fraction above -1, at most 1", "-0.05 is 5 % too tight") from None
        return checked_slack(number, name)

    return typer.Option(name, parser=slack, help=said)


CaseOption = Annotated[
    str | None,
    typer.Option(help="repeat (endless), swatch (flat on a table) or round (a tube); by default the scene's own."),
]
SlackOption = Annotated[
    float | None, slack_option("--slack", "Slack of every float in place of the scene's: -0.05 is 5 % too tight.")
]
InsideOutOption = Annotated[
    bool | None,
    typer.Option(
        "--inside-out/--no-inside-out",
        help="A tube knitted with its floats outside, which makes them longer; by default as the scene says.",
    ),
]
EvenOption = Annotated[
    bool, typer.Option("--even", help="Take every float alike; hands carry them unevenly, which draws in more.")
]
WholeOption = Annotated[
    bool | None,
    typer.Option(
        "--whole/--no-whole",
        help="The whole piece, rib, chart and crown as its pattern tells; by default where the scene shapes it.",
        show_default=False,
    ),
]
OnOption = Annotated[
    str | None,
    typer.Option(
        "--on", help=f"Put the tube on: {', '.join(get_args(On))}; by default as the scene says.", show_default=False
    ),
]
OnSizeOption = Annotated[
    str | None,
    typer.Option(
        "--size", help="Put it on this body, such as 'man'; by default whom it fits best.", show_default=False
    ),
]
AcrossOption = Annotated[
    int | None,
    typer.Option(
        min=1,
        max=1_000_000,
        metavar="N",
        help="Repeats of the chart side by side, in place of the scene's: other sizes.",
    ),
]


@dataclass(frozen=True)
class Load:
    """How a fabric is looked at: its load ``case``; ``slack`` and ``inside_out`` in place of the scene's, or None; with
    ``even`` floats, all alike, or as hands carry them. ``whole``: all of the piece, from cast-on to the last stitch,
    instead of the rows of the scene; the ``case`` is then that of its mesh."""

    case: Case
    slack: float | None = None
    inside_out: bool | None = None
    even: bool = False
    whole: bool = False


def load_of(
    scene: Scene,
    case: str | None,
    slack: float | None = None,
    inside_out: bool | None = None,
    *,
    even: bool = False,
    whole: bool | None = False,
) -> Load:
    """Return what was asked for, the scene's own case by default; raises ``InputError``.

    ``whole``: whether all of the piece is asked for; None: where the scene shapes it, unless a case is asked for.
    """
    if whole and case is not None:
        raise InputError(
            "--case", f"'{case}' with --whole", "none: it is seen as it is worked", "leave one of them out"
        )
    if whole is None:
        whole = scene.shaping is not None and case is None
    chosen = _whole_case(scene) if whole else _case(case) or scene.case
    if inside_out and chosen != "round":
        raise InputError("--inside-out", f"with the case '{chosen}'", "with the case 'round' only", "add --case round")
    return Load(chosen, slack, inside_out, even, whole)


def _whole_case(scene: Scene) -> Case:
    """Return how the whole piece of a ``scene`` lies."""
    from fabricsim.design.piece.making import piece_of

    return piece_of(scene).case


def worn_as_asked(scene: Scene, on: str | None) -> Scene:
    """Return ``scene`` as it is put on what ``--on`` names, if anything: what is worked flat is sewn up for it."""
    return scene if on is None else scene.model_copy(update={"on": _on_what(on)})


def _on_what(given: str) -> On:
    if given.lower() in UNKNOWN:
        raise InputError("--on", f"'{given}'", ", ".join(get_args(On)), HANGS)
    return one_of("--on", given, get_args(On))


def with_across(scene: Scene, across: int | None) -> Scene:
    """Return ``scene`` with so many repeats side by side, by default its own; raises ``InputError`` for too many."""
    if across is None:
        return scene
    wider = scene.model_copy(update={"chart": scene.chart.model_copy(update={"across": across})})
    wider.chart_rows()  # which looks at the size of the piece
    return wider


def put_on_what(scene: Scene, load: Load, on: str | None, size: str | None) -> On | None:
    """Return what a piece is to be put on, as asked for, else as the scene says; raises ``InputError``.

    What is asked to be looked at as no tube is not put on.
    """
    chosen = None if on is None else _on_what(on)
    if chosen is not None and load.case != "round":
        raise InputError("--on", *_no_tube(scene, load, chosen))
    if chosen is None and scene.on is not None and load.case == scene.case != "round" and not scene.simulation.case:
        raise InputError(scene.where("on"), *_no_tube(scene, load, scene.on))
    if chosen is None and load.case == "round":
        chosen = scene.on
    if chosen is not None and load.whole:
        _check_whole_on(scene, chosen, "--on" if on is not None else scene.where("on"))
    if size is not None and chosen in (None, "board"):
        raise InputError("--size", f"'{size}'", "with --on head, hand, arm or leg", "say what it is put on")
    return chosen


def _check_whole_on(scene: Scene, on: On, where: str) -> None:
    """Refuse a form that the whole piece can't lie on, before anything is solved; ``where`` it was asked for."""
    from fabricsim.design.sizes.makeup import makeup_of

    todo = "name one, or put on the chart alone: --no-whole"
    if makeup_of(scene).crown and on not in ENDED:
        raise InputError(where, f"'{on}' for a piece that is drawn up at its top", " or ".join(ENDED), todo)
    if scene.shaping is not None and on == "board":
        given = "'board' for a shaped piece, which isn't as wide all along"
        raise InputError(where, given, ", ".join(SEWN_FOR), todo)


def _no_tube(scene: Scene, load: Load, on: On) -> tuple[str, str, str]:
    """Return why what is looked at goes on nothing: what is given, what is allowed, and what to do."""
    if scene.steek is not None:
        return f"'{on}' for a piece that is cut open", "a tube", "take [steek] out, or leave it out"
    if scene.worked == "flat" and on not in SEWN_FOR:
        flat = f"'{on}' for a piece that is worked flat"
        return flat, f"{', '.join(SEWN_FOR)}, for which it is sewn up", "pin it out: pinned_cm in washed"
    todo = "add --case round" if load.case != scene.case or scene.worked == "flat" else "leave it out"
    return f"'{on}' with the case '{load.case}'", "a tube, the case 'round'", todo


def _case(given: str | None) -> Case | None:
    return None if given is None else one_of("--case", given, get_args(Case))


def one_of(option: str, given: str, allowed: tuple[T, ...]) -> T:
    """Return which of the ``allowed`` words was ``given``, in capitals or not; raises ``InputError`` for any other."""
    for word in allowed:
        if given.lower() == word:
            return word
    raise InputError(option, f"'{given}'", ", ".join(allowed), "name one of them")
