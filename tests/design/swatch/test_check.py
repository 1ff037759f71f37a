"""What can't be a swatch of the scene is refused, at the very ends of what can."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.check import check_measured
from fabricsim.design.swatch.measured import Measured
from fabricsim.errors import InputError
from tests.design.scenes import YARNS, scene_table

FILE = Path("mine.toml")
WIDE = {"colourwork": {"stitches": 20, "width_cm": 10.0}}
"""A swatch that lies as wide as plain knitting: 20 stitches at half a centimetre."""


def scene(rows: list[str] | None = None) -> Scene:
    """Return a scene of 20 stitches and 25 rows to 10 cm."""
    return Scene.model_validate(scene_table(rows or ["A....", ".A..."]) | {"gauge": {"stitches": 20, "rows": 25}})


def refusal(measured: dict[str, Any], of: Scene | None = None) -> str | None:
    """Return the line that refuses what was measured; None where it may be."""
    try:
        check_measured(of or scene(), Measured.model_validate(measured), FILE)
    except InputError as problem:
        return str(problem)
    return None


def test_what_tells_nothing_is_refused() -> None:
    for nothing in ({}, {"plain": {"stitches": 20, "width_cm": 10}}, {"colourwork": {"rows": 20, "height_cm": 8}}):
        assert refusal(nothing) == (
            "mine.toml: given nothing that tells how the floats lie; allowed: colourwork.width_cm, "
            "colourwork.pucker_mm, stretched.width_cm, weighed.grams or [[floats]]; fill in what you measured, and "
            "take "
            "the # from the front of its line"
        )
    assert refusal({"colourwork": {"pucker_mm": 0.0}}) is None


def test_a_chart_without_floats_teaches_nothing() -> None:
    assert refusal(WIDE, scene(["....."])) == (
        "chart: given a chart without floats; allowed: two yarns in a row; nothing can be learnt"
    )


@pytest.mark.parametrize(
    ("part", "count", "size", "cm", "words"),
    [
        ("plain", "stitches", "width_cm", 10.0, "10.0 cm"),
        ("plain", "rows", "height_cm", 8.0, "8.0 cm"),
        ("colourwork", "rows", "height_cm", 8.0, "8.0 cm"),
    ],
)
def test_plain_parts_and_heights_are_near_the_gauge(part: str, count: str, size: str, cm: float, words: str) -> None:
    """Within 15 % of what 20 stitches or rows are at the scene's gauge."""
    for share, good in ((0.851, True), (0.849, False), (1.149, True), (1.151, False)):
        given = {**WIDE, part: {**(WIDE.get(part, {})), count: 20, size: share * cm}}
        if part == "plain" and count == "stitches":
            given["colourwork"] = {"stitches": 20, "width_cm": share * cm}
        said = refusal(given)
        if good:
            assert said is None
        else:
            assert said == (
                f"mine.toml: {part}.{size}: given {share * cm:g}; allowed: {0.85 * cm:.1f} to {1.15 * cm:.1f} cm, as "
                f"20 "
                f"of them are {words} at the scene's gauge; measure again, or write your own gauge in the scene"
            )


def test_colourwork_draws_in_but_hardly_by_a_third_and_never_pushes_out() -> None:
    for cm, good in ((7.01, True), (6.99, False), (10.49, True), (10.51, False)):
        said = refusal({"colourwork": {"stitches": 20, "width_cm": cm}})
        if good:
            assert said is None
        else:
            assert said == (
                f"mine.toml: colourwork.width_cm: given {cm:g}; allowed: 7.0 to 10.5 cm, as 20 stitches are 10.0 cm in "
                "plain knitting and floats only draw in; measure again, and count the stitches"
            )


def test_plain_knitting_is_as_wide_as_was_measured_of_it() -> None:
    """At 11 cm to 20 stitches, not at the scene's 10: from 7.7 to 11.55."""
    plain = {"plain": {"stitches": 20, "width_cm": 11.0}}
    assert refusal({**plain, "colourwork": {"stitches": 20, "width_cm": 11.5}}) is None
    assert refusal({**plain, "colourwork": {"stitches": 20, "width_cm": 7.6}}) is not None


