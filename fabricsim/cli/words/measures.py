"""How large a piece comes out, and how deep a hat is for its head, in words."""

from __future__ import annotations

from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.design.piece.depth import OF_HEAD, WHOLE, Part, enough_of, verdict, ways_out
from fabricsim.design.piece.model import SectionKind, WholePiece
from fabricsim.design.piece.thumb import HAND_LONG
from fabricsim.design.scene.items import KINDS
from fabricsim.lengths import long, long_number

PARTS: dict[SectionKind, str] = {
    "rib": "rib",
    "adjusting": "adjusting",
    "chart": "chart",
    "plain": "plain",
    "crown": "crown",
    "rib above": "upper rib",
}
"""What the parts of a piece are called, from below."""


def size_words(piece: WholePiece) -> str:
    """Return how large the piece is: ``90 stitches x 39 rounds; the chart's 10 stitches 9 times across.``"""
    scene, unit = piece.scene, row_word(piece.scene)
    rows = {kind: len(piece.section(kind).rows) for kind in PARTS if piece.section(kind).rows}
    wide = count(piece.stitches, "stitch")
    if scene.shaping is not None:
        wide += f", {piece.section('chart').rows[-1].after} at the end of its shaping,"
    size = f"{wide} x {count(sum(rows.values()), unit)}"
    if len(rows) > 1:
        size += f" ({', '.join(f'{PARTS[kind]} {number}' for kind, number in rows.items())})"
    if sum(piece.edges):
        size += f", {sum(piece.edges)} of the stitches for the {'seam' if piece.makeup.seam else 'selvedge'}"
    if scene.steek is not None:
        size += f", {scene.steek.stitches} of the stitches for the steek"
    wide = count(scene.stitches_per_repeat, "stitch")
    across = scene.chart.across
    return f"{size}; the chart's {wide} {count(across, 'time')} across." if across > 1 else f"{size}."


TALL = {"hat": "deep, brim to middle of the crown", "mitten": "long, cuff to tip"}
"""How the height of what is closed at the top is meant."""


def closed_as(piece: WholePiece) -> str:
    """Return what kind of thing is closed at the top: a hat or a mitten; nothing for what is open."""
    if piece.end != "draw together":
        return ""
    item = piece.scene.item
    return "mitten" if item is not None and KINDS[item].worn_on == "hand" else "hat"


def hand_words(piece: WholePiece) -> list[str]:
    """Return how long a mitten is from the wrist, against the hand."""
    if piece.hand is None:
        return []
    above = piece.height() - piece.height("rib")
    return [
        f"A hand so wide is usually about {long(piece.hand)} long from the wrist ({HAND_LONG:g} of the way round the "
        f"knuckles, from memory): above its rib this is {long(above)}."
    ]


def breadth(piece: WholePiece) -> str:
    """Return how its width is meant: round a tube, from edge to edge of what is cut open, else across."""
    if piece.is_tube:
        return "round"
    return "from edge to edge" if piece.scene.steek is not None else "wide"


def measures(piece: WholePiece) -> list[str]:
    """Return what it measures when it is done, part by part; nothing of a swatch."""
    scene = piece.scene
    if len(piece.sections) == 1 and scene.item in (None, "swatch"):
        return []
    heights = {PARTS[kind]: piece.height(kind) for kind in PARTS if piece.section(kind).rows}
    parts = [f"{name} {long_number(height)}" for name, height in heights.items()]
    how = "as forecast" if piece.forecast else "by the gauge of plain stockinette"
    how = f"cut open, {how}" if scene.steek is not None else how
    girth = f"{long(piece.finished)} {breadth(piece)} where it is patterned, {how}"
    if scene.shaping is not None:
        last = piece.section("chart").rows[-1].after / piece.section("chart").rows[0].before
        girth = f"{long(piece.finished)} {breadth(piece)} where its pattern begins and {long(last * piece.finished)} "
        girth += f"where that ends, {how}"
    tall = TALL[kind] if (kind := closed_as(piece)) else "high"
    said = f"It measures {girth}; {long(piece.height())} {tall}"
    return [said + (f": {listed(parts)}." if parts[1:] else "."), *depth_words(piece), *hand_words(piece)]


def depth_words(piece: WholePiece) -> list[str]:
    """Return how the depth of a hat compares with what is usual for the head."""
    usual = piece.usual_depth
    if usual is None:
        return []
    depth = piece.height()
    found = verdict(depth, usual)
    owner = f"{OF_HEAD:g} of the way round it, from memory"
    if found == "as usual":
        return [f"A hat for this head is usually about {long(usual)} deep ({owner}): so is this one."]
    off = long(abs(depth - usual))
    return [
        f"A hat for this head is usually about {long(usual)} deep ({owner}): this one is {found} by {off} "
        "('fabricsim sizes' says what would mend it)."
    ]


def mended(piece: WholePiece) -> str:
    """Return what would make a hat as deep as is usual, if it is not; nothing if it is."""
    if piece.usual_depth is None or verdict(piece.height(), piece.usual_depth) == "as usual":
        return ""
    ways, unit = ways_out(piece), row_word(piece.scene)
    if ways.rounds:
        return (
            f"To make it deeper: {count(ways.rounds, f'more plain {unit}')} before the crown (plain_rounds under "
            "[sizes]), a higher rib (rib_cm), or a crown that closes more slowly (crown_every)."
        )
    can: dict[Part, str] = {
        "plain": f"leave out plain {unit}s (chart.plain_below and plain_above)",
        "rib": "a lower rib (rib_cm under [sizes])",
        "crown": f"decrease in every {unit} of the crown (crown_every = 1)",
        "up": "the chart once less up (chart.up)",
    }
    said = [
        f"{what}: {'' if part in WHOLE else 'up to '}{long(ways.parts[part])}"
        for part, what in can.items()
        if ways.parts[part] > 0.0005
    ]
    return f"To make it shallower: {'; '.join(said)}." if said else f"To make it shallower: a chart with fewer {unit}s."


def enough_said(piece: WholePiece) -> str:
    """Return what is enough to make a hat shallower that is too deep; nothing for any other."""
    if piece.usual_depth is None or verdict(piece.height(), piece.usual_depth) != "too deep":
        return ""
    some, unit = enough_of(ways_out(piece), piece.height() - piece.usual_depth), row_word(piece.scene)
    if some is None:
        return f"all of that is not enough: a chart with fewer {unit}s"
    short: dict[Part, str] = {
        "plain": f"fewer plain {unit}s",
        "rib": "a lower rib",
        "crown": "the quicker crown",
        "up": "the chart once less",
    }
    return f"{listed([short[part] for part in some])} will do"
