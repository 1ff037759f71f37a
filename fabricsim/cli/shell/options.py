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
    ``even`` floats, all alike, or as hands carry them."""

    case: Case
    slack: float | None = None
    inside_out: bool | None = None
    even: bool = False


def load_of(
    scene: Scene,
    case: str | None,
    slack: float | None = None,
    inside_out: bool | None = None,
    *,
    even: bool = False,
) -> Load:
    """Return what was asked for, the scene's own case by default; raises ``InputError``."""
    chosen = _case(case) or scene.case
    if inside_out and chosen != "round":
        raise InputError("--inside-out", f"with the case '{chosen}'", "with the case 'round' only", "add --case round")
    return Load(chosen, slack, inside_out, even)


def with_across(scene: Scene, across: int | None) -> Scene:
    """Return ``scene`` with so many repeats side by side, by default its own; raises ``InputError`` for too many."""
    if across is None:
        return scene
    wider = scene.model_copy(update={"chart": scene.chart.model_copy(update={"across": across})})
    wider.chart_rows()  # which looks at the size of the piece
    return wider


def _case(given: str | None) -> Case | None:
    return None if given is None else one_of("--case", given, get_args(Case))


def one_of(option: str, given: str, allowed: tuple[T, ...]) -> T:
    """Return which of the ``allowed`` words was ``given``, in capitals or not; raises ``InputError`` for any other."""
    for word in allowed:
        if given.lower() == word:
            return word
    raise InputError(option, f"'{given}'", ", ".join(allowed), "name one of them")
