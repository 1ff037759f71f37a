"""The command ``fabricsim``: which commands there are, and how each of them ends."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command

import fabricsim
from fabricsim.cli import quick_loading
from fabricsim.errors import FabricsimError

INTERRUPTED = 130
"""Exit status after Ctrl-C: 128 plus the number of the signal, as shells count it (POSIX)."""

_UsageError: type[Any] = typer.BadParameter.__base__ or Exception
"""All that can be wrong with the words of a command line; typer gives out only this child of it."""


COMMANDS = {
    "preview": "Forecast draw-in and pucker, and draw the fabric's face and back.",
    "draw": "Draw the fabric from any side, as large as you like.",
    "lesson": "Write a page with a slider from tight floats to loose, for a class.",
    "sheet": "Make a handout on one sheet: tight beside right beside loose.",
    "motion": "Write a moving picture of the fabric drawing in as its floats get tighter.",
    "model": "Write the fabric at rest as a 3-D file: GLB, PLY or OBJ.",
    "report": "Write everything about the piece as one page to work from.",
    "floats": "List the floats and carry-ups, and which pass your limits.",
    "catches": "Plan where to catch long floats, with as few as can be.",
    "slack": "Find how slack the floats must be, and what that is in the hand.",
    "sizes": "Work out the counts for every size, and whether it goes on.",
    "yarn": "Reckon metres, grams and whole balls of each yarn.",
    "rounds": "Write every row or round in words, short or in large print.",
    "chart": "Draw the chart for printing on A4, in symbols and colour.",
    "colours": "Check that the yarns can be told apart, in grey and by the colour-blind.",
    "difficulty": "Say how hard the chart is to knit, and why.",
    "compare": "Bring every combination of settings to rest, and set them side by side in a table.",
    "vary": "Knit it many times over with hands that vary: how wide, how puckered, and what matters most.",
    "stretch": "Forecast how far it stretches across and up, and where its floats stop it.",
    "calibrate": "Learn a knitter's slack and stiffness from a measured swatch.",
    "schema": "Write the JSON Schema of scene files, for editors.",
}
"""Every command and its line in the help, in the order of the help; each is the function of its name in the file
``command.py`` of the folder of its name in ``commands/``, loaded when it is called."""


class _LazyGroup(TyperGroup):
    """Lists the commands without loading them, and loads the one that is called."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name, _, rest = super().resolve_command(ctx, args)
        return name, _load(str(name)), rest


def _load(name: str) -> Any:
    """Import the command ``name`` and make it ready to run."""
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    with quick_loading():
        module = import_module(f"fabricsim.cli.commands.{name}.command")
        alone.command(name, help=COMMANDS[name])(getattr(module, name))
        return get_command(alone)


def _app() -> typer.Typer:
    app = typer.Typer(cls=_LazyGroup, add_completion=False, rich_markup_mode=None)

    @app.callback(help="Forecast draw-in and pucker of stranded colourwork from a chart and a gauge.")
    def _about(
        version: Annotated[
            bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
        ] = False,
    ) -> None: ...

    for name, line in COMMANDS.items():
        app.command(name, help=line)(_listed())
    return app


def _version(asked: bool) -> None:
    if asked:
        print(f"fabricsim {fabricsim.__version__}")
        raise typer.Exit


def _listed() -> Callable[[], None]:
    """Return what stands for a command in the list of commands; ``resolve_command`` never lets it run."""

    def listed() -> None:
        raise AssertionError("only for the list")

    return listed


def main(argv: Sequence[str] | None = None) -> int:
    """Run ``fabricsim`` with ``argv`` (the command line's words if left out); return the exit status.

    What goes wrong is told in one line on standard error: 2 for bad input, 3 for no equilibrium, 130 for
    Ctrl-C.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a yarn's name must not stop a terminal without its letters
    words = list(sys.argv[1:] if argv is None else argv) or ["--help"]
    try:
        status = get_command(_app()).main(args=words, prog_name="fabricsim", standalone_mode=False)
    except FabricsimError as problem:
        return _fail(str(problem), problem.exit_status)
    except (typer.Abort, KeyboardInterrupt):
        status = INTERRUPTED
    except _UsageError as problem:
        command = " ".join(["fabricsim", *(word for word in words[:1] if word in COMMANDS)])
        if words[0] not in COMMANDS and words[0].endswith(".toml"):
            return _fail(f"'{words[0]}' is no command; did you mean 'fabricsim preview {words[0]}'?", 2)
        message = problem.format_message().rstrip(".")
        between = "" if message.endswith("?") else ";"
        return _fail(f"{message}{between} see '{command} --help'", FabricsimError.exit_status)
    if status == INTERRUPTED:  # which newer typers return of themselves
        return _fail("stopped by you; files are written whole or not at all", INTERRUPTED)
    return status if isinstance(status, int) else 0


def _fail(text: str, status: int) -> int:
    """Print ``text`` as one line that can't upset a terminal; return ``status``."""
    line = "".join(sign if sign.isprintable() else "?" for sign in " ".join(text.split()))
    print(f"fabricsim: {line}", file=sys.stderr)
    return status
