"""The menu of the table: the command line knows all of it, and the page offers nothing that isn't on it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_args

import pytest

import fabricsim.table
from fabricsim.cli.app import _load
from fabricsim.cli.commands.draw.options import Show, View
from fabricsim.cli.commands.model.options import Of
from fabricsim.design.scene.choices import Case
from fabricsim.errors import InputError
from fabricsim.render.basics.options import Side
from fabricsim.render.solid.yarn import Detail
from fabricsim.table.jobs.menu import MENU, words_for

MAKING = Path(fabricsim.table.__file__).parent / "page/words/making.js"
JOB = re.compile(r'command: "([a-z]+)", options: \{([^}]*)\}')


@pytest.mark.parametrize("command", MENU)
def test_every_option_is_one_of_the_command_line(command: str) -> None:
    known = {option for one in _load(command).params for option in (*one.opts, *one.secondary_opts)}
    values: dict[Any, object] = {bool: True, int: 2, float: 0.5, str: "words"}
    for name, kind in MENU[command].options.items():
        words = words_for(command, {name: kind[0] if isinstance(kind, tuple) else values[kind]})
        assert words[0] == command
        assert {word.partition("=")[0] for word in words[1:]} <= known
        assert all("/" not in word for word in words)


@pytest.mark.parametrize(
    ("command", "name", "choice"),
    [
        ("draw", "view", View),
        ("draw", "side", Side),
        ("draw", "show", Show),
        ("motion", "side", Side),
        ("model", "of", Of),
        ("model", "detail", Detail),
        *((command, "case", Case) for command, dish in MENU.items() if "case" in dish.options),
    ],
)
def test_every_word_that_the_command_takes_may_be_chosen_and_no_other(command: str, name: str, choice: Any) -> None:
    offered = MENU[command].options[name]
    assert isinstance(offered, tuple)
    assert set(offered) == set(get_args(choice))


def test_bands_and_motifs_are_asked_for_with_what_they_leave() -> None:
    assert words_for("agree", {"within": 1.5, "bands": "1-8,13-21", "picture": True, "plots": True}) == [
        "agree", "--within=1.5", "--bands=1-8,13-21", "--picture=before_and_after.png", "--plots=widths.png",
    ]  # fmt: skip
    assert words_for("motifs", {"rows": 4, "symmetric": True, "page": True, "pictures": True, "csv": False}) == [
        "motifs", "--rows=4", "--symmetric", "--page=motifs.html", "--pictures=best_and_worst.png",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("command", "options", "line"),
    [
        ("compare", {}, "command: given 'compare'; allowed: preview, "),
        ("schema", {"json": True}, "command: given 'schema'"),
        ("agree", {"write": "new.toml"}, "agree: given the option 'write'; allowed: "),
        ("motifs", {"out": "rows.csv"}, "motifs: given the option 'out'; allowed: "),
        ("motifs", {"cluster": "tcp://elsewhere:1"}, "motifs: given the option 'cluster'; allowed: "),
        ("motifs", {"rows": 2.5}, "motifs rows: given 2.5; allowed: a whole number; change it"),
        ("agree", {"bands": 3}, "agree bands: given 3; allowed: some words; change it"),
        ("agree", {"case": "tube"}, "agree case: given tube; allowed: repeat, swatch, round; choose one of them"),
        ("agree", {"within": float("inf")}, "agree within: given inf; allowed: a number; change it"),
        ("floats", {"json": "yes"}, "floats json: given yes; allowed: yes or no; change it"),
    ],
)
def test_what_is_not_on_the_menu_is_refused(command: str, options: dict[str, object], line: str) -> None:
    with pytest.raises(InputError) as refused:
        words_for(command, options)
    assert str(refused.value).startswith(line)


def test_what_an_option_is_given_is_what_the_command_gets() -> None:
    asked = {"case": "round", "map": True, "slack": -0.03, "json": False, "csv": None}
    assert words_for("why", asked) == ["why", "--case=round", "--map=why.png", "--slack=-0.03"]


def test_all_that_the_page_offers_is_on_the_menu() -> None:
    offered = JOB.findall(MAKING.read_text(encoding="utf-8"))
    assert {"agree", "motifs"} < {command for command, _ in offered}
    for command, written in offered:
        options: dict[str, object] = {}
        for part in filter(None, (one.strip() for one in written.split(", "))):
            name, _, value = part.partition(": ")
            options[name.strip('"')] = {"true": True}.get(value, int(value) if value.isdigit() else value.strip('"'))
        assert words_for(command, options)[0] == command
