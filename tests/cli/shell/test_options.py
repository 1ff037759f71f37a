"""How a fabric is looked at, as it was asked for and as the scene says."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.cli.shell.options import Load, load_of, with_across
from fabricsim.cli.words.measures import PARTS, size_words
from fabricsim.design.piece.making import piece_of
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
