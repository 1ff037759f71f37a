"""What to beware of, by what a piece is for. It never says that something is harmless: that is not ours to say."""

from __future__ import annotations

from fabricsim.cli.words.steeks import CUT_ONCE
from fabricsim.design.scene.items import KINDS
from fabricsim.design.scene.model import Scene

CAUTION = (
    "Caution: a float can snag, and a thread round a tiny finger or toe can cut off blood unseen, so things "
    "for baby hands and feet get no open floats (line them). How long a float may be is for the rules that "
    "hold where the item is sold, and for you as the maker, to say."
)

# common practice, as all of these
ENDS = (
    "Loose ends: darn every end in over several stitches and in more than one direction; an end that works loose is a "
    "thread for small fingers and toes too."
)
PARTS = (
    "Small parts: buttons, beads and pompoms can come off and be swallowed, and ties and cords can wind round a neck. "
    "Leave them away for babies."
)
RULES = (
    "What rules there are for children's things where the item is sold come before anything on this page, and whether "
    "it is fit to be worn is for you as the maker to judge."
)


def cautions(scene: Scene) -> tuple[str, ...]:
    """Return the cautions for a scene's item: those for floats always, those for babies where they may wear it,
    that for cutting where there is a steek."""
    kind = KINDS[scene.item] if scene.item is not None else None
    cut = () if scene.steek is None else (CUT_ONCE,)
    if kind is not None and not kind.baby and not str(scene.item).startswith("child"):
        return (CAUTION, ENDS, *cut)
    return (CAUTION, ENDS, PARTS, RULES, *cut)
