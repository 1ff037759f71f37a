"""Whom a piece is put on, and where on them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fabricsim.design.scene.bodies import usual_bodies
from fabricsim.design.scene.read import demo_scene, read_scene
from fabricsim.design.scene.shaping import Shaping
from fabricsim.design.scene.sizing import Sizing
from fabricsim.design.scene.worn_on import On
from fabricsim.errors import InputError
from fabricsim.study.worn.on_body import check_size, seat
from fabricsim.units import CM
from tests.support.little import little


def test_whom_it_fits_best_is_taken_unless_one_is_named() -> None:
    hat = demo_scene()  # a hat: 8 % to nothing smaller than the head
    for girth, name in ((0.47, "2 years"), (0.53, "woman"), (0.7, "man")):
        found = seat(hat, "head", girth, girth, 0.07)
        assert found.body is not None
        assert str(found.body.name) == name
        assert float(found.form.girth(0.0)) == pytest.approx(found.body.middle_cm * CM, rel=1e-6)
        assert found.at == 0.0
    named = seat(hat, "head", 0.47, 0.47, 0.07, "man")
    assert float(named.form.girth(0.0)) == pytest.approx(0.57, rel=1e-6)


def test_a_piece_of_no_item_fits_whom_it_is_as_wide_as() -> None:
    scene = demo_scene().model_copy(update={"item": None})
    for middle in (0.48, 0.54):
        found = seat(scene, "head", middle, middle, 0.07)
        assert found.body is not None
        heads = [one.middle_cm * CM for one in usual_bodies() if one.part == "head"]
        assert found.body.middle_cm * CM == pytest.approx(min(heads, key=lambda one: abs(one - middle)))


def test_cuffs_and_sleeves_begin_at_the_wrist() -> None:
    hat = demo_scene()
    for on in ("hand", "arm", "leg"):
        found = seat(hat, on, 0.2, 0.2, 0.06)  # type: ignore[arg-type]
        assert found.at - 0.03 == pytest.approx(found.form.bottom)
        assert found.form.widest_passed > 0.0


def test_a_board_is_as_wide_as_plain_fabric_and_nobodys() -> None:
    found = seat(demo_scene(), "board", 0.5, 0.46, 0.07)
    assert found.body is None
    assert float(found.form.girth(found.at)) == pytest.approx(0.5, rel=1e-6)
    with pytest.raises(InputError, match="a body to wear it"):
        seat(demo_scene(), "board", 0.5, 0.46, 0.07, "man")


def test_a_body_that_is_not_known_is_refused_before_anything_is_solved() -> None:
    check_size(demo_scene(), "head", None)
    with pytest.raises(InputError, match="did you mean 'woman'"):
        check_size(demo_scene(), "head", "wommen")


def test_the_scenes_own_table_is_used_and_may_have_nobody(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('bodies = [{ part = "head", name = "Ida", cm = 54 }]\n')
    path = tmp_path / "it.toml"
    path.write_text(little(case="round") + '\n[sizes]\nfile = "mine.toml"\n')
    scene = read_scene(path)
    found = seat(scene, "head", 0.3, 0.3, 0.05)
    assert found.body is not None
    assert str(found.body.name) == "Ida"
    with pytest.raises(InputError, match="no arm"):
        seat(scene, "arm", 0.3, 0.3, 0.05)


def test_what_is_drawn_up_at_its_top_is_pulled_to_its_rim() -> None:
    """4.5 cm of 56 below the widest of a head; to where fingers end at the other end of a hand."""
    head = seat(demo_scene(), "head", 0.53, 0.53, 0.07, "woman", closed=True)
    assert head.at == pytest.approx(-0.08 * float(head.form.girth(0.0)))
    hand = seat(demo_scene(), "hand", 0.2, 0.2, 0.06, closed=True)
    assert hand.at == hand.form.bottom


@pytest.mark.parametrize("on", ["arm", "leg", "board"])
def test_what_is_drawn_up_at_its_top_goes_on_what_has_an_end(on: On) -> None:
    for closed in (False, True):
        for ended in ("head", "hand"):
            seat(demo_scene(), ended, 0.5, 0.5, 0.2, closed=closed)  # type: ignore[arg-type]
    seat(demo_scene(), on, 0.5, 0.5, 0.2)
    with pytest.raises(InputError) as refused:
        seat(demo_scene(), on, 0.5, 0.5, 0.2, closed=True)
    assert str(refused.value) == (
        f"--on: given '{on}' for a piece that is drawn up at its top; allowed: head or hand; "
        "name one, or put on the chart alone: --no-whole"
    )


def test_what_goes_on_must_pass_the_folded_hand_or_the_heel() -> None:
    for on, wide, widest in (("hand", 1.0, 1.15), ("arm", 1.0, 0.75), ("leg", 1.55, 1.4)):
        found = seat(demo_scene(), on, 0.2, 0.2, 0.06)  # type: ignore[arg-type]
        assert found.body is not None
        around = found.body.middle_cm * CM
        assert float(found.form.girth(0.0 if on == "hand" else found.form.top)) == pytest.approx(
            wide * around, rel=1e-6
        )
        assert found.form.widest_passed == pytest.approx(widest * around)


@pytest.mark.parametrize(("measured", "widest"), [(30.0, 30.0), (20.5, 1.15 * 20.0)])
def test_a_hand_that_was_measured_folded_is_passed_so_or_as_is_usual(
    tmp_path: Path, measured: float, widest: float
) -> None:
    (tmp_path / "mine.toml").write_text(
        f'bodies = [{{ part = "hand", name = "Ida", cm = 20, widest_cm = {measured} }}]\n'
    )
    path = tmp_path / "it.toml"
    path.write_text('item = "mittens"\n' + little(case="round") + '\n[sizes]\nfile = "mine.toml"\n')
    assert seat(read_scene(path), "hand", 0.2, 0.2, 0.06).form.widest_passed == pytest.approx(widest * CM)


def test_a_piece_is_put_on_one_of_those_it_is_for() -> None:
    """Though it would fit another better; of another part, and by name, on anybody."""
    hat = demo_scene().model_copy(update={"sizes": Sizing(bodies=["woman", 57.5])})
    for girth, name in ((0.40, "woman"), (0.7, "57.5 cm")):
        found = seat(hat, "head", girth, girth, 0.07)
        assert found.body is not None
        assert str(found.body.name) == name
    assert seat(hat, "head", 0.4, 0.4, 0.07, "57.5 cm").body is not None
    assert float(seat(hat, "head", 0.4, 0.4, 0.07, "man").form.girth(0.0)) == pytest.approx(0.57, rel=1e-6)
    arm, anybodys = (seat(one, "arm", 0.2, 0.2, 0.06).body for one in (hat, demo_scene()))
    assert arm == anybodys


@pytest.mark.parametrize("on", ["arm", "leg"])
def test_what_is_worked_from_the_top_begins_at_the_upper_arm(on: On) -> None:
    """Its last round at the wrist, which is then above; over it goes the hand, as ever."""
    cuff = read_scene(Path(__file__).parents[3] / "scenes" / "tapered_sleeve.toml")
    top = cuff.model_copy(update={"shaping": Shaping(decrease_every=6, decreases=10)})
    up, down = (seat(one, on, 0.3, 0.3, 0.25) for one in (cuff, top))
    assert (up.form.way, down.form.way) == ("below", "above")
    assert down.at == -up.at
    for height in (0.0, 0.1, 0.25):
        assert float(down.form.girth(-height)) == pytest.approx(float(up.form.girth(height)), rel=1e-12)
    assert (down.form.bottom, down.form.top) == (-up.form.top, -up.form.bottom)
    assert down.form.widest_passed == up.form.widest_passed
    assert down.form.to_pass(np.array([-0.1])) == pytest.approx(up.form.to_pass(np.array([0.1])))
