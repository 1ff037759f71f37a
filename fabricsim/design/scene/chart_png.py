"""A chart painted as a PNG, one pixel a stitch."""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from fabricsim.arrays import ChartGrid
from fabricsim.design.scene.chart import ChartSpec
from fabricsim.design.scene.limits import check_size
from fabricsim.design.scene.opened import read_bytes
from fabricsim.design.scene.yarn import Yarn
from fabricsim.errors import InputError

COLOUR_TOLERANCE = 8
"""How far each of red, green and blue (0 to 255) may be off the yarn's. Chosen: no eye tells them apart."""
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
# of the standard (ISO/IEC 15948): numbers to a pixel, by the kind of colour, and the seven passes of interlacing, each
# with its first column and row and the steps between them
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_INTERLACED = (
    (0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)
)  # fmt: skip


def read_png(path: Path, spec: ChartSpec, yarns: Sequence[Yarn], *, where: str, stitch_limit: int) -> ChartGrid:
    """Return the chart painted in the PNG ``path`` as yarn indices.

    A pixel takes the yarn whose colour is within ``COLOUR_TOLERANCE`` in each of red, green and blue, the
    nearest one if there are several. Raises ``InputError`` (at ``where``) for a file that can't be read or
    isn't a PNG, a piece above ``stitch_limit``, yarns of one colour, and a pixel of no yarn's colour.
    """
    data = _read(path, where)
    width, height = struct.unpack(">II", data[16:24])
    check_size(spec.piece_size(height, width), stitch_limit, where)
    pixels_ijk = _decode(data, path, where)
    colours_yk = np.array([yarn.rgb for yarn in yarns], dtype=np.int64)
    for later, yarn in enumerate(yarns):
        same = [other for other in yarns[:later] if other.rgb == yarn.rgb]
        if same:
            raise InputError(
                where,
                f"'{same[0].name}' and '{yarn.name}' in the same colour {yarn.colour}",
                "a colour of its own for each yarn of a painted chart",
                "change one of the two, in the picture too",
            )
    off_ijy = np.stack([np.abs(pixels_ijk[..., :3] - colour_k).max(axis=-1) for colour_k in colours_yk], axis=-1)
    grid_ij = off_ijy.argmin(axis=-1).astype(np.int64)
    strange_ij = (off_ijy.min(axis=-1) > COLOUR_TOLERANCE) | (pixels_ijk[..., 3] < 255)
    if strange_ij.any():
        row, column = np.argwhere(strange_ij[::-1, ::-1])[0]
        red, green, blue, alpha = pixels_ijk[height - 1 - row, width - 1 - column]
        colour = f"#{red:02x}{green:02x}{blue:02x}" if alpha == 255 else "a see-through pixel"
        raise InputError(
            where,
            f"{colour} in row {row + 1}, stitch {column + 1} (from the bottom right)",
            f"the colour of a yarn ({', '.join(yarn.colour for yarn in yarns)}), "
            f"each of red, green and blue within {COLOUR_TOLERANCE}",
            "paint that pixel in a yarn's colour, or add a yarn",
        )
    return np.ascontiguousarray(grid_ij[::-1])


def _read(path: Path, where: str) -> bytes:
    """Return the bytes of the PNG ``path``, its head checked."""
    data = read_bytes(path, where)
    if data[:8] != _SIGNATURE or data[12:16] != b"IHDR" or len(data) < 24:
        raise InputError(where, f"'{path}', which isn't a PNG", "a PNG, one pixel a stitch", "save it as PNG")
    return data


def _decode(data: bytes, path: Path, where: str) -> ChartGrid:
    """Return the pixels, ``(rows, stitches, 4)`` int: red, green, blue and alpha, 0 to 255, top row first."""
    from PIL import Image

    head = struct.unpack(">II", data[16:24])
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # a picture that the library has doubts about is a damaged one to us
            with Image.open(io.BytesIO(data), formats=["PNG"]) as image:
                if image.size != head:  # a second head, whose size nobody has looked at
                    raise ValueError
                if image.mode.startswith("I"):
                    raise InputError(where, f"'{path}' in 16-bit grey", "a PNG of 8 bits a colour", "save it in 8 bits")
                if _pixel_bytes(data, _scanned(data)) < _scanned(data):
                    raise ValueError
                return np.asarray(image.convert("RGBA"), dtype=np.int64)
    except (OSError, SyntaxError, ValueError, struct.error, zlib.error, Warning, Image.DecompressionBombError):
        raise InputError(where, f"'{path}', a damaged PNG", "a PNG that can be opened", "save it afresh") from None


def _scanned(data: bytes) -> int:
    """Return how many bytes the pixels of a PNG come to, unpacked: a filter byte and the packed pixels of each line."""
    width, height, depth, kind, _, _, interlaced = struct.unpack(">IIBBBBB", data[16:29])
    bits = depth * _CHANNELS[kind]
    passes = _INTERLACED if interlaced else ((0, 0, 1, 1),)
    sizes = [((width - x + dx - 1) // dx, (height - y + dy - 1) // dy) for x, y, dx, dy in passes]
    return sum(lines * (1 + (across * bits + 7) // 8) for across, lines in sizes if across > 0)


def _pixel_bytes(data: bytes, most: int) -> int:
    """Return how many bytes of pixels, ``most`` at the most, are in a PNG: the library takes what is missing for 0."""
    packed, place = [], len(_SIGNATURE)
    while place + 8 <= len(data):
        length, kind = struct.unpack(">I4s", data[place : place + 8])
        if kind == b"IDAT":
            packed.append(data[place + 8 : place + 8 + length])
        place += 12 + length
    return len(zlib.decompressobj().decompress(b"".join(packed), most))
