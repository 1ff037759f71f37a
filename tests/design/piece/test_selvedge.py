"""Edge stitches of flat pieces: a selvedge, unless the thing is one that is sewn up."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.finishing import finishing
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.model import Scene
from tests.design.scenes import scene_table


@pytest.mark.parametrize(("item", "sewn"), [(None, False), ("swatch", False), ("cowl", True), ("body", True)])
def test_it_is_sewn_up_or_stays_an_edge(item: str | None, sewn: bool) -> None:
    table = {**scene_table(["A..", ".A."], worked="flat", across=10), "sizes": {"edge_stitches": 4}}
    piece = piece_of(Scene.model_validate(table if item is None else {**table, "item": item}))
    width = piece.scene.gauge.stitch_width
    assert piece.stitches == 34
    assert piece.is_tube == sewn
    assert piece.finished == pytest.approx((30 if sewn else 34) * width)  # what is sewn up is no part of the width
    assert (around_of(piece).seam[1] > 0.0) == sewn
    said = " ".join([*words.before_reading(piece), *finishing(piece, words.letters(piece))])
    assert ("Sew the edges together" in said) == sewn
    assert ("slip the first stitch of every row" in said) != sewn
    assert f"for the {'seam' if sewn else 'selvedge'}" in said
