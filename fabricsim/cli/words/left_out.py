"""What a pattern does not hold, said at once, so that nobody finds it out on the needles."""

from __future__ import annotations

from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.thumb import thumb_of
from fabricsim.design.scene.items import Item
from fabricsim.design.sizes.makeup import narrows

SOCK = "Not in it: heel, foot and toe. It is the leg of a sock, a straight tube with its rib."
BODY = "Not in it: armholes, neck, shoulders and bands. It is the straight part of a body, with its rib."
LEFT_OUT: dict[Item, str] = {
    "socks": SOCK,
    "baby socks": SOCK,
    "sleeves": "Not in it: the shaping from the wrist to the upper arm, and the cap. It is a straight tube, as wide "
    "all the way as the upper arm wants it.",
    "body": BODY,
    "baby body": BODY,
    "yoke": "Not in it: the decreases towards the neck. It is the straight part of a yoke.",
    "baby mittens": "It has no thumb, as mittens of babies mostly have none.",
}
NARROWING: dict[Item, str] = {
    "sleeves": "Not in it: the cap, and the rib of its cuff.",
    "yoke": "Not in it: short rows at the back of the neck, and the rib round that.",
}
"""The same of what narrows from its first row, which is joined to the body, to its last, and has no rib."""
SHAPED: dict[Item, str] = {"sleeves": "Not in it: the cap.", "yoke": "Not in it: short rows at the back of the neck."}
"""The same of what a scene shapes."""


def left_out(piece: WholePiece) -> list[str]:
    """Return what a reader might look for in vain in the pattern of a piece."""
    item = piece.scene.item
    if item in ("mittens", "child mittens") and thumb_of(piece) is None:
        where = "leave the seam open for it" if piece.scene.worked == "flat" else "so few stitches hold no place for it"
        return [f"Not in it: the thumb; {where}."]
    if item in SHAPED and piece.scene.shaping is not None:
        if item in NARROWING and narrows(piece.scene) and not piece.section("rib").rows:
            return [NARROWING[item]]
        return [SHAPED[item]] if SHAPED[item] else []
    return [LEFT_OUT[item]] if item in LEFT_OUT else []
