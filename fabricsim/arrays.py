"""What arrays hold, by name. Their last letters say what each axis counts: ``x_nc`` is nodes by coordinates."""

from __future__ import annotations

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
