"""Where a share of all pieces to come lies, as the pieces at hand tell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fabricsim.arrays import Floats


def quantiles(value_k: Floats, share_s: Sequence[float] | Floats) -> Floats:
    """Return the quantiles of values (k,) or (k, i) at shares (s,), as (s,) or (s, i).

    That at a share s is the value of rank s (k + 1), which a further piece lies below in s of all cases (Weibull's
    plotting position, memory); never beyond the least and the greatest.

    >>> quantiles(np.arange(1.0, 20.0), (0.05, 0.5, 0.95))
    array([ 1., 10., 19.])
    """
    return np.asarray(np.quantile(value_k, share_s, axis=0, method="weibull"))
