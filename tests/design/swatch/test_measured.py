"""What several floats alike tell, by hand."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from fabricsim.design.swatch.measured import MeasuredFloat


def test_several_floats_have_a_mean_and_a_spread_about_it() -> None:
    several = MeasuredFloat(gap=5, yarn_mm=(28.0, 30.0, 32.0))
    assert several.mean_cm == pytest.approx(3.0, rel=1e-12)
    assert several.spread_mm == pytest.approx(2.0, rel=1e-12)  # sqrt((4 + 0 + 4) / 2)
    assert several.freedom == 2


def test_one_float_tells_nothing_of_how_they_differ() -> None:
    one = MeasuredFloat(gap=5, yarn_cm=3.1)
    assert (one.mean_cm, one.spread_mm, one.freedom) == (3.1, 0.0, 0)


@pytest.mark.parametrize(
    ("lengths", "given"),
    [({}, "neither yarn_cm nor yarn_mm"), ({"yarn_cm": 3.0, "yarn_mm": (29.0, 31.0)}, "yarn_cm and yarn_mm")],
)
def test_a_float_has_one_length_or_several(lengths: dict[str, object], given: str) -> None:
    with pytest.raises(ValidationError) as refused:
        MeasuredFloat.model_validate({"gap": 5} | lengths)
    assert refused.value.errors()[0]["ctx"]["given"] == given
