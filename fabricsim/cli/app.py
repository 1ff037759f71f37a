"""The command ``fabricsim``: which commands there are, and what all of them have in common."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Sequence
from functools import lru_cache
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command

import fabricsim
from fabricsim.cli import quick_loading
from fabricsim.cli.shell.outputs import force
from fabricsim.cli.usage import usage_error
from fabricsim.inputs import begin_run
from fabricsim.lengths import speak
from fabricsim.undrawn import begin_pictures, letters_undrawn

_UsageError: type[Any] = typer.BadParameter.__base__ or Exception
"""All that can be wrong with the words of a command line; typer gives out only this child of it."""


COMMANDS = {
    "table": "Lay a scene on the table: a page in the browser, on which the fabric answers while you design.",
    "preview": "Forecast draw-in and pucker, and draw the fabric's face and back.",
    "draw": "Draw the fabric from any side, as large as you like.",
    "lesson": "Write a page with a slider from tight floats to loose, for a class.",
    "sheet": "Make a handout on one sheet: tight beside right beside loose.",
    "motion": "Write a moving picture of the fabric drawing in as its floats get tighter.",
    "model": "Write the fabric at rest as a 3-D file: GLB, PLY or OBJ.",
    "report": "Write everything about the piece as one page to work from.",
    "floats": "List the floats and carry-ups, and which pass your limits.",
    "catches": "Plan where to catch long floats, with as few as can be.",
    "mend": "Find the smallest changes of the chart that break floats over your limits.",
    "why": "Say which floats cost the width, and which squares would free it.",
    "change": "Find the fewest changes that keep the width and the floats short, each tried.",
    "place": "Say where rounds best begin, how repeats best lie, and how a motif meets a count.",
    "agree": "Tell by how much bands above one another differ in width, and what evens them out.",
    "slack": "Find how slack the floats must be, and what that is in the hand.",
    "sizes": "Work out the counts for every size, and whether it goes on.",
    "yarn": "Reckon metres, grams and whole balls of each yarn.",
    "rounds": "Write every row or round in words, short or in large print.",
    "chart": "Draw the chart for printing on A4, in symbols and colour.",
    "colours": "Check that the yarns can be told apart, in grey and by the colour-blind.",
    "difficulty": "Say how hard the chart is to knit, and why.",
    "compare": "Bring every combination of settings to rest, and set them side by side in a table.",
    "motifs": "Bring all small motifs to rest, one of each kind: which lie widest and flattest, and why.",
    "vary": "Knit it many times over with hands that vary: how wide, how puckered, and what matters most.",
    "stretch": "Forecast how far it stretches across and up, and where its floats stop it.",
    "calibrate": "Learn a knitter's slack and stiffness from a measured swatch.",
    "schema": "Write the JSON Schema of scene files, for editors.",
}
"""Every command and its line in the help, in the order of the help; each is the function of its name in the file
``command.py`` of the folder of its name in ``commands/``, loaded when it is called."""


MOST_LETTERS = 12
"""Letters without a font that are named (chosen: they fit a line)."""
FORCE = "Write even over a file of another kind, or over a scene; never over one that is read."


class _LazyGroup(TyperGroup):
    """Lists the commands without loading them, and loads the one that is called."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name, _, rest = super().resolve_command(ctx, args)
        return name, _load(str(name)), rest


def _load(name: str) -> Any:
    """Import the command ``name`` and make it ready to run."""
    with quick_loading():
        module = import_module(f"fabricsim.cli.commands.{name}.command")
        return _ready(name, getattr(module, name))


@lru_cache(maxsize=len(COMMANDS))
def _ready(name: str, function: Callable[..., None]) -> Any:
    """Return the command of a ``function``, made once however often it is asked for in this process."""
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    alone.command(name, help=COMMANDS[name])(function)
    command: Any = get_command(alone)
    command.params += _options_of_all()
    return command


def _options_of_all() -> list[Any]:
    """Return the options that every command has: each writes files, and asks in the same way what may go."""
    alone = typer.Typer(add_completion=False)

    @alone.command()
    def every(
        force: Annotated[
            bool, typer.Option("--force", callback=_force, expose_value=False, help=FORCE, show_default=False)
        ] = False,
    ) -> None: ...

    every_command: Any = get_command(alone)
    return list(every_command.params)


def _force(asked: bool) -> None:
    if asked:
        force()


@lru_cache(maxsize=1)
def _app() -> Any:
    """Return all of the commands, as one that can be asked again and again."""
    app = typer.Typer(cls=_LazyGroup, add_completion=False, rich_markup_mode=None)

    @app.callback(help="Forecast draw-in and pucker of stranded colourwork from a chart and a gauge.")
    def _about(
        version: Annotated[
            bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
        ] = False,
    ) -> None: ...

    for name, line in COMMANDS.items():
        app.command(name, help=line)(_listed())
    return get_command(app)


def _version(asked: bool) -> None:
    if asked:
        print(f"fabricsim {fabricsim.__version__}")
        raise typer.Exit


def _listed() -> Callable[[], None]:
    """Return what stands for a command in the list of commands; ``resolve_command`` never lets it run."""

    def listed() -> None:
        raise AssertionError("only for the list")

    return listed


def main(words: Sequence[str]) -> int:
    """Run ``fabricsim`` with the ``words`` of a command line; return 0. Whatever goes wrong is raised."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a yarn's name must not stop a terminal without its letters
    words = words or ["--help"]
    begin_run()
    begin_pictures()
    speak("cm")
    try:
        with _app().make_context("fabricsim", list(words)) as context:
            context.command.invoke(context)
    except typer.Exit:  # all was said, as by --help
        pass
    except typer.Abort:
        raise KeyboardInterrupt from None
    except _UsageError as problem:
        raise usage_error(problem, words, COMMANDS) from None
    _say_undrawn()
    return 0


def _say_undrawn() -> None:
    """Say in one line on standard error which letters no picture could show."""
    missed = letters_undrawn()
    if missed:
        shown = " ".join(missed[:MOST_LETTERS]) + (" and more" if len(missed) > MOST_LETTERS else "")
        print(
            f"fabricsim: no font on this machine has {shown}, which pictures show as ? or a box; install a font that "
            "has them, or write that in other letters",
            file=sys.stderr,
        )
