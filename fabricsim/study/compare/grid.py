"""Which settings are compared: every combination of the values written for each, made only as they are needed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from math import isfinite, prod
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, ValidationInfo, field_validator

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.complaint import complaint
from fabricsim.design.scene.part import Number, Part, Switch, refusal
from fabricsim.design.scene.part_file import read_part
from fabricsim.design.scene.rules import Gap, Slack
from fabricsim.design.scene.wording import FileName
from fabricsim.errors import InputError

MOST_SETTINGS = 10_000
"""Settings of one comparison (chosen: a night's work for a large chart)."""
Caught = Literal["scene", "none", "planned"]
"""Catches: as the scene has them, none at all, or as few as keep every float within its limits."""
GAUGE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*")
MOST_OF_A_RANGE = 1_000_000
"""Largest number in a range (chosen: as of the settings themselves, the stitches of a gap)."""
FINEST_STEP = Decimal("1e-9")
"""Of a range (chosen: finer than what a solver leaves)."""
Times = Annotated[Number, Field(ge=0.01, le=100)]
"""A factor on a stiffness; the ends are chosen, far beyond what is not known of it."""


class Grid(Part):
    """The values of every setting that is varied; what is left out stays as each scene has it.

    A value may stand alone; numbers also as a range, "from:to:step".
    """

    scenes: tuple[FileName, ...] = Field(
        default=(), description="Scene files, beside this one; the built-in if left out."
    )
    case: tuple[Case, ...] = Field(default=(), description="Load cases: repeat, swatch, round.")
    inside_out: tuple[Switch, ...] = Field(
        default=(), description="Whether a tube is knitted with its floats outside: true, false or both."
    )
    gauge: tuple[str | float, ...] = Field(
        default=(),
        description='Gauges, stitches and rows to 10 cm as "19x25.5", or a factor on the scene\'s: 1.1 is 10 % finer.',
    )
    stretch_stiffness: tuple[Times, ...] = Field(
        default=(), description="How many times as stiff to stretch as the scene's fabric."
    )
    bending_stiffness: tuple[Times, ...] = Field(
        default=(), description="How many times as stiff to bend as the scene's fabric."
    )
    catches: tuple[Caught, ...] = Field(
        default=(), description="Catches: scene (as it has them), none, planned (as few as keep the limits)."
    )
    longest_gap: tuple[Gap, ...] = Field(
        default=(),
        description="The most stitches a float may pass behind, in place of both limits of the scene (the one in cm "
        "too).",
    )
    slack_by_yarn: dict[str, tuple[Slack, ...]] = Field(
        default_factory=dict, description="Slacks of single yarns, by symbol: { B = [0.0, 0.05] }."
    )
    slack: tuple[Slack, ...] = Field(
        default=(), description="Slacks of every float, in place of the scene's: -0.05 is 5 % too short."
    )

    even: Switch = Field(
        default=False, description="Every float carried alike: quick, and without a likely range; else as hands do."
    )
    onset: Switch | None = Field(
        default=None,
        description="Whether to tell from what slack on each begins to pucker; where several scenes are compared, if "
        "left out.",
    )

    @field_validator("*", mode="before")
    @classmethod
    def _listed(cls, given: object, info: ValidationInfo) -> object:
        if info.field_name in ("even", "onset"):
            return given
        if isinstance(given, dict):
            return {key: _checked(_spread(value), "a slack") for key, value in given.items()}
        return _spread(given)

    @field_validator("slack", mode="before")
    @classmethod
    def _no_per_cents(cls, given: object) -> object:
        return _checked(_spread(given), "a slack")

    @field_validator("gauge")
    @classmethod
    def _gauges(cls, given: tuple[str | float, ...]) -> tuple[str | float, ...]:
        for one in given:
            fits = GAUGE.fullmatch(one) if isinstance(one, str) else isfinite(one) and 0.1 <= one <= 10.0
            if not fits:
                raise refusal(
                    f"'{one}'" if isinstance(one, str) else f"{one:g}",
                    'stitches and rows to 10 cm such as "19x25.5", or a factor from 0.1 to 10',
                    "1.1 is 10 % more stitches and rows",
                )
        return given

    @cached_property
    def axes(self) -> tuple[tuple[str, tuple[Any, ...]], ...]:
        """The name of every setting and its values, None where the scene says; the one swept within chains last."""
        named: dict[str, tuple[Any, ...]] = {"scene": tuple(range(max(1, len(self.scenes))))}
        for name in ("case", "inside_out", "gauge", "stretch_stiffness", "bending_stiffness", "catches", "longest_gap"):
            named[name] = getattr(self, name) or (None,)
        named.update({_OF + symbol: values for symbol, values in self.slack_by_yarn.items()})
        named["slack"] = self.slack or (None,)
        swept = self.swept
        return (*((name, values) for name, values in named.items() if name != swept), (swept, named[swept]))

    @property
    def swept(self) -> str:
        """The setting along which each fabric starts from the one before: the slack, or that of a yarn."""
        varied = [_OF + symbol for symbol, values in self.slack_by_yarn.items() if len(values) > 1]
        return "slack" if len(self.slack) > 1 or not varied else varied[-1]

    @property
    def count(self) -> int:
        """How many settings there are."""
        return prod(len(values) for _, values in self.axes)

    @property
    def chain_count(self) -> int:
        """How many chains they make."""
        return prod(len(values) for _, values in self.axes[:-1])

    @property
    def varied(self) -> tuple[str, ...]:
        """The names of the settings that have several values."""
        return tuple(name for name, values in self.axes if len(values) > 1)

    def setting(self, number: int) -> Setting:
        """Return the setting of this ``number``, from 0, the swept one changing fastest."""
        values: dict[str, Any] = {}
        for name, choices in reversed(self.axes):
            number, choice = divmod(number, len(choices))
            values[name] = choices[choice]
        by_yarn = tuple((symbol, values.pop(_OF + symbol)) for symbol in self.slack_by_yarn)
        return Setting(slack_by_yarn=by_yarn, **values)

    def chains(self) -> Iterator[tuple[int, ...]]:
        """Yield the numbers of the settings that differ in the swept one only, from loose to tight."""
        _, values = self.axes[-1]
        in_turn = sorted(range(len(values)), key=lambda one: -(values[one] or 0.0))
        for chain in range(self.chain_count):
            yield tuple(chain * len(values) + one for one in in_turn)


_OF = "slack of "


@dataclass(frozen=True)
class Setting:
    """One combination; None: as the scene has it. ``scene`` is its number."""

    scene: int
    case: Case | None
    inside_out: bool | None
    gauge: str | float | None
    stretch_stiffness: float | None
    bending_stiffness: float | None
    catches: Caught | None
    longest_gap: int | None
    slack_by_yarn: tuple[tuple[str, float], ...]
    slack: float | None


def read_grid(path: Path) -> Grid:
    """Return the grid written in the TOML file ``path``; raises InputError for anything that isn't one."""
    return _bearable(read_part(path, Grid, "a study"))


def grid_of(given: Mapping[str, Any]) -> Grid:
    """Return the grid of values given on a command line; raises InputError, naming the option."""
    try:
        return _bearable(Grid.model_validate(given))
    except ValidationError as problem:
        errors = problem.errors(include_url=False)
        found = complaint(Path("--"), errors, Grid)
        key = str(errors[0]["loc"][0]) if errors[0]["loc"] else ""
        allowed = _AS_WORDS.get(found.allowed, found.allowed)
        raise InputError(option_of(key), found.given, allowed, found.todo) from None


def option_of(key: str) -> str:
    """Return what a ``key`` of a study's file is called on a command line."""
    return {"scenes": "SCENE", "slack_by_yarn": "--slack-of"}.get(key, f"--{key.replace('_', '-')}")


_AS_WORDS = {"true or false": "yes or no"}
"""What is written otherwise on a command line than in a file."""


def _bearable(grid: Grid) -> Grid:
    if grid.count > MOST_SETTINGS:
        raise _too_many(grid.count)
    return grid


def _too_many(count: int) -> InputError:
    return InputError(
        "the settings to compare", f"{count:,} of them", f"at most {MOST_SETTINGS:,}", "leave some values out"
    )


def _spread(given: object) -> object:
    """Return a list of values: of one that stands alone, and with every range written out."""
    if isinstance(given, dict):
        return given
    made: list[object] = []
    for one in given if isinstance(given, list | tuple) else [given]:
        made.extend(_range(one) if isinstance(one, str) and ":" in one else [one])
    if not made:
        raise refusal("no value at all", "one value or more", "write some, or leave it out")
    made = [one + 0.0 if isinstance(one, float) else one for one in made]  # no -0.0
    seen: set[object] = set()
    for one in made:
        same = (type(one) is bool, one) if isinstance(one, int | float | str) else id(one)
        if same in seen:
            raise refusal(f"{one} twice", "every value once", "leave one out")
        seen.add(same)
    return made


def _range(given: str) -> list[object]:
    """Return the numbers of ``from:to:step``, both ends among them, exact to the last decimal that was written."""
    allowed, todo = "a range from:to:step", 'such as "-0.1:0.1:0.05", which is -0.1, -0.05, 0, 0.05, 0.1'
    try:
        low, high, step = (Decimal(part.strip()) for part in given.split(":"))
        known = all(one.is_finite() and abs(one) <= MOST_OF_A_RANGE for one in (low, high, step))
        if not known or abs(step) < FINEST_STEP:
            raise ValueError
        far = (high - low) / step
    except (ValueError, ArithmeticError):  # among these all that Decimal has to complain of
        raise refusal(f"'{given}'", allowed, todo) from None
    if far < 0:
        raise refusal(f"'{given}'", allowed, todo)
    if far >= MOST_SETTINGS:
        raise _too_many(int(far) + 1)
    whole = all(one == one.to_integral_value() for one in (low, step))
    numbers = [low + place * step for place in range(int(far) + 1)]
    return [int(one) if whole else float(one) + 0.0 for one in numbers]


def _checked(given: object, what: str) -> object:
    """Pass slacks through, unless one looks like a per cent."""
    for one in given if isinstance(given, list) else ():
        if isinstance(one, int | float) and not isinstance(one, bool) and 1 < abs(one) <= 100:
            raise refusal(
                f"{one:g}", f"{what} as a fraction above -1, at most 1", f"write {one / 100:g} if you mean {one:g} %"
            )
    return given
