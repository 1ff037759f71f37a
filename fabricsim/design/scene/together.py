"""Whether the parts of a scene go together: what one table names is in another, and can be worked as is asked.

``where`` of these gives the place that an error about a key names; all raise ``InputError``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from fabricsim.design.scene.bodies import read_bodies, usual_bodies
from fabricsim.design.scene.chart import ChartSpec, Rows
from fabricsim.design.scene.items import KINDS, Item
from fabricsim.design.scene.rules import Catch, FloatRules
from fabricsim.design.scene.sizing import Sizing
from fabricsim.design.scene.steek import STEEKED, Steek
from fabricsim.design.scene.yarn import Yarn
from fabricsim.errors import InputError, meant
from fabricsim.inputs import note_read

Where = Callable[[str], str]


def check_symbols(yarns: Sequence[Yarn], chart: ChartSpec, floats: FloatRules, where: Where) -> None:
    """Refuse a symbol that two yarns have, or one named by the chart or the floats that none has."""
    symbols = [yarn.symbol for yarn in yarns]
    for number, symbol in enumerate(symbols):
        if symbol in symbols[:number]:
            raise InputError(
                where("yarns"),
                f"the symbol '{symbol}' for '{yarns[symbols.index(symbol)].name}' and '{yarns[number].name}'",
                "a symbol of its own for each yarn",
                "change one of the two, in the chart too",
            )
    named = [("chart.plain_yarn", chart.plain_yarn)] if chart.plain_yarn is not None else []
    named += [("floats.slack_by_yarn", name) for name in floats.slack_by_yarn]
    for key, symbol in [*named, *(("floats.below", name) for name in floats.below)]:
        if symbol not in symbols:
            raise InputError(where(key), f"'{symbol}'", f"the symbol of a yarn ({', '.join(symbols)})", "name a yarn")


def check_catches(catches: Sequence[Catch], chart_ij: Rows, symbols: Sequence[str], worked: str, where: Where) -> None:
    """Refuse a catch outside the chart, in a row that carries no second yarn, of a yarn that can't pass there, or of
    one repeat of flat work."""
    rows, stitches, key = len(chart_ij), len(chart_ij[0]), where("floats.catches")
    for catch in catches:
        given = f"row {catch.row}, stitch {catch.stitch}"
        if catch.row > rows or catch.stitch > stitches:
            raise InputError(
                key,
                given,
                f"rows 1 to {rows} and stitches 1 to {stitches} of the chart",
                "name a square of the chart, counted from the bottom right",
            )
        yarn_j = chart_ij[catch.row - 1]
        yarns, own = [symbols[yarn] for yarn in sorted(set(yarn_j))], symbols[yarn_j[-catch.stitch]]
        if catch.yarn is not None and (catch.yarn not in yarns or catch.yarn == own):
            raise InputError(
                key,
                f"{given}, yarn '{catch.yarn}'",
                f"a yarn that runs behind this stitch ({', '.join(one for one in yarns if one != own)})",
                "name the yarn that is caught there, or leave yarn out",
            )
        if catch.repeat is not None and worked == "flat":
            raise InputError(
                key,
                f"{given}, repeat '{catch.repeat}', worked flat",
                "a repeat only in the round, where rounds join",
                "leave repeat out",
            )
        if len(yarns) == 1:
            raise InputError(
                key,
                f"{given}, in a row of one colour",
                "a square behind which a float passes",
                "move the catch, or take it out",
            )


def check_steek(steek: Steek, chart_ij: Rows, worked: str, item: Item | None, sizes: Sizing, where: Where) -> None:
    """Refuse a steek in what can't be cut open, or one too narrow for the yarns of a row."""
    if worked == "flat":
        todo = 'write worked = "round", or take [steek] out'
        raise InputError(where("steek"), "a steek worked flat", "a steek only in the round, to be cut open", todo)
    if item not in STEEKED or sizes.crown:
        closed = "a crown" if item in STEEKED else f"'{item}'"
        allowed = "a piece open at both ends: " + ", ".join(sorted(one for one in STEEKED if one)) + ", or no item"
        raise InputError(where("steek"), f"a steek with {closed}", allowed, "take [steek] out, or say what it is for")
    if sizes.lining:
        given, todo = "a steek with a lining", "line it after cutting, and take lining out"
        raise InputError(where("sizes.lining"), given, "one of the two", todo)
    most = max(len(set(yarn_j)) for yarn_j in chart_ij)
    if steek.stitches < 2 * most:
        raise InputError(
            where("steek.stitches"),
            f"{steek.stitches} with {most} yarns in a row",
            f"at least {2 * most}, so that every yarn is held on both sides of the cut",
            "use more stitches, or fewer yarns in a row",
        )


def check_bodies(sizes: Sizing, item: Item | None, folder: Path, where: Where) -> None:
    """Refuse a body that no table knows, where one is named that has no cm of its own; the scene lies in ``folder``."""
    if sizes.file is not None:
        note_read(folder / sizes.file)
    named = [one.name for one in sizes.bodies or () if one.cm is None]
    if not named:
        return
    known = usual_bodies() if sizes.file is None else read_bodies(folder / sizes.file, where("sizes.file"))
    part = KINDS[item].worn_on if item is not None else None
    here = list(dict.fromkeys(one.name for one in known if part in (None, one.part)))
    for name in named:
        if name not in here:
            near = meant(str(name), here)
            raise InputError(
                where("sizes.bodies"),
                f"'{name}'",
                f"{', '.join(here) or f'(the file has no {part})'}, or a number",
                f"did you mean '{near}'?" if near is not None else "name one of them, or give its size",
            )
