"""Which cautions go with which item, and what they must say: word by word, as someone small depends on them."""

from __future__ import annotations

import pytest

from fabricsim.cli.words.cautions import CAUTION, ENDS, PARTS, RULES, cautions
from fabricsim.design.scene.items import KINDS
from tests.cli.made_up import scene_of

FLOATS = (
    "Caution: a float can snag, and a thread round a tiny finger or toe can cut off blood unseen, so things for baby "
    "hands and feet get no open floats (line them). How long a float may be is for the rules that hold where the item "
    "is sold, and for you as the maker, to say."
)
LOOSE = (
    "Loose ends: darn every end in over several stitches and in more than one direction; an end that works loose is a "
    "thread for small fingers and toes too."
)
SMALL = (
    "Small parts: buttons, beads and pompoms can come off and be swallowed, and ties and cords can wind round a neck. "
    "Leave them away for babies."
)
SOLD = (
    "What rules there are for children's things where the item is sold come before anything on this page, and whether "
    "it is fit to be worn is for you as the maker to judge."
)
GROWN_UP = {"swatch", "hat", "mittens", "socks", "cuffs", "sleeves", "body", "yoke", "cowl"}


@pytest.mark.parametrize("item", KINDS)
def test_children_and_babies_get_all_of_them_and_nobody_none(item: str) -> None:
    all_of_them = (FLOATS, LOOSE, SMALL, SOLD)
    assert cautions(scene_of(item=item)) == (all_of_them[:2] if item in GROWN_UP else all_of_them)


def test_where_nothing_is_said_of_the_item_it_may_be_for_a_baby() -> None:
    assert cautions(scene_of()) == (FLOATS, LOOSE, SMALL, SOLD)


def test_nothing_is_called_safe() -> None:
    assert "safe" not in " ".join((CAUTION, ENDS, PARTS, RULES)).lower()
