"""Floats into the chart and out of it, counted by a knitter who goes on past its first and last round."""

from __future__ import annotations

import pytest

from fabricsim.cli.words.leads import leads_counted, leads_to_catch
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.piece.leads import leads_of
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of, rows_around
from fabricsim.design.scene.model import Scene
from tests.design.piece.random_pieces import random_piece
from tests.design.scenes import scene_table
from tests.design.walker import in_the_round

NAMES = {0: "MC", 1: "CC"}


def test_with_them_all_floats_of_200_random_pieces_are_counted() -> None:
    seen = 0
    for seed in range(200):
        piece = random_piece(seed)
        scene, found = piece.scene, leads_of(piece)
        if scene.cut_open:
            assert found == ()
            continue
        below, above = rows_around(piece)
        sections = [one.kind for one in piece.sections]
        at, wide = sections.index("chart"), len(scene.piece_rows()[0])
        under = [[piece.sections[at - 1].rows[-1].yarn] * wide] if below else []
        over = [[piece.sections[at + 1].rows[0].yarn] * wide] if above else []
        walked = sorted(in_the_round([*under, *scene.piece_rows(), *over]))
        told = [(one.yarn, one.row + below, one.start, -1, one.gap) for one in (*floats(scene), *found)]
        assert sorted(told) == walked
        seen += len(found)
    assert seen > 7


def made(rows: list[str], **more: object) -> Scene:
    return Scene.model_validate({**scene_table(rows, across=8), "item": "hat", "sizes": {"plain_rounds": 0}, **more})


def test_what_is_over_the_limits_is_caught_there_and_its_yarn_is_counted() -> None:
    scene = made(["AAAAAAA.", "AAAAAAA."], floats={"longest_gap": 3})
    piece = piece_of(scene)
    (one,) = leads_of(piece)  # from the last oat stitch of round 2, at its right, to the crown; into round 1 it is next
    assert (one.yarn, one.row, one.gap) == (0, 1, 7)
    assert leads_counted(piece) == [
        "Besides, oat floats from round 2 into the round above it, behind 7 stitches, 3.7 cm."
    ]
    assert leads_to_catch(piece, NAMES) == [
        "MC also floats from round 2 into the round above it, behind 7 stitches, 3.7 cm, over your limit: catch it "
        "there behind the 4th of the last 7 stitches of round 2."
    ]
    around = around_of(piece)
    width = scene.gauge.stitch_width
    assert around.leads == {0: pytest.approx(7.0 * width)}  # a stitch width each, its slack being nothing
    oat = yarn_amounts(scene, around=around).yarns[0]
    alone = sum(one.span - width for one in floats(scene) if one.yarn == 0)
    assert oat.floats == pytest.approx(alone + 7.0 * width)


def test_from_the_rib_into_the_chart() -> None:
    scene = made([".AAAAAAA", ".AAAAAAA"], floats={"longest_gap": 3})
    (said,) = leads_to_catch(piece_of(scene), NAMES)
    assert said.startswith("MC also floats from the round below into round 1, behind 7 stitches")
    assert said.endswith("behind the 4th of the first 7 stitches of round 1.")
    assert leads_to_catch(piece_of(made(["A......."])), NAMES) == []


def test_with_a_plain_round_of_its_own_above_it_is_the_scene_s() -> None:
    table = scene_table(["AAAAAAA."], across=8, plain_above=1)
    assert leads_of(piece_of(Scene.model_validate({**table, "item": "hat", "sizes": {"rib": "none"}}))) == ()
