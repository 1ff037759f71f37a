"""The few colours of paper and print, and the empty figures that plots are drawn on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from fabricsim.arrays import Floats

Rgb = tuple[int, int, int]
"""Red, green and blue as sRGB codes them, 0 to 255."""
Shares = tuple[float, float, float]
"""The same, 0 to 1, as matplotlib takes them."""
Colour = str | tuple[float, ...]
"""Any colour that matplotlib takes."""

PAPER: Rgb = (247, 244, 238)
"""Colour of the paper behind fabric, sheets and plots (chosen: a quiet warm white)."""
WHITE: Rgb = (255, 255, 255)
"""Colour of a sheet to print: paper has its own (derived)."""
INK, GREY, HAIR = "#2c2a28", "#706a62", "#c4bdb2"
"""Colours of text, of lesser text and of hairlines, in words that matplotlib and Pillow both read (chosen: warm greys
that leave colour to the yarn)."""
BAND, LINE = "#d9e3e2", "#27536b"
"""Colours of the bands and lines of plots (chosen: quiet, as on the pages)."""
DPI = 150
"""Resolution of a figure for the screen, dots per inch (chosen: legible there and in print)."""


def rgb(colour: str) -> Rgb:
    """Return a colour given as ``#rrggbb`` in numbers."""
    red, green, blue = bytes.fromhex(colour.removeprefix("#"))
    return red, green, blue


def shares(colour: Sequence[float] | Floats) -> Shares:
    """Return a colour given as 0 to 255 as matplotlib takes it."""
    red, green, blue = (part / 255.0 for part in colour)
    return red, green, blue


def paper_figure(size: tuple[float, float] | None = None, *, dpi: float = DPI, constrained: bool = False) -> Figure:
    """Return an empty figure on paper, of this width and height in inches, matplotlib's own if left out.

    ``constrained``: whether matplotlib places what is drawn so that nothing overlaps.
    """
    from matplotlib.figure import Figure  # late, as whoever asks for a colour may draw nothing

    return Figure(figsize=size, dpi=dpi, layout="constrained" if constrained else None, facecolor=shares(PAPER))
