"""Routines of LAPACK and BLAS, called so that other threads go on meanwhile.

scipy.linalg.lapack holds Python's lock for as long as LAPACK works, so that two fabrics solved side by side would wait
for each other, and a progress bar or a server for both. The same routines of the same library, which scipy hands to
compiled code (``scipy.linalg.cython_lapack``), are called through ctypes here, which lets go of the lock.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cython_blas, cython_lapack, lapack

from fabricsim.mechanics.factors.kinds import Kind

LETTER: dict[Kind, str] = {np.float32: "s", np.float64: "d"}
"""With which the names of LAPACK's routines begin."""

_INT = ctypes.POINTER(ctypes.c_int)
_ARRAY = ctypes.c_void_p
_FACTORISE = (ctypes.c_char_p, _INT, _INT, _ARRAY, _INT, _INT)
_SOLVE = (ctypes.c_char_p, _INT, _INT, _INT, _ARRAY, _INT, _ARRAY, _INT, _INT)

_signature = ctypes.PYFUNCTYPE(ctypes.c_char_p, ctypes.py_object)(("PyCapsule_GetName", ctypes.pythonapi))
_address = ctypes.PYFUNCTYPE(ctypes.c_void_p, ctypes.py_object, ctypes.c_char_p)(
    ("PyCapsule_GetPointer", ctypes.pythonapi)
)


def cholesky(upper: NDArray[Any]) -> tuple[NDArray[Any], int]:
    """Return the Cholesky factor of a symmetric band (half + 1, m), and 0 or the number of the first pivot that is not
    positive.

    ``upper``: its upper half in Fortran's order, float32 or float64, as LAPACK's ``pbtrf`` takes it; overwritten.
    """
    routine = _handed(f"{LETTER[upper.dtype.type]}pbtrf", _FACTORISE)
    if routine is None:
        factor, info = getattr(lapack, f"{LETTER[upper.dtype.type]}pbtrf")(upper, lower=0, overwrite_ab=1)
        return factor, int(info)
    high, size = upper.shape
    info = ctypes.c_int(0)
    routine(b"U", ctypes.c_int(size), ctypes.c_int(high - 1), upper.ctypes.data, ctypes.c_int(high), info)
    return upper, info.value


def solved(factor: NDArray[Any], right_mb: NDArray[Any]) -> NDArray[Any]:
    """Return the solution (m, b) for right sides (m, b), in Fortran's order and of the factor's kind; overwritten."""
    routine = _handed(f"{LETTER[factor.dtype.type]}pbtrs", _SOLVE)
    if routine is None:
        answer, info = getattr(lapack, f"{LETTER[factor.dtype.type]}pbtrs")(factor, right_mb, lower=0, overwrite_b=1)
        assert info == 0
        return np.asarray(answer)
    (high, size), sides = factor.shape, right_mb.shape[1]
    wrong = ctypes.c_int(0)
    long = ctypes.c_int(size)
    routine(
        b"U",
        long,
        ctypes.c_int(high - 1),
        ctypes.c_int(sides),
        factor.ctypes.data,
        ctypes.c_int(high),
        right_mb.ctypes.data,
        long,
        wrong,
    )
    assert wrong.value == 0
    return right_mb


@lru_cache(maxsize=4)
def _handed(name: str, takes: tuple[Any, ...]) -> Callable[..., None] | None:
    """Return a routine of LAPACK as scipy hands it out; None where its integers are not C's, or it is not there."""
    found = address(name, sum(one is _INT for one in takes))
    return None if found is None else ctypes.CFUNCTYPE(None, *takes)(found)


def address(name: str, ints: int) -> int | None:
    """Return where a routine of LAPACK or BLAS lies, handed so many numbers of C's int; None where its integers are not
    C's, or it is not there."""
    capsule = cython_lapack.__pyx_capi__.get(name) or cython_blas.__pyx_capi__.get(name)
    if capsule is None:
        return None
    signature = _signature(capsule)
    return _address(capsule, signature) if signature.count(b"int *") == ints else None
