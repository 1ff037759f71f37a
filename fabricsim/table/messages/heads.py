"""Heads of the binary frames in which shapes of fabric are sent."""

from __future__ import annotations

from typing import Literal

from pydantic import TypeAdapter

from fabricsim.design.scene.choices import Case
from fabricsim.table.messages.base import Pair, Told


class ToldArray(Told):
    """An array of a frame: little-endian, row by row, ``offset`` bytes behind the head; a multiple of four."""

    name: str
    dtype: Literal["f4", "i4", "i2", "i1", "u1"]
    shape: tuple[int, ...]
    offset: int


class ShapeHead(Told):
    """Head of a shape of fabric.

    ``rest``: whether it is at rest, else it is settling, at ``step``. ``apart``: whether yarns were kept apart.
    ``topology``: all frames of one number have the same yarn, in the same order, and only the first of them to a page
    carries the arrays marked T. ``thickness_mm`` of the yarn. ``bare``: plain fabric, nothing pulls.

    Arrays: ``point`` f4 (p, 3) mm, middles of the yarn; ``normal`` i1 (p, 4): unit normal of the yarn's frame times
    127, and its share of the thickness times 127; ``place`` f4 (n, 3) mm, the stitches; ``face`` i1 (n, 4): their
    normals times 127, and 0; ``pull`` f4 (f,) cN, of floats; ``height`` f4 (n,) mm off the smooth base, at rest alone.
    T ``first`` i4 (s + 1,): where strands begin; T ``yarn`` u1 (s,); T ``stitch`` i4 (p,): the stitch that a point
    belongs to or lies nearest to; T ``float`` i4 (p,): the float that it is part of, or -1; T ``cell`` i4 (n, 4): row
    and column in the piece, row and column in the chart, the last two -1 in plain rows; T ``ends`` i4 (f, 2):
    stitches between which a float runs, left and right; T ``floats`` i4 (f, 2): yarn, and stitches that it passes.
    """

    kind: Literal["shape"] = "shape"
    revision: int
    which: Literal["first", "second"]
    case: Case
    rest: bool
    apart: bool
    step: int
    topology: int
    thickness_mm: float
    stitch_mm: Pair
    window_mm: tuple[float, float, float, float] | None
    arrays: tuple[ToldArray, ...]


HEAD: TypeAdapter[ShapeHead] = TypeAdapter(ShapeHead)
