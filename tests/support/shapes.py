"""Shaped rows of our own invention: crowns, cones, and whatever chance makes."""

from __future__ import annotations

import numpy as np

from fabricsim.design.rows.shaped import ShapedRow, ShapedRows, knitted
from fabricsim.design.scene.made import Made
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.shaped_mesh import build_shaped_mesh
from tests.support.meshes import HEIGHT, WIDTH, WORSTED


def plain_rows(stitches: int, rows: int) -> list[ShapedRow]:
    """Return so many plain rounds."""
    return [knitted(f"round {number}", ["k"] * stitches, 0) for number in range(1, rows + 1)]


def crown_rows(wedges: int, wedge: int, every: int, *, below: int = 1, last: int = 1) -> ShapedRows:
    """Return a crown of so many wedges that decreases one stitch of each in one of ``every`` rounds, drawn together
    when a wedge has ``last`` left; ``below`` plain rounds before it."""
    rows = plain_rows(wedges * wedge, below)
    while wedge > last:
        rows += plain_rows(wedges * wedge, every - 1)
        turn: list[Made] = [*["k"] * (wedge - 2), "k2tog"]  # type: ignore[list-item]
        rows.append(knitted(f"round {len(rows) + 1}", turn * wedges, 0))
        wedge -= 1
    return ShapedRows(tuple(rows), tube=True, drawn=True)


def random_rows(seed: int, tube: bool) -> ShapedRows:
    """Return some rows with decreases and increases of all kinds, in places drawn by chance, in two yarns."""
    rng = np.random.default_rng(seed)
    rows = [ShapedRow("round 1", ("k",) * 12, (0,) * 12)]
    while len(rows) < 8:
        left, made = len(rows[-1]), list[Made]()
        while left:
            kind: Made = rng.choice(["k", "k", "k", "k", "k2tog", "ssk", "cdd", "m1l", "m1r", "m1"])
            takes = {"k2tog": 2, "ssk": 2, "cdd": 3}.get(kind, 0 if kind.startswith("m1") else 1)
            if takes > left or (takes == 0 and (not made or made[-1].startswith("m1"))):
                continue
            made.append(kind)
            left -= takes
        if len(made) < 5:
            continue  # too few for a sheet of fabric
        yarns = tuple(int(one) for one in rng.integers(0, 2, len(made)))
        rows.append(ShapedRow(f"round {len(rows) + 1}", tuple(reversed(made)), yarns))
    return ShapedRows(tuple(rows), tube=tube, drawn=tube and len(rows[-1]) <= 12 and bool(rng.integers(2)))


def mesh_of_rows(piece: ShapedRows) -> Mesh:
    """Return the mesh of shaped rows without floats."""
    return build_shaped_mesh(piece, (), WORSTED, stitch_width=WIDTH, row_height=HEIGHT)[0]
