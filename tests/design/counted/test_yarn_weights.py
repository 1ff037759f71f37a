"""The table of yarn weights, held against itself, and what is told of a gauge beside it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from fabricsim.design.counted.yarn_weights import YARN_WEIGHTS, Mismatch, mismatches
from fabricsim.design.scene.model import Scene
from tests.design.scenes import scene_table


def test_categories_follow_each_other_from_lace_to_jumbo() -> None:
    """Stitches to 4 in as the standard gives them; metres overlap a little, and leave no gap, as tables of them do."""
    assert [(one.name, one.stitches) for one in YARN_WEIGHTS] == [
        ("lace", (33, 40)),
        ("super fine", (27, 32)),
        ("fine", (23, 26)),
        ("light", (21, 24)),
        ("medium", (16, 20)),
        ("bulky", (12, 15)),
        ("super bulky", (7, 11)),
        ("jumbo", (1, 6)),
    ]
    for finer, thicker in pairwise(YARN_WEIGHTS):
        assert finer.metres[0] < thicker.metres[1] <= finer.metres[0] * 1.5
        assert finer.metres[1] > thicker.metres[1]
    for finer, thicker in pairwise(YARN_WEIGHTS):
        assert finer.needles_mm[1] == thicker.needles_mm[0]  # the standard leaves no needle between two
    assert [one.needles_mm[0] for one in YARN_WEIGHTS] == [1.5, 2.25, 3.25, 3.75, 4.5, 5.5, 8.0, 12.75]
    assert YARN_WEIGHTS[-1].needles_mm[1] == 25.0  # the thickest that are sold


def scene(metres: float, stitches_to_4_in: float) -> Scene:
    stitches = stitches_to_4_in / 1.016  # 4 in are 10.16 cm
    yarn = {"symbol": ".", "name": "oat", "colour": "#ffffff", "metres_per_100_g": metres}
    table = scene_table(["...."], yarns=[yarn])
    return Scene.model_validate(table | {"gauge": {"stitches": stitches, "rows": 1.3 * stitches}})


@pytest.mark.parametrize(
    ("metres", "stitches", "usual"),
    [
        (220.0, 18.0, None),
        (220.0, 24.4, None),  # between light and medium: at the gauge of either
        (220.0, 24.6, (16, 24)),
        (220.0, 15.4, (16, 24)),
        (180.0, 20.6, (16, 20)),
        (2500.0, 18.0, None),  # beyond all of them: let be
    ],
)
def test_a_gauge_beside_the_usual_is_told_with_its_yarn(
    metres: float, stitches: float, usual: tuple[int, int] | None
) -> None:
    found = mismatches(scene(metres, stitches))
    if usual is None:
        assert found == ()
        return
    assert found == (Mismatch("oat", pytest.approx(metres), pytest.approx(stitches), *usual),)
    assert found[0].looser == (stitches < usual[0])
