"""Every number on a command line has a least and a most, and what is no number is refused before anything is solved."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from typer.models import OptionInfo

from fabricsim.cli import main
from fabricsim.cli.app import COMMANDS

NO_NUMBERS = ["nan", "inf", "-inf", "1e308", "-1e308"]
NO_COUNTS = ["nan", "inf", "1e3", str(10**30), str(-(10**30)), "9" * 5000]
LISTS = {
    ("compare", "--slack"): [*NO_NUMBERS, "0:1:inf", "0:1e999999:1", "0:1:1e-999999", "nan:0:1", "0:0:0", "0:1:0"],
    ("compare", "--slack-of"): ["x=nan", "A=inf", "A=0:1:inf"],
    ("compare", "--longest-gap"): [*NO_NUMBERS, "9" * 5000, "0:1e999999:1", "-1"],
    ("compare", "--gauge"): [*NO_NUMBERS, "19x100", "22x1", "9" * 400 + "x20", "0x0", "1e-300"],
    ("compare", "--stretch-stiffness"): [*NO_NUMBERS, "0", "1e-300"],
    ("compare", "--bending-stiffness"): [*NO_NUMBERS, "0", "1e-300"],
    ("lesson", "--steps"): [*NO_NUMBERS, "0,nan"],
}
"""Options of several numbers, and what none of them may be."""


def numbers() -> list[tuple[str, str, list[str]]]:
    """Return every option that takes numbers, with what it must refuse, read from the commands themselves."""
    found = []
    for command in COMMANDS:
        function = getattr(import_module(f"fabricsim.cli.commands.{command}.command"), command)
        for name, hint in get_type_hints(function, include_extras=True).items():
            kinds, (option,) = leaves(hint), [*options(hint), None][:1]
            for kind, refused in ((float, NO_NUMBERS), (int, NO_COUNTS)):
                if kind in kinds and option is not None:
                    word = next(iter(option.param_decls or ()), f"--{name.replace('_', '-')}")
                    found.append((command, word, refused))
    return found


def leaves(hint: Any) -> set[Any]:
    """Return the plain types within an annotation."""
    if hasattr(hint, "__metadata__"):
        return leaves(hint.__origin__)
    inner = get_args(hint)
    return set().union(*map(leaves, inner)) if inner else {hint}


def options(hint: Any) -> list[OptionInfo]:
    """Return the option that an annotation stands for, if it does for one."""
    own = [one for one in getattr(hint, "__metadata__", ()) if isinstance(one, OptionInfo)]
    return own or [one for inner in get_args(hint) for one in options(inner)]


@pytest.fixture
def no_work(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing is solved, and whatever should be written after all is written elsewhere."""

    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("solved")

    monkeypatch.setattr("fabricsim.fabric.relax.minimise", refuse)
    monkeypatch.chdir(tmp_path)


def test_there_are_such_options() -> None:
    assert len(numbers()) > 30
    assert {("draw", "--width-cm"), ("yarn", "--margin"), ("vary", "--seed")} <= {one[:2] for one in numbers()}


@pytest.mark.parametrize(
    ("command", "option", "given"),
    [*numbers(), *((*name, given) for name, given in LISTS.items())],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_what_is_no_number_is_refused_in_one_line(
    command: str, option: str, given: list[str], no_work: None, capsys: pytest.CaptureFixture[str]
) -> None:
    for one in given:
        words = [command, "--view", "section"] if option == "--row" else [command]
        assert (main([*words, f"{option}={one}"]), one) == (2, one)
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1
        assert err.startswith("fabricsim: ")
        assert option in err or option.strip("-").replace("-", " ") in err or "settings to compare" in err
