"""Binary frames: a head in JSON, then arrays, little-endian, each beginning at a multiple of four bytes.

uint32, little-endian   bytes of the head, a multiple of four
the head                JSON in UTF-8, spaces at its end
the arrays              one after another, zeros between
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Any

import numpy as np

from fabricsim.arrays import AnyArray
from fabricsim.table.messages.heads import HEAD, ShapeHead, ToldArray

_KINDS = {"f4": "<f4", "i4": "<i4", "i2": "<i2", "i1": "|i1", "u1": "|u1"}
_NAMES = {np.dtype(kind): name for name, kind in _KINDS.items()}


def frame(head: Mapping[str, Any], arrays: Mapping[str, AnyArray]) -> bytes:
    """Return a shape's frame with the ``head`` (without its list of arrays) and ``arrays`` by name."""
    told: list[ToldArray] = []
    parts: list[bytes] = []
    offset = 0
    for name, array in arrays.items():
        data = np.ascontiguousarray(array).astype(_KINDS[_NAMES[array.dtype.newbyteorder("<")]], copy=False).tobytes()
        told.append(ToldArray(name=name, dtype=_NAMES[array.dtype.newbyteorder("<")], shape=array.shape, offset=offset))
        padded = data + bytes(-len(data) % 4)
        parts.append(padded)
        offset += len(padded)
    text = ShapeHead(**head, arrays=tuple(told)).model_dump_json().encode()
    text += b" " * (-len(text) % 4)
    return b"".join([struct.pack("<I", len(text)), text, *parts])


def unframed(data: bytes) -> tuple[ShapeHead, dict[str, AnyArray]]:
    """Return head and arrays of a frame."""
    (size,) = struct.unpack_from("<I", data)
    head = HEAD.validate_json(data[4 : 4 + size])
    arrays = {}
    for one in head.arrays:
        count = int(np.prod(one.shape))
        array = np.frombuffer(data, _KINDS[one.dtype], count, 4 + size + one.offset)
        arrays[one.name] = array.reshape(one.shape)
    return head, arrays
