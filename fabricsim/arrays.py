"""What arrays hold, by name. Their last letters say what each axis counts: ``x_nc`` is nodes by coordinates."""

from __future__ import annotations

from dataclasses import fields
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
"""Quantities, in SI units."""
Singles: TypeAlias = NDArray[np.float32]
"""Quantities of pictures and models, where half the memory counts more than the last digits."""
Ints: TypeAlias = NDArray[np.intp]
"""Numbers of nodes, stitches, floats: what other arrays are indexed with."""
Indices: TypeAlias = NDArray[np.int32]
"""Numbers as libraries for sparse matrices and for pictures want them."""
ChartGrid: TypeAlias = NDArray[np.int64]
"""A chart, ``(rows, stitches)``: which yarn makes each stitch. Row 0 is the bottom, column 0 the face's left."""
Mask: TypeAlias = NDArray[np.bool_]
"""Which of them."""


class ArrayRecord:
    """Base of frozen dataclasses that hold arrays: two are equal if all they hold is, ``nan`` too, and a record is told
    in one line, its arrays by their shapes.

    Declare them with ``@dataclass(frozen=True, eq=False, repr=False)``: what a dataclass makes itself raises where it
    compares arrays, and prints every number.

    >>> from dataclasses import dataclass
    >>> @dataclass(frozen=True, eq=False, repr=False)
    ... class Row(ArrayRecord):
    ...     width_n: Floats
    >>> Row(np.zeros(96))
    Row(width_n=96)
    >>> Row(np.zeros(96)) == Row(np.zeros(96))
    True
    """

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        return self is other or all(_same(mine, theirs) for mine, theirs in zip(_held(self), _held(other), strict=True))

    def __hash__(self) -> int:
        """Return a hash of the shapes alone: equal records have the same, and no array is read through for it."""
        return hash((type(self), *(value.shape for value in _held(self) if isinstance(value, np.ndarray))))

    def __repr__(self) -> str:
        told = (f"{one.name}={_told(getattr(self, one.name))}" for one in fields(self) if one.repr)  # type: ignore[arg-type]
        return f"{type(self).__name__}({', '.join(told)})"


def _held(record: object) -> list[object]:
    return [getattr(record, one.name) for one in fields(record) if one.compare]  # type: ignore[arg-type]


def _same(one: object, other: object) -> bool:
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        return np.array_equal(one, other, equal_nan=one.dtype.kind == "f")
    return one is other or bool(one == other)


def _told(value: object) -> str:
    if isinstance(value, np.ndarray):
        return " x ".join(map(str, value.shape))
    return f"{len(value)} of them" if isinstance(value, tuple) and len(value) > 3 else repr(value)
