"""Who wears what."""

from __future__ import annotations

from typing import get_args

import pytest

from fabricsim.design.scene.items import Item
from fabricsim.design.sizes.fits import FITS, wearers


def test_what_is_named_for_babies_or_children_is_theirs_alone() -> None:
    assert {item for item in get_args(Item) if item in FITS} == set(FITS)
    for item in FITS:
        for word, only in (("baby", ("baby",)), ("child", ("child",))):
            assert (wearers(item) == only) == item.startswith(f"{word} ")
        if " " not in item:
            assert wearers(item) == ("child", "adult")


@pytest.mark.parametrize("item", FITS)
def test_ease_is_aimed_at_from_which_it_is_as_far_to_too_tight_as_to_too_loose(item: Item) -> None:
    fit = FITS[item]
    assert fit.aim - fit.least == pytest.approx(fit.most - fit.aim)
    assert fit.least < fit.aim < fit.most
