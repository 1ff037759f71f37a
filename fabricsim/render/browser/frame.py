"""Arrays as bytes for a browser: a head in JSON, then the arrays, little-endian, each beginning at a multiple of four.

uint32, little-endian   bytes of the head, a multiple of four
the head                JSON in UTF-8, spaces at its end; its ``arrays`` say where each lies
the arrays              one after another, zeros between
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Literal, TypedDict

import numpy as np

from fabricsim.arrays import AnyArray

Kind = Literal["f4", "i4", "i2", "i1", "u1"]
KINDS: dict[Kind, str] = {"f4": "<f4", "i4": "<i4", "i2": "<i2", "i1": "|i1", "u1": "|u1"}
"""What an array may hold, and what numpy calls it."""
_NAMES = {np.dtype(kind): name for name, kind in KINDS.items()}


class LaidArray(TypedDict):
    """Where an array lies: ``offset`` bytes behind the head."""

    name: str
    dtype: Kind
    shape: tuple[int, ...]
    offset: int


def laid_out(arrays: Mapping[str, AnyArray]) -> tuple[list[LaidArray], bytes]:
    """Return where each of the ``arrays`` lies, for the head, and all of them one after another."""
    parts: list[LaidArray] = []
    body: list[bytes] = []
    offset = 0
    for name, array in arrays.items():
        kind = _NAMES[array.dtype.newbyteorder("<")]
        data = np.ascontiguousarray(array).astype(KINDS[kind], copy=False).tobytes()
        parts.append({"name": name, "dtype": kind, "shape": array.shape, "offset": offset})
        body.append(data + bytes(-len(data) % 4))
        offset += len(body[-1])
    return parts, b"".join(body)


def headed(head: str, body: bytes) -> bytes:
    """Return the frame of a ``head`` in JSON and the arrays behind it."""
    text = head.encode()
    text += b" " * (-len(text) % 4)
    return struct.pack("<I", len(text)) + text + body
