"""The command ``fabricsim``: which commands there are, and how each of them ends."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Annotated, Any, NamedTuple

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


class Command(NamedTuple):
    """A command: the module and function behind it, loaded when it is called, and its line in the help."""

    module: str
    function: str
    help: str


COMMANDS = {
    "preview": Command(
        "fabricsim.cli.preview",
        "preview",
        "Forecast draw-in and pucker, and draw the fabric's face and back.",
    ),
    "draw": Command("fabricsim.cli.draw", "draw", "Draw the fabric from any side, as large as you like."),
    "lesson": Command(
        "fabricsim.cli.lesson",
        "lesson",
        "Write a page with a slider from tight floats to loose, for a class.",
    ),
    "sheet": Command("fabricsim.cli.sheet", "sheet", "Make a handout on one sheet: tight beside right beside loose."),
    "motion": Command(
        "fabricsim.cli.motion",
        "motion",
        "Write a moving picture of the fabric drawing in as its floats get tighter.",
    ),
    "model": Command(
        "fabricsim.cli.model",
        "model",
        "Write the fabric at rest as a 3-D file: GLB, PLY or OBJ.",
    ),
    "report": Command("fabricsim.cli.report", "report", "Write everything about the piece as one page to work from."),
    "floats": Command("fabricsim.cli.floats", "floats", "List the floats and carry-ups, and which pass your limits."),
    "catches": Command("fabricsim.cli.catches", "catches", "Plan where to catch long floats, with as few as can be."),
    "slack": Command(
        "fabricsim.cli.slack", "slack", "Find how slack the floats must be, and what that is in the hand."
    ),
    "sizes": Command("fabricsim.cli.sizes", "sizes", "Work out the counts for every size, and whether it goes on."),
    "yarn": Command("fabricsim.cli.yarn", "yarn", "Reckon metres, grams and whole balls of each yarn."),
    "rounds": Command("fabricsim.cli.rounds", "rounds", "Write every row or round in words, short or in large print."),
    "chart": Command("fabricsim.cli.chart", "chart", "Draw the chart for printing on A4, in symbols and colour."),
    "colours": Command(
        "fabricsim.cli.colours",
        "colours",
        "Check that the yarns can be told apart, in grey and by the colour-blind.",
    ),
    "difficulty": Command("fabricsim.cli.difficulty", "difficulty", "Say how hard the chart is to knit, and why."),
    "compare": Command(
        "fabricsim.cli.compare",
        "compare",
        "Bring every combination of settings to rest, and set them side by side in a table.",
    ),
    "vary": Command(
        "fabricsim.cli.vary",
        "vary",
        "Knit it many times over with hands that vary: how wide, how puckered, and what matters most.",
    ),
    "stretch": Command(
        "fabricsim.cli.stretch",
        "stretch",
        "Forecast how far it stretches across and up, and where its floats stop it.",
    ),
    "calibrate": Command(
        "fabricsim.cli.calibrate",
        "calibrate",
        "Learn a knitter's slack and stiffness from a measured swatch.",
    ),
    "schema": Command(
        "fabricsim.cli.schema",
        "schema",
        "Write the JSON Schema of scene files, for editors.",
    ),
}
"""Every command, in the order of the help."""


class _LazyGroup(TyperGroup):
    """Lists the commands without loading them, and loads the one that is called."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        name, _, rest = super().resolve_command(ctx, args)
        return name, _load(str(name)), rest


def _load(name: str) -> Any:
    """Import the command ``name`` and make it ready to run."""
    module, function, help_line = COMMANDS[name]
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    with quick_loading():
        alone.command(name, help=help_line)(getattr(import_module(module), function))
        return get_command(alone)


def _app() -> typer.Typer:
    app = typer.Typer(cls=_LazyGroup, add_completion=False, rich_markup_mode=None)

    @app.callback(help="Forecast draw-in and pucker of stranded colourwork from a chart and a gauge.")
    def _about(
        version: Annotated[
            bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
        ] = False,
    ) -> None: ...

    for name, command in COMMANDS.items():
        app.command(name, help=command.help)(_listed())
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
