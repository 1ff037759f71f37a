"""What is wrong with the words of a command line, in fabricsim's own words rather than its libraries'."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from fabricsim.errors import FabricsimError, InputError, meant, shortened


class UsageError(FabricsimError):
    """The words of a command line make no command."""


def usage_error(problem: Any, words: Sequence[str], commands: Collection[str]) -> FabricsimError:
    """Return what to say of a ``problem`` that typer has with ``words``; ``commands``: all there are."""
    first = shortened(words[0])
    command = f"fabricsim {first}" if first in commands else "fabricsim"
    see = f"see '{command} --help'"
    if hasattr(problem, "possibilities"):
        options = [one for param in problem.ctx.command.params for one in (*param.opts, *param.secondary_opts)]
        near = meant(problem.option_name.lstrip("-"), [one.lstrip("-") for one in options if one.startswith("--")])
        ask = f"; did you mean '--{near}'?" if near is not None else ";"
        return UsageError(f"'{command}' has no option '{shortened(problem.option_name)}'{ask} {see}")
    if first not in commands and not first.startswith("-"):
        if first.endswith(".toml"):
            return UsageError(f"'{first}' is no command; did you mean 'fabricsim preview {first}'?")
        near = meant(first, commands)
        ask = f"; did you mean '{near}'?" if near is not None else ";"
        return UsageError(f"'{first}' is no command{ask} {see}")
    param = getattr(problem, "param", None)
    if param is not None and param.opts and param.opts[0].startswith("--"):
        return InputError(param.opts[0], _given(param.opts, words), _allowed(param, problem.message), see)
    return UsageError(f"{shortened(problem.format_message()).rstrip('.')}; {see}")


def _given(options: Sequence[str], words: Sequence[str]) -> str:
    """Return what one of the ``options`` was given, the last time that it was."""
    for place in range(len(words) - 1, 0, -1):
        name, equals, value = words[place].partition("=")
        if name in options and equals:
            return f"'{value}'"
        if words[place - 1] in options:
            return f"'{words[place]}'"
    return "what it can't take"


def _allowed(param: Any, message: str) -> str:
    """Return which numbers an option takes; if it takes no numbers, the ``message``."""
    least, most = getattr(param, "min", None), getattr(param, "max", None)
    both = (("at least", least), ("at most", most))
    ends = [f"{word} {end:,}".removesuffix(".0") for word, end in both if end is not None]
    if not ends and "number" not in message and "integer" not in message:
        return message
    whole = "integer" in message or (bool(ends) and isinstance(least, int | None) and isinstance(most, int | None))
    return ", ".join(["a whole number" if whole else "a number", *ends])