def test_under_a_weight_it_is_wider_than_at_rest() -> None:
    def said(section: str, cm: float) -> str | None:
        pulled = {"section": section, "stitches": 20, "width_cm": cm, "grams": 50, "strip_cm": 8}
        return refusal({"colourwork": {"stitches": 20, "width_cm": 8.0}, "stretched": pulled})

    line = (
        "mine.toml: stretched.width_cm: given {}; allowed: more than the {} cm that 20 stitches are at rest; measure "
        "it "
        "while the weight pulls, and count the stitches"
    )
    assert said("plain", 10.0) == line.format(10, "10.0")
    assert said("plain", 10.1) is None
    assert said("colourwork", 8.0) == line.format(8, "8.0")
    assert said("colourwork", 8.1) is None
    only = {"section": "colourwork", "stitches": 20, "width_cm": 10.0, "grams": 50, "strip_cm": 8}
    assert refusal({"stretched": only}) == line.format(10, "10.0")  # without its width at rest, that of plain


def test_a_swatch_weighs_about_what_is_reckoned() -> None:
    grams = 1000.0 * sum(one.mass for one in yarn_amounts(scene()).yarns)
    for share, good in ((1 / 1.59, True), (1 / 1.61, False), (1.59, True), (1.61, False)):
        said = refusal({"weighed": {"grams": share * grams}})
        if good:
            assert said is None
        else:
            assert said == (
                f"mine.toml: weighed.grams: given {share * grams:g}; allowed: {grams / 1.6:.1f} to {grams * 1.6:.1f} "
                f"g for "
                f"the piece that the scene describes, reckoned at {grams:.1f} g; weigh the whole swatch, or correct "
                f"the "
                "scene: its size or its yarns"
            )


def test_a_float_holds_half_to_twice_what_it_bridges() -> None:
    """Behind 5 stitches: 6 half centimetres."""
    good = {"gap": 5, "yarn_cm": 3.0, "yarn": "A"}
    for cm in (1.51, 5.99):
        assert refusal({"floats": [{**good, "yarn_cm": cm}]}) is None
    for cm in (1.49, 6.01):
        assert refusal({"floats": [good, {**good, "yarn_cm": cm}]}) == (
            f"mine.toml: floats (no. 2).yarn_cm: given {cm:g}; allowed: 1.5 to 6.0 cm behind 5 stitches, which "
            f"bridges 3.0 "
            "cm; count the stitches it passes, and give its length in cm"
        )
    assert refusal({"floats": [good, {**good, "yarn": "q"}]}) == (
        "mine.toml: floats (no. 2).yarn: given 'q'; allowed: the symbol of a yarn (., A); name a yarn of the scene, or "
        "leave it out"
    )
    assert YARNS[1]["symbol"] == "A"


def test_lengths_that_differ_too_much_are_refused_by_how_much_they_do() -> None:
    floats = [{"gap": 4, "yarn_mm": [15.0, 35.0]}]  # 10 sqrt(2) mm about 25, and the bridge is 5 stitches, 25 mm
    said = refusal(WIDE | {"floats": floats})
    assert said is not None
    assert said.startswith("mine.toml: floats (no. 1).yarn_mm: given lengths that differ by 57 %; allowed: up to ")


@pytest.mark.parametrize(("plain", "wider"), [(20, 0.8485), (40, 0.6708), (10, 1.3416)])
def test_beside_plain_that_was_measured_too_both_tapes_may_be_off(plain: int, wider: float) -> None:
    """A tape is off by 3 mm: twice the root of the sum of squares, of which plain gives what falls on 20 stitches."""
    for much, refused in ((0.999, False), (1.001, True)):
        measured = {
            "plain": {"stitches": plain, "width_cm": plain / 2},
            "colourwork": {"stitches": 20, "width_cm": 10.0 + much * wider},
        }
        assert (refusal(measured) is not None) is refused
