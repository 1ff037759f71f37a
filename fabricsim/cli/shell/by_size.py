"""One piece in all its sizes: how many repeats of the chart each has, by the gauge that the floats leave or at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from fabricsim.cli.shell.options import with_across
from fabricsim.cores import usable_cores
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError

if TYPE_CHECKING:
    from fabricsim.cli.shell.progress import Watch
    from fabricsim.design.sizes.every_size import Sizes
    from fabricsim.study.forecast.forecast import Forecast

SizeOption = Annotated[
    str | None,
    typer.Option("--size", metavar="NAME", help="For a size by name, as 'sizes' counts it.", show_default=False),
]
EverySizeOption = Annotated[bool, typer.Option("--sizes", help="For every size, as 'sizes' counts them.")]
NoForecastOption = Annotated[
    bool,
    typer.Option("--no-forecast", help="Sizes at once, by the gauge of plain stockinette: as if floats drew nothing."),
]


def sizes_found(scene: Scene, watch: Watch | None, own: Forecast | None = None) -> Sizes:
    """Return the sizes of ``scene``: by the gauge measured in its colourwork, if there is one, else by its forecast,
    told to ``watch``, or without one at once, by its plain gauge.

    ``own``: the forecast of the piece as written, where there is one already.
    """
    lost = scene.gauge.colourwork_lost
    if lost is not None:
        from fabricsim.design.sizes.every_size import as_measured

        return as_measured(scene, lost)
    if watch is None:
        from fabricsim.design.sizes.every_size import without_forecast

        return without_forecast(scene)
    from fabricsim.study.forecast.sizes import sizes_of

    return sizes_of(scene, watch.stage, own=own, processes=usable_cores(), counted=watch.counting)


def pieces_of(scene: Scene, found: Sizes) -> dict[str, WholePiece]:
    """Return the piece of ``scene`` in every size that a count fits, by its name, the smallest first."""
    return {
        one.body.name: piece_of(with_across(scene, one.counted.repeats), one, forecast=found.forecast)
        for one in found.sizes
        if one.counted is not None
    }


def pieces_and_why_not(scene: Scene, found: Sizes) -> tuple[dict[str, WholePiece], dict[str, str]]:
    """Return the same of those that can be worked, and of each that can't be why, by its name."""
    made: dict[str, WholePiece] = {}
    why: dict[str, str] = {}
    for one in found.sizes:
        try:
            made |= pieces_of(scene, replace(found, sizes=(one,)))
        except InputError as error:
            why[one.body.name] = str(error)
    return made, why


def every_size(scene: Scene, found: Sizes) -> tuple[WholePiece, ...]:
    """Return the piece of ``scene`` in every size that a count fits, the smallest first; raises ``InputError`` if none
    does."""
    made = pieces_of(scene, found)
    if not made:
        given = "no size that a count fits"
        raise InputError(scene.where("sizes"), given, "at least one", "see 'sizes' for the reasons")
    return tuple(made.values())


def asked_sizes(scene: Scene, *, forecast: bool) -> tuple[WholePiece, ...]:
    """Return the piece of ``scene`` in every size, as a command asks for them, its progress told."""
    if not forecast:
        return every_size(scene, sizes_found(scene, None))
    from fabricsim.cli.shell.progress import Watch

    with Watch() as watch:
        return every_size(scene, sizes_found(scene, watch))


def in_size(scene: Scene, name: str | None, across: int | None, *, forecast: bool = True) -> WholePiece:
    """Return the piece of ``scene`` in the size called ``name``, or with so many repeats ``across``, or as it is;
    raises ``InputError`` for both, or a size that is not there."""
    if name is None:
        return piece_of(with_across(scene, across))
    if across is not None:
        raise InputError("--size", "together with --across", "one of the two", "leave one out")
    check_size(scene, name)
    return named_size(asked_sizes(scene, forecast=forecast), name)


def check_size(scene: Scene, name: str) -> None:
    """Raise ``InputError`` for a size that is not there, before anything is brought to rest."""
    from fabricsim.design.sizes.plan import plan_of

    known = [body.name for body in plan_of(scene).bodies]
    if name.lower() not in map(str.lower, known):
        raise InputError("--size", f"'{name}'", ", ".join(known), "name one of them")


def named_size(sizes: Sequence[WholePiece], name: str) -> WholePiece:
    """Return the one of ``sizes`` that is called so; raises ``InputError`` if no count fits it."""
    for one in sizes:
        if one.size.lower() == name.lower():
            return one
    given, allowed = f"'{name}', which no count fits", ", ".join(one.size for one in sizes)
    raise InputError("--size", given, allowed, "name one of them, or see 'sizes' for the reasons")
