"""How high every size comes out, and its rounds outside the chart, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.counts import listed, row_word
from fabricsim.cli.words.measures import PARTS, enough_said, mended
from fabricsim.design.piece.depth import OF_HEAD, TOLERANCE, verdict
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.sizes.every_size import Counted, Size
from fabricsim.design.sizes.plan import Plan
from fabricsim.lengths import long, long_number, long_unit


def tell_depths(page: Page, plan: Plan, pieces: Mapping[str, WholePiece]) -> None:
    """Print how high every size is, part by part; of hats against the usual, and what would mend it."""
    made = list(pieces.values())
    kinds = [kind for kind in PARTS if any(one.section(kind).rows for one in made)]
    hats = any(one.usual_depth is not None for one in made)
    whole = ("deep" if hats else "long") if plan.crown else "in all"
    heads = ["size", *(PARTS[kind] for kind in kinds), whole, *(["usual", "so it is"] if hats else [])]
    lines = []
    for one in made:
        line = [one.size, *(long_number(one.height(kind)) for kind in kinds), long_number(one.height())]
        if one.usual_depth is not None:
            line += [long_number(one.usual_depth), verdict(one.height(), one.usual_depth)]
        lines.append(line)
    what = ("Depth, brim to middle of the crown" if hats else "Length, cuff to tip") if plan.crown else "Height"
    off = {number for number, line in enumerate(lines) if hats and line[-1] != "as usual"}
    page.table(
        Table(
            f"{what}, {long_unit()}",
            {head: "left" if head in ("size", "so it is") else "right" for head in heads},
            lines,
            bold=off,
        )
    )
    if hats:
        page.say(
            f"Usual is {OF_HEAD:g} of the way round the head, or what your file of bodies says; within "
            f"{long(TOLERANCE)} it still sits well (from memory, and the {long(TOLERANCE)} chosen).",
            wrap=True,
        )
        ways: dict[str, list[str]] = {}
        for one in made:
            if way := mended(one):
                ways.setdefault(way, []).append(one.size)
        for way, names in ways.items():
            page.say(f"{listed(names)}: {way[0].lower()}{way[1:]}", wrap=True)
        enough: dict[str, list[str]] = {}
        for one in made:
            if said := enough_said(one):
                assert one.usual_depth is not None
                enough.setdefault(said, []).append(f"{one.size} ({long(one.height() - one.usual_depth)} too deep)")
        for said, names in enough.items():
            page.say(f"{listed(names)}: {said}.", wrap=True)
    page.say("")


def between(plan: Plan, counted: Sequence[tuple[Size, Counted]], pieces: Mapping[str, WholePiece]) -> list[str]:
    """Return the adjusting rounds and the crown of every count, in words."""
    names: dict[tuple[int, int], list[str]] = {}
    known_of: dict[tuple[int, int], tuple[Counted, WholePiece]] = {}
    for one, known in counted:
        piece = pieces[one.body.name]
        same = known.stitches, piece.last.number
        names.setdefault(same, []).append(one.body.name)
        known_of[same] = known, piece
    unit, said, straight = row_word(plan.scene), [], []
    for same, (known, piece) in known_of.items():
        lines = []
        if known.adjusting is not None and known.adjusting.change is not None:
            lines.append(f"    After the rib, one plain {unit}: {known.adjusting.words()}")
        elif known.adjusting is not None:
            straight += names[same]
        lines += _crown_lines(piece, unit, asked=plan.crown)
        if lines:
            said += [f"{listed(names[same])}: {same[0]} stitches", *lines]
    if straight:
        who = "For every size" if len(straight) == len(counted) else f"For {listed(straight)}"
        said.insert(0, f"{who} the rib leads straight into the chart: both have the same stitches.")
    wedges = sorted({known.crown.wedges for _, known in counted if known.crown is not None})
    if wedges[1:]:
        said.insert(
            0,
            f"The sizes differ in the wedges of their crowns ({listed([str(one) for one in wedges])}): no number is "
            "whole repeats, or whole parts of one, in all of them.",
        )
    return [*said, f"Every {unit} from cast-on to the last stitch: 'fabricsim rounds' with --size and its name."]


def _crown_lines(piece: WholePiece, unit: str, *, asked: bool) -> list[str]:
    crown = piece.crown
    if crown is None:
        return ["    No crown: too few stitches; draw the yarn through all of them."] if asked else []
    lines = [f"    Before the crown, one plain {unit}: {crown.first.words()}"] if crown.first is not None else []
    start = piece.last.number - crown.rounds[-1].number
    lines.append(
        f"    Crown: {crown.wedges} wedges of {crown.wedge}; decrease in {unit}s "
        f"{', '.join(str(start + one.number) for one in crown.rounds)}, plain in the others."
    )
    first, last = crown.rounds[0], crown.rounds[-1]
    lines.append(
        f"        {unit.capitalize()} {start + first.number}: {first.words()} Each time one stitch fewer before k2tog."
    )
    lines.append(f"        Stitches left: {', '.join(str(one.after) for one in crown.rounds)}.")
    lines.append(f"        Draw the yarn through the last {last.after}.")
    return lines
