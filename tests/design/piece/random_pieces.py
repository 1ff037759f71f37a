"""Pieces of all sorts, drawn at random from a seed: items, ribs, seams, crowns, sizes."""

from __future__ import annotations

from random import Random
from typing import Any

from fabricsim.cli.shell.options import with_across
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.scene.items import KINDS
from fabricsim.design.scene.model import Scene
from fabricsim.design.sizes.every_size import without_forecast
from fabricsim.design.sizes.fits import FITS
from tests.design.scenes import scene_table

SYMBOLS = ".ABC"
YARNS = [
    {"symbol": symbol, "name": name, "colour": "#102030", "tex": 500}
    for symbol, name in zip(SYMBOLS, ("oat", "pine", "rust", "sky"), strict=True)
]


def random_scene(seed: int) -> Scene:
    """Return a scene of one to four yarns and any item, with what it may say under ``[sizes]``."""
    at = Random(seed)
    yarns, rows, stitches = at.randint(1, 4), at.randint(1, 8), at.randint(1, 12)
    chart = ["".join(at.choices(SYMBOLS[:yarns], k=stitches)) for _ in range(rows)]
    table: dict[str, Any] = scene_table(
        chart,
        worked=at.choice(["round", "flat"]),
        yarns=YARNS,
        across=at.randint(1, max(1, 120 // stitches)),
        up=at.randint(1, 3),
        plain_below=at.randint(0, 4),
        plain_above=at.randint(0, 4),
        plain_yarn=at.choice(SYMBOLS[:yarns]),
    )
    item = at.choice([None, *KINDS])
    if item is not None:
        table["item"] = item
    said = {
        "rib": at.choice(["1x1", "2x2", "3x1", "1x3", "none"]),
        "rib_cm": at.choice([0.3, 2.0, 4.5]),
        "rib_fewer_percent": at.choice([0, 7.5, 12, 30]),
        "crown": at.choice([True, False]),
        "crown_every": at.randint(1, 4),
        "plain_rounds": at.randint(0, 9),
        "ease_percent": at.randint(-10, 10),
    }
    if table["worked"] == "flat":
        said["edge_stitches"] = at.randint(0, 4)
    table["sizes"] = {key: value for key, value in said.items() if at.random() < 0.5}
    return Scene.model_validate(table)


def random_piece(seed: int) -> WholePiece:
    """Return the piece of a random scene, in one of its sizes where it has any."""
    scene = random_scene(seed)
    sizes = [one for one in without_forecast(scene).sizes if one.counted] if scene.item in FITS else []
    if not sizes or seed % 3 == 0:
        return piece_of(scene)
    one = Random(seed).choice(sizes)
    assert one.counted is not None
    return piece_of(with_across(scene, one.counted.repeats), one)
