"""Inside the package everything is SI (m, N, kg, s); these are the only conversions at its edges, and gravity."""

from __future__ import annotations

CM = 0.01
"""One centimetre, m."""
MM = 0.001
"""One millimetre, m."""
INCH = 0.0254
"""One inch, m (exact, international yard and pound agreement of 1959)."""
YARD = 0.9144
"""One yard, m (exact, the same agreement)."""
MM_PER_INCH = 25.4
"""The same in mm, in which paper is measured."""
PER_10_CM = 0.1
"""The length over which a gauge is counted, m."""
PER_4_INCHES = 0.1016
"""The same in inches, m (derived)."""
TEX = 1e-6
"""One tex (one gram per kilometre), kg/m. ISO 1144:2016."""
GRAM = 0.001
"""One gram, kg."""
CENTINEWTON = 0.01
"""One centinewton, N: about the weight of a gram."""
MICROJOULE = 1e-6
"""One microjoule, J."""
MICRONEWTON_METRE = 1e-6
"""One uN.m, N.m: the usual unit of a fabric's bending rigidity per width."""
PER_CENT = 0.01
"""One per cent, as a share."""
GRAVITY = 9.81
"""m/s2; the usual rounding of standard gravity."""


def tex_of_metres_per_100_g(metres: float) -> float:
    """Return the linear density in tex of a yarn with so many ``metres`` to 100 g (ISO 1144:2016).

    >>> tex_of_metres_per_100_g(200.0)
    500.0
    """
    return 1e5 / metres
