"""The whole hat, from cast-on to the drawn-up top, comes to rest."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fabricsim.arrays import Floats
from fabricsim.design.piece.leads import leads_of
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.shaped_piece import shaped_rows
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.errors import InputError
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.rib import RIB_WIDTH
from fabricsim.fabric.setup import case_floats
from fabricsim.fabric.whole import WholeFabric, set_up_whole

SCENES = Path(__file__).parents[2] / "scenes"


@pytest.fixture(scope="module")
def scene() -> Scene:
    return read_scene(SCENES / "whole_hat.toml")


@pytest.fixture(scope="module")
def hat(scene: Scene) -> WholeFabric:
    return set_up_whole(scene)


def girth_i(hat: WholeFabric, x_nc: Floats) -> Floats:
    """Return the way round each row from stitch to stitch, over that of as many plain stitches."""
    mesh = hat.fabric.mesh
    rows = []
    for row in range(len(hat.rows.rows)):
        ring = x_nc[mesh.row_n == row]
        way = np.linalg.norm(np.roll(ring, -1, axis=0)[:-1] - ring[:-1], axis=1).mean()
        rows.append(way / mesh.stitch_width)
    return np.array(rows)


def test_it_is_what_its_pattern_tells(hat: WholeFabric) -> None:
    piece, mesh = hat.piece, hat.fabric.mesh
    assert [len(row) for row in hat.rows.rows] == [row.after for row in piece.rows]
    assert mesh.rows == len(list(piece.rows)) + 1  # and the yarn that draws it up
    assert len(mesh.rest_nc) == sum(row.after for row in piece.rows) + 1
    assert [row.name for row in hat.rows.rows][:1] == ["rib, round 1"]
    chart = slice(len(piece.section("rib").rows) + len(piece.section("adjusting").rows), None)
    scene_rows = [tuple(row) for row in piece.scene.piece_rows()]
    assert [row.yarns for row in hat.rows.rows[chart]][: len(scene_rows)] == scene_rows


def test_its_floats_are_those_of_its_chart_and_of_the_joins_to_what_is_around_it(hat: WholeFabric) -> None:
    piece = hat.piece
    above = len(piece.section("rib").rows) + len(piece.section("adjusting").rows)
    own, around = case_floats(piece.scene, "round"), leads_of(piece)
    assert own
    counted = {(one.yarn, above + one.row, one.start, one.gap) for one in (*own, *around)}
    assert {(one.yarn, one.row, one.start, one.gap) for one in hat.fabric.floats} == counted
    mesh = hat.fabric.mesh
    for one, (left, right) in zip(hat.fabric.floats, mesh.floats.node_f2.tolist(), strict=True):
        assert (mesh.row_n[right], mesh.column_n[right]) == (one.row, one.start)  # worked from the right
        assert (mesh.row_n[left], mesh.column_n[left]) == (one.end_row, one.end)


def test_without_floats_it_takes_no_step(hat: WholeFabric) -> None:
    """Though the last rounds of its crown are squeezed by a quarter: its moduli hold together there too."""
    empty = tuple(one for one in hat.fabric.floats if one.gap > 99)
    mesh = hat.fabric.mesh
    table = mesh.floats
    none = type(table)(**{name: value[:0] for name, value in vars(table).items()})
    rest = come_to_rest(replace(hat.fabric, floats=empty, mesh=replace(mesh, floats=none)))
    assert rest.effort.steps == 0
    assert np.array_equal(rest.x_nc, mesh.rest_nc)


def test_it_closes_at_the_top_and_is_drawn_in_by_its_rib(hat: WholeFabric) -> None:
    mesh, standing = hat.fabric.mesh, hat.fabric.mesh.standing
    assert standing is not None
    last = standing.leg_b2[standing.leg_b2[:, 1] == standing.apex, 0]
    far = np.linalg.norm(mesh.rest_nc[last] - mesh.rest_nc[standing.apex], axis=1)
    assert far.max() < 1.5 * mesh.stitch_width
    share_i, rib = girth_i(hat, mesh.rest_nc), len(hat.piece.section("rib").rows)
    assert share_i[: rib // 2].mean() == pytest.approx(RIB_WIDTH, rel=0.06)  # the hat above holds it open
    chart = rib + len(hat.piece.section("adjusting").rows)
    assert share_i[chart] < 0.97  # the rib draws in the first rounds above it
    assert share_i[chart + 8 : chart + 16] == pytest.approx(1.0, abs=0.015)  # and lets go higher up
    for row in range(mesh.rows - 12, mesh.rows - 1):  # its top lies smooth, no ring of it higher here than there
        assert np.ptp(mesh.rest_nc[mesh.row_n == row, 1]) < 1.5 * mesh.row_height


@pytest.mark.parametrize("slack", [None, -0.05])
def test_it_comes_to_rest_in_few_factorisations(hat: WholeFabric, scene: Scene, slack: float | None) -> None:
    hat = hat if slack is None else set_up_whole(scene, slack=slack)
    rest = come_to_rest(hat.fabric)
    assert hat.search.factorisations + rest.effort.factorisations <= 20
    assert crossing_cells(hat.fabric.mesh, rest.state) == 0
    if slack is not None:
        share_i, plain_i = girth_i(hat, rest.x_nc), girth_i(hat, hat.fabric.mesh.rest_nc)
        chart = len(hat.piece.section("rib").rows) + len(hat.piece.section("adjusting").rows)
        assert (share_i / plain_i)[chart + 5 : chart + 14].mean() < 0.995  # tight floats draw it in
        assert (share_i / plain_i)[-12:].mean() == pytest.approx(1.0, abs=0.01)  # and not the crown


def test_a_hat_worked_flat_is_sewn_up_and_drawn_together(scene: Scene) -> None:
    """Its wedges lie flat in no way. No float crosses the seam, as none was carried over it."""
    given = scene.model_dump(exclude_unset=True, exclude={"source"}) | {"worked": "flat"}
    hat = set_up_whole(Scene.model_validate(given))
    mesh = hat.fabric.mesh
    assert (mesh.case, hat.rows.tube, hat.rows.seamed, hat.rows.drawn) == ("round", True, True, True)
    assert not any(one.crosses for one in hat.fabric.floats)
    assert all(one.row == one.end_row for one in hat.fabric.floats)
    joined = mesh.neighbour_n4[(mesh.column_n == 0) & (mesh.row_n == 5), 0]
    assert (mesh.row_n[joined], mesh.column_n[joined]) == (
        6,
        mesh.stitches - 1,
    )  # the seam
    cowl = given | {"item": "cowl"}
    cowl.pop("sizes")
    assert set_up_whole(Scene.model_validate(cowl)).fabric.mesh.case == "swatch"
    worn = set_up_whole(Scene.model_validate(cowl | {"on": "head"}))
    assert (worn.fabric.mesh.case, worn.rows.seamed, worn.rows.drawn) == ("round", True, False)


def test_edge_stitches_go_into_the_seam(scene: Scene) -> None:
    """Sewn up it is as many stitches round as in the round; only what is knit all along can go into it."""
    given = scene.model_dump(exclude_unset=True, exclude={"source"}) | {"worked": "flat"}
    piece = piece_of(Scene.model_validate(given))
    rows = shaped_rows(piece)
    chart = len(piece.section("rib").rows) + 5
    assert len(rows.rows[chart]) == len(scene.piece_rows()[0]) == piece.stitches - 2
    assert rows.yarn_ij[chart] in {tuple(row) for row in scene.piece_rows()}
    assert len(rows.rows[-1]) == piece.last.after - 2
    with pytest.raises(ValueError, match="only what is knit at the edge"):
        rows.rows[-1].within(4, 0)


def test_a_steek_is_told(scene: Scene) -> None:
    given = scene.model_dump(exclude_unset=True, exclude={"source"})
    given["item"] = "cowl"
    given.pop("sizes")
    given["steek"] = {"stitches": 5}
    with pytest.raises(InputError, match="a steek; allowed: none for the whole piece"):
        set_up_whole(Scene.model_validate(given))
