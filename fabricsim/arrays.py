"""What arrays hold, by name, and the little that is worked out of vectors everywhere.

The last letters of an array's name say what each axis counts: ``x_nc`` is nodes by coordinates.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any, TypeAlias, TypeVar

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
Complexes: TypeAlias = NDArray[np.complex128]
"""Waves: how far, and in which phase."""
Mask: TypeAlias = NDArray[np.bool_]
"""Which of them."""
AnyArray: TypeAlias = NDArray[Any]
"""An array of whatever kind, on its way into a file or to another program."""

NULL = 1e-15
"""Length below which a vector has no direction, m: that of an atom's nucleus (chosen)."""


Real = TypeVar("Real", Floats, Singles)


def dot(a_kc: Floats, b_kc: Floats) -> Floats:
    """Return the scalar products (...,) of two arrays of vectors (..., 3).

    >>> dot(np.eye(3), np.array([[2.0, 0.0, 0.0]]))
    array([2., 0., 0.])
    """
    product_k: Floats = np.einsum("...c,...c->...", a_kc, b_kc)
    return product_k


def cross(a_kc: Real, b_kc: Real) -> Real:
    """Return the vector products of two (..., 3) arrays; for few vectors much quicker than numpy's own.

    >>> cross(np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]))
    array([0., 0., 1.])
    """
    ax, ay, az = a_kc[..., 0], a_kc[..., 1], a_kc[..., 2]
    bx, by, bz = b_kc[..., 0], b_kc[..., 1], b_kc[..., 2]
    product: Real = np.empty(np.broadcast(a_kc, b_kc).shape, dtype=a_kc.dtype)
    product[..., 0] = ay * bz - az * by
    product[..., 1] = az * bx - ax * bz
    product[..., 2] = ax * by - ay * bx
    return product


def norms(vector_kc: Floats) -> Floats:
    """Return the lengths (...,) of vectors (..., 3)."""
    length_k: Floats = np.sqrt(dot(vector_kc, vector_kc))
    return length_k


def unit(vector_kc: Floats) -> Floats:
    """Return vectors (..., 3) at length one; a null vector, as between doubled points, stays null."""
    scaled: Floats = vector_kc / np.maximum(norms(vector_kc), NULL)[..., None]
    return scaled


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


def largest(value: Floats) -> float:
    """Return the largest component in size, 0 for none."""
    return float(np.abs(value).max(initial=0.0))
