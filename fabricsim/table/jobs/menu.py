"""Which commands a page may ask for, and with which options."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any, get_args

from fabricsim.design.scene.choices import Case
from fabricsim.errors import InputError

LONGEST = 100
"""Letters of an option (chosen: more than any body's name has)."""
VIEWS = ("face", "back", "three-quarter", "above", "close-up", "section")


@dataclass(frozen=True)
class Dish:
    """A command that may be asked for: its ``options``, by the words of the command line, each a switch (bool), a
    number, a text or one of several words; ``always``: words that go with it; ``made``: options that make a file more,
    and what that is called."""

    options: Mapping[str, type | tuple[str, ...]]
    always: tuple[str, ...] = ()
    made: Mapping[str, str] | None = None


_CASE: dict[str, type | tuple[str, ...]] = {"case": get_args(Case)}
_SIZED: dict[str, type | tuple[str, ...]] = {"size": str, "no-forecast": bool}

MENU: dict[str, Dish] = {
    "preview": Dish({"draft": bool, "even": bool, "slack": float, "starts": int, "width": int, **_CASE}),
    "draw": Dish(
        {
            "view": VIEWS,
            "side": ("face", "back"),
            "show": ("yarn", "pull", "pucker"),
            "at": str,
            "across": int,
            "row": int,
            "width": int,
            "width-cm": float,
            "true-size": bool,
            "dpi": float,
            "ground": str,
            "bare": bool,
            "draft": bool,
            "even": bool,
            "slack": float,
            **_CASE,
        }
    ),
    "lesson": Dish({"steps": str, "no-3d": bool, **_CASE}),
    "sheet": Dish({"tight": float, "right": float, "loose": float, "draft": bool, **_CASE}),
    "motion": Dish({"from": float, "to": float, "frames": int, "side": ("face", "back"), "seconds": float, **_CASE}),
    "model": Dish({"of": ("yarn", "surface"), "detail": ("fine", "medium", "coarse"), "slack": float, **_CASE}),
    "report": Dish({"size": str, "draft": bool, **_CASE}),
    "floats": Dish({"all": bool, "repeat": bool, "json": bool, "csv": bool}),
    "catches": Dish({"json": bool, "csv": bool, "map": bool}, made={"map": "catches.png"}),
    "mend": Dish({"json": bool, "csv": bool}),
    "why": Dish({"map": bool, "slack": float, "json": bool, "csv": bool, **_CASE}, made={"map": "why.png"}),
    "change": Dish(
        {"may-lose": float, "flat": bool, "no-symmetry": bool, "picture": bool, "json": bool, "csv": bool, **_CASE},
        made={"picture": "ways.png"},
    ),
    "place": Dish({"stitches": int, "json": bool, "csv": bool}),
    "agree": Dish(
        {
            "within": float,
            "bands": str,
            "draft": bool,
            "picture": bool,
            "plots": bool,
            "json": bool,
            "csv": bool,
            **_CASE,
        },
        made={"picture": "before_and_after.png", "plots": "widths.png"},
    ),
    "motifs": Dish(
        {
            "rows": int,
            "stitches": int,
            "most": int,
            "symmetric": bool,
            "page": bool,
            "pictures": bool,
            "json": bool,
            "csv": bool,
        },
        made={"page": "motifs.html", "pictures": "best_and_worst.png"},
    ),
    "slack": Dish({"may-lose": float, "stretch": float, "json": bool, "csv": bool, **_CASE}),
    "sizes": Dish({"no-forecast": bool, "json": bool, "csv": bool}),
    "yarn": Dish(
        {**_SIZED, "across": int, "sizes": bool, "pieces": int, "margin": float, "no-edges": bool, "json": bool}
    ),
    "rounds": Dish({**_SIZED, "across": int, "json": bool, "csv": bool, "large-print": bool}),
    "chart": Dish(
        {"piece": bool, "sizes": bool, "no-forecast": bool, "square": bool, "symbols": ("scene", "marks"), "grey": bool}
    ),
    "colours": Dish({"json": bool, "picture": bool}, made={"picture": "colours.png"}),
    "difficulty": Dish({"json": bool, "csv": bool}),
    "stretch": Dish(
        {"load": float, "slack": float, "draft": bool, "json": bool, "plots": bool}, made={"plots": "stretch.png"}
    ),
    "vary": Dish({"runs": int, "shares": bool, "plots": bool, "json": bool, **_CASE}, made={"plots": "vary.png"}),
}
"""Every command and what may be asked of it."""
_SAID_BY_OUT = {"colours": "picture"}
"""Where the option that makes a file is ``--out`` by its name."""


def words_for(command: str, options: Mapping[str, Any]) -> list[str]:
    """Return the words of the command line, the scene left out; raises ``InputError`` for what is not on the menu."""
    dish = MENU.get(command)
    if dish is None:
        raise InputError("command", f"'{command[:LONGEST]}'", ", ".join(MENU), "name one of them")
    words = [command, *dish.always]
    for name, value in options.items():
        kind = dish.options.get(name)
        if kind is None:
            allowed = ", ".join(dish.options) or "none"
            raise InputError(command, f"the option '{name[:LONGEST]}'", allowed, "leave it out")
        if value is None or value is False:
            continue
        checked = _checked(f"{command} {name}", kind, value)
        made = (dish.made or {}).get(name)
        if made is not None:
            words.append(f"--{'out' if _SAID_BY_OUT.get(command) == name else name}={made}")
        else:
            words.append(f"--{name}" if kind is bool else f"--{name}={checked}")
    if command == "rounds" and options.get("large-print"):
        words.append("--out=rounds-in-large-print.pdf")
    return words


def _checked(where: str, kind: type | tuple[str, ...], value: object) -> object:
    """Return the value of an option; raises ``InputError`` if it is of another kind."""
    if isinstance(kind, tuple):
        if value in kind:
            return value
        raise InputError(where, str(value)[:LONGEST], ", ".join(kind), "choose one of them")
    number = isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)
    fits, wanted = {
        bool: (value is True, "yes or no"),
        int: (number and isinstance(value, int), "a whole number"),
        float: (number, "a number"),
        str: (isinstance(value, str) and len(value) <= LONGEST and value.isprintable(), "some words"),
    }[kind]
    if not fits:
        raise InputError(where, str(value)[:LONGEST], wanted, "change it")
    return value
