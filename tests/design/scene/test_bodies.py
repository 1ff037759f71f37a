"""A body of one's own: one number or two, the least first."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from fabricsim.design.scene.bodies import Body


def test_one_number_is_the_least_and_the_greatest() -> None:
    assert Body.model_validate({"part": "head", "name": "mine", "cm": 56.0}).cm == (56.0, 56.0)
    assert Body.model_validate({"part": "head", "name": "mine", "cm": [54.0, 58.0]}).middle_cm == 56.0


def test_the_greatest_first_is_refused_with_both() -> None:
    with pytest.raises(ValidationError, match=r"given cm = \[58, 54\]; allowed: least first, then greatest; swap the"):
        Body.model_validate({"part": "head", "name": "mine", "cm": [58.0, 54.0]})
