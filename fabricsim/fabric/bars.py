"""The bars of a cell that carry the moduli of a fabric."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.errors import InputError
from fabricsim.fabric.stiffness import Stiffness, greatest_shear, plane_moduli


@dataclass(frozen=True)
class Bars:
    """Stiffnesses (N/m) of the bars of a cell w x c, and the coupling modulus (N/m), that carry given moduli.

    ``course_part`` and ``wale_part``: how much of the stiffness of a bar is that of the fabric pulled along it, so that
    the fabric, not the bar, is so many times stiffer once its loops lock.
    """

    course: float
    wale: float
    diagonal: float
    coupling: float
    course_part: float
    wale_part: float


def bars_of(stiffness: Stiffness, w: float, c: float, where: str) -> Bars:
    """Return the bars whose homogenised moduli are those of ``stiffness`` for cells ``w`` x ``c`` (m).

    C11 = k_x w/c + 2 k_d w^3/(c (w^2 + c^2)), C22 = k_y c/w + 2 k_d c^3/(w (w^2 + c^2)), G = 2 k_d w c/(w^2 + c^2),
    inverted. Raises InputError, naming ``where``, for a choice that is not positive definite or needs a bar that
    pushes apart.
    """
    across, up, nu = stiffness.stretch_across, stiffness.stretch_up, stiffness.poisson_across
    if nu * nu * up >= across:
        raise InputError(
            f"{where}: fabric.poisson_across",
            f"{nu:g} with {across:g} N/m across and {up:g} N/m up",
            f"less than {np.sqrt(across / up):.3g} here, or the stiffness is not positive definite",
            "lower poisson_across or bring the two stretch stiffnesses nearer each other",
        )
    c11, c22, c12 = plane_moduli(stiffness)
    diagonal = stiffness.shear * (w * w + c * c) / (2.0 * w * c)
    course = (c11 - stiffness.shear * (w / c) ** 2) * c / w
    wale = (c22 - stiffness.shear * (c / w) ** 2) * w / c
    if min(course, wale) <= 0.0:
        most = greatest_shear(across, up, nu, (w / c) ** 2)
        raise InputError(
            f"{where}: fabric.shear_N_per_m",
            f"{stiffness.shear:g} with {across:g} N/m across, {up:g} N/m up and poisson_across {nu:g}",
            f"less than {most:.3g} at this gauge, or the stiffness is not positive definite stitch by stitch",
            "lower the shear stiffness or raise the stretch stiffness",
        )
    return Bars(
        course,
        wale,
        diagonal,
        coupling=c12 - stiffness.shear,
        course_part=across * c / (w * course),
        wale_part=up * w / (c * wale),
    )
