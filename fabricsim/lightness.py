"""How light a colour looks, on the scale from black (0) to white (100) that painters would agree with."""

from __future__ import annotations

_LUMINANCE = (0.2126, 0.7152, 0.0722)
"""Shares of red, green and blue in luminance, white = 1 (IEC 61966-2-1: sRGB)."""


def lightness(rgb: tuple[int, int, int]) -> float:
    """Return CIE L*, 0 (black) to 100 (white), of an sRGB colour, each part 0 to 255.

    First the screen's coding is undone (IEC 61966-2-1), then L* = 116 f(Y) - 16 of the luminance Y, white being 1,
    with f its cube root, and a straight line for the darkest (ISO/CIE 11664-4).
    """
    luminance = sum(share * _linear(part / 255.0) for share, part in zip(_LUMINANCE, rgb, strict=True))
    if luminance > (6.0 / 29.0) ** 3:
        return float(116.0 * luminance ** (1.0 / 3.0) - 16.0)
    return (29.0 / 3.0) ** 3 * luminance


def _linear(coded: float) -> float:
    """Return the light of one part of an sRGB colour, both 0 to 1."""
    return coded / 12.92 if coded <= 0.04045 else float(((coded + 0.055) / 1.055) ** 2.4)
