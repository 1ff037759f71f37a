"""How narrow and how wide colourwork may be measured before it is no swatch of its scene."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.design.swatch.check import check_measured
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import InputError
from tests.support.scenes import scene_of

SCENE = scene_of(["#..#..", ".##..."])
PLAIN_CM = 38 / 19 * 10.0
"""38 stitches at the scene's 19 to 10 cm."""


def refused(width_cm: float, plain: dict[str, float] | None = None) -> str:
    """Return what is said of 38 stitches of colourwork, read to 0.3 cm; nothing if they may be so wide."""
    colourwork = {"stitches": 38, "width_cm": width_cm}
    try:
        check_measured(
            SCENE, Measured.model_validate({"colourwork": colourwork, "plain": plain or {}}), Path("swatch.toml")
        )
    except InputError as problem:
        return str(problem)
    return ""


def test_colourwork_is_accepted_as_narrow_as_fabric_still_lies() -> None:
    assert refused(0.701 * PLAIN_CM) == ""
    assert "given 13.98; allowed: 14.0 to 21.0 cm, as 38 stitches are 20.0 cm in plain" in refused(0.699 * PLAIN_CM)


def test_beside_a_plain_part_colourwork_is_wider_by_an_error_of_reading_at_most() -> None:
    """By hand: twice the root of 0.3^2 + (0.3 * 38/19)^2 cm, for the plain part was only half as wide."""
    most = PLAIN_CM + 2.0 * (0.3**2 + 0.6**2) ** 0.5
    plain = {"stitches": 19, "width_cm": 10.0}
    assert refused(most - 0.01, plain) == ""
    assert "floats only draw in; measure again" in refused(most + 0.01, plain)


def test_without_one_it_is_wider_by_as_much_as_another_gauge_may_make_it() -> None:
    assert refused(1.049 * PLAIN_CM) == ""
    assert "floats only draw in" in refused(1.051 * PLAIN_CM)


@pytest.mark.parametrize("uncertain_cm", [0.1, 0.5])
def test_the_surer_the_reading_the_less_it_may_be_off(uncertain_cm: float) -> None:
    colourwork = {"stitches": 38, "width_cm": 20.5, "uncertain_cm": uncertain_cm}
    plain = {"stitches": 38, "width_cm": 20.0, "uncertain_cm": uncertain_cm}
    measured = Measured.model_validate({"colourwork": colourwork, "plain": plain})
    if uncertain_cm == 0.5:
        check_measured(SCENE, measured, Path("swatch.toml"))
    else:
        with pytest.raises(InputError, match=r"given 20.5; allowed: 14.0 to 20.3 cm"):
            check_measured(SCENE, measured, Path("swatch.toml"))
