"""What a fabric is called, and its pictures."""

from __future__ import annotations

from fabricsim.cli.words.fabric import seen_as, straight_said, titled
from fabricsim.design.scene.shaping import Shaping
from tests.cli.made_up import rest_of, scene_of


def test_a_title_says_how_slack_floats_were_knitted() -> None:
    assert titled(rest_of(scene_of(0.06)), "section").endswith(": section, knitted with slack 6 %")
    mixed = scene_of(0.06, floats={"slack": 0.06, "slack_by_yarn": {"o": -0.04}})
    assert titled(rest_of(mixed), "back").endswith(": back, knitted with slack -4 to 6 %")
    assert titled(rest_of(scene_of(0.0, ("....",))), "face").endswith(": face")


def test_a_fabric_is_seen_as_its_case() -> None:
    rest = rest_of(scene_of(0.0), "repeat")
    size = f"{rest.mesh.stitches} stitches x {rest.mesh.rows} rounds."
    assert seen_as(rest.scene, rest.mesh) == f"Seen as endless repeats, far from any edge and without weight: {size}"


def test_of_a_piece_that_is_shaped_but_seen_straight_that_is_said() -> None:
    plain = scene_of(0.0)
    assert straight_said(plain) == ""
    shaped = plain.model_copy(update={"shaping": Shaping(spread=[{"row": 3, "every": 4}])})
    wide = plain.stitches_per_repeat * plain.chart.across
    left_out = f"Its shaping is left out here: it is seen straight, with the {wide} stitches that "
    left_out += "its chart begins with."
    assert straight_said(shaped) == left_out
    assert seen_as(shaped, rest_of(plain, "repeat").mesh).endswith(left_out)
