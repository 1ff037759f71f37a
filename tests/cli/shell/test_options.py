"""How a fabric is looked at, as it was asked for and as the scene says."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import ValidationError

from fabricsim.cli.shell.options import Load, load_of, put_on_what, with_across, worn_as_asked
from fabricsim.cli.words.measures import PARTS, size_words
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.errors import InputError
from tests.cli.made_up import scene_of

SCENES = Path(__file__).parents[3] / "scenes"


def test_a_case_is_the_scenes_own_unless_it_is_asked_for() -> None:
    tube, flat = scene_of(worked="round"), scene_of(worked="flat")
    assert load_of(tube, None) == Load("round")
    assert load_of(flat, None) == Load("swatch")
    assert load_of(flat, "round", 0.05, True, even=True) == Load("round", 0.05, True, even=True)
    with pytest.raises(InputError, match="add --case round"):
        load_of(flat, None, inside_out=True)


def test_what_is_shaped_is_seen_whole_unless_a_case_is_asked_for() -> None:
    plain, yoke = scene_of(), read_scene(SCENES / "round_yoke.toml")
    assert yoke.shaping is not None
    assert load_of(yoke, None, whole=None) == Load("round", whole=True)
    assert not load_of(yoke, "repeat", whole=None).whole
    assert not load_of(yoke, None).whole
    assert not load_of(plain, None, whole=None).whole
    assert load_of(plain, None, whole=True) == Load("round", whole=True)
    with pytest.raises(InputError, match="'repeat' with --whole"):
        load_of(plain, "repeat", whole=True)


def test_what_is_worked_flat_is_sewn_up_to_be_put_on() -> None:
    """Also where only the command says so; a board takes it flat, and what is cut open is no tube."""
    flat = scene_of(worked="flat")
    worn = worn_as_asked(flat, "Head")
    assert put_on_what(worn, load_of(worn, None), "head", None) == "head"
    assert load_of(worn, None) == Load("round")
    assert worn_as_asked(flat, None) is flat
    cowl = worn_as_asked(flat.model_copy(update={"item": "cowl"}), "head")
    assert load_of(cowl, None, whole=True) == Load("round", whole=True)
    board = worn_as_asked(flat, "board")
    said = (
        "given 'board' for a piece that is worked flat; allowed: head, hand, arm, leg, for which it is sewn up; pin it"
    )
    with pytest.raises(InputError, match=f"--on: {said} out: pinned_cm in washed"):
        put_on_what(board, load_of(board, None), "board", None)
    with pytest.raises(InputError, match="the case 'swatch'; allowed: a tube, the case 'round'; add --case round"):
        put_on_what(worn, load_of(worn, "swatch"), "head", None)
    open_ = worn_as_asked(scene_of(steek={}), "arm")
    with pytest.raises(InputError, match="'arm' for a piece that is cut open; allowed: a tube; take"):
        put_on_what(open_, load_of(open_, None), "arm", None)


def test_what_a_whole_piece_can_not_lie_on_is_refused_before_anything_is_solved() -> None:
    whole = Load("round", whole=True)
    hat = scene_of().model_copy(update={"item": "hat", "on": "leg"})
    for on in (None, "arm"):  # as its scene says, or the command
        with pytest.raises(InputError, match=f"on: given '{on or 'leg'}' for a piece that is drawn up at its top"):
            put_on_what(hat, whole, on, None)
    assert put_on_what(hat, Load("round"), "arm", None) == "arm"
    yoke = read_scene(SCENES / "round_yoke.toml")
    with pytest.raises(InputError, match="'board' for a shaped piece, which isn't as wide all along"):
        put_on_what(yoke, whole, "board", None)
    assert put_on_what(yoke, whole, "arm", None) == "arm"
    assert put_on_what(yoke, Load("round"), "board", None) == "board"


def test_a_scene_that_can_not_be_put_on_what_it_names_is_refused_unless_it_is_looked_at_otherwise() -> None:
    flat = scene_of(worked="flat", on="board")
    with pytest.raises(InputError, match=r"^on: given .board. for a piece that is worked flat"):
        put_on_what(flat, load_of(flat, None), None, None)
    assert put_on_what(flat, load_of(flat, "repeat"), None, None) is None
    tube = scene_of(on="head")
    assert put_on_what(tube, load_of(tube, "swatch"), None, None) is None
    assert put_on_what(tube, load_of(tube, None), None, None) == "head"


@pytest.mark.parametrize("where", ["shoulders", "neck"])
def test_where_yokes_are_worn_is_no_form_and_that_is_said(where: str) -> None:
    said = f"on: given '{where}'; allowed: head, hand, arm, leg, board; what is worn there hangs by its weight"
    with pytest.raises(InputError, match=f"^--{said}"):
        worn_as_asked(scene_of(), where)
    table = scene_of().model_dump(exclude_unset=True, exclude={"source"})
    with pytest.raises(ValidationError, match="hangs by its weight"):
        Scene.model_validate(table | {"on": where})


def test_a_piece_is_made_as_wide_as_is_asked_for() -> None:
    scene = scene_of(chart={"across": 2})
    assert with_across(scene, None) is scene
    assert with_across(scene, 7).chart.across == 7
    assert scene.chart.across == 2


def test_the_parts_of_a_piece_are_counted_by_name() -> None:
    piece = piece_of(read_scene(SCENES / "whole_hat.toml"))
    said = size_words(piece)
    rows = {kind: len(piece.section(kind).rows) for kind in PARTS}
    told = ", ".join(f"{PARTS[kind]} {number}" for kind, number in rows.items() if number)
    assert f" x {sum(rows.values())} rounds ({told})" in said
    assert sum(rows.values()) == sum(len(one.rows) for one in piece.sections)
