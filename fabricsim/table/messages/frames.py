"""Shapes of fabric as binary frames, laid out as ``render.browser.frame`` says."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Any

import numpy as np

from fabricsim.arrays import AnyArray
from fabricsim.render.browser.frame import KINDS, headed, laid_out
from fabricsim.table.messages.heads import HEAD, ShapeHead, ToldArray


def frame(head: Mapping[str, Any], arrays: Mapping[str, AnyArray]) -> bytes:
    """Return a shape's frame with the ``head`` (without its list of arrays) and ``arrays`` by name."""
    parts, body = laid_out(arrays)
    return headed(ShapeHead(**head, arrays=tuple(ToldArray(**part) for part in parts)).model_dump_json(), body)


def unframed(data: bytes) -> tuple[ShapeHead, dict[str, AnyArray]]:
    """Return head and arrays of a frame; raises ValueError for what is none."""
    if len(data) < 4:
        raise ValueError(f"a frame of {len(data)} bytes has no head")
    (size,) = struct.unpack_from("<I", data)
    head = HEAD.validate_json(data[4 : 4 + size])
    arrays = {}
    for one in head.arrays:
        count = int(np.prod(one.shape))
        array = np.frombuffer(data, KINDS[one.dtype], count, 4 + size + one.offset)
        arrays[one.name] = array.reshape(one.shape)
    return head, arrays
