"""Pictures as bytes, for whoever writes them."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any, TypeAlias

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from fabricsim.render.basics.letters import find_letters
from fabricsim.render.basics.palette import INK, PAPER, rgb

Plot: TypeAlias = Figure
"""What commands call a figure, which they hand on without looking into it."""
FROM_PICTURE, FROM_TEXT = 224, 32
"""Colours of a PNG taken from the picture, and from the ramp from paper to ink, so that text keeps its grey
(chosen)."""
SQUEEZED = 4
"""How hard PNGs are squeezed, 0 to 9 (measured on charts, plots and fabrics: 3 % larger than at the usual 6, in two
thirds to half of the time; at 9 it takes five times that and saves 4 %)."""


def page_png(page: Image.Image) -> bytes:
    """Return PNG bytes in 256 colours of the page's own: half the size, and no eye tells (rms 1 of 255)."""
    of_picture = page.quantize(FROM_PICTURE, method=Image.Quantize.MEDIANCUT).getpalette() or []
    of_text = np.linspace(PAPER, rgb(INK), FROM_TEXT).round().astype(int).ravel().tolist()
    palette = Image.new("P", (1, 1))
    palette.putpalette([*of_picture[: 3 * FROM_PICTURE], *of_text])
    return image_png(page.quantize(palette=palette, dither=Image.Dither.FLOYDSTEINBERG))


def image_png(image: Image.Image, dpi: float | None = None) -> bytes:
    """Return PNG bytes in all colours of the ``image``, with the ``dpi`` at which it is to be printed."""
    buffer = io.BytesIO()
    image.save(buffer, "PNG", compress_level=SQUEEZED, **({} if dpi is None else {"dpi": (dpi, dpi)}))
    return buffer.getvalue()


def figure_png(figure: Figure) -> bytes:
    """Return the figure as PNG bytes at its own resolution."""
    return image_png(figure_image(figure), figure.dpi)


def figure_image(figure: Figure) -> Image.Image:
    """Return the figure as a picture at its own resolution."""
    find_letters(figure)
    canvas: Any = FigureCanvasAgg(figure)  # whose methods matplotlib has left without types
    canvas.draw()  # once: to save a figure that is laid out by matplotlib draws it twice
    return Image.frombytes("RGBA", canvas.get_width_height(), canvas.buffer_rgba()).convert("RGB")


def figure_svg(figure: Figure) -> bytes:
    """Return the figure as SVG bytes, letters as shapes; the same figure gives the same bytes."""
    find_letters(figure)
    buffer = io.BytesIO()
    with mpl.rc_context({"svg.hashsalt": "fabricsim"}):
        figure.savefig(buffer, format="svg", metadata={"Date": None})
    return buffer.getvalue()


def figure_pdf(figure: Figure, title: str) -> bytes:
    """Return the figure as a PDF of one page, letters as letters; the same figure gives the same bytes."""
    return figures_pdf([figure], title)


def figures_pdf(figures: Iterable[Figure], title: str) -> bytes:
    """Return the figures as the pages of one PDF, letters as letters; the same figures give the same bytes."""
    from matplotlib.backends.backend_pdf import PdfPages  # a tenth of a second that pictures don't need

    buffer = io.BytesIO()
    # no date, so that nothing in it depends on when it was made
    with (
        mpl.rc_context({"pdf.fonttype": 42}),
        PdfPages(buffer, metadata={"Title": title, "CreationDate": None}) as pages,
    ):
        for figure in figures:
            find_letters(figure)
            pages.savefig(figure)
    return buffer.getvalue()


def figures_as(suffix: str, figures: Iterable[Figure], title: str) -> list[bytes]:
    """Return the figures as files that end in ``suffix``: one PDF of all, or an SVG or PNG of each."""
    if suffix == ".pdf":
        return [figures_pdf(figures, title)]
    return [figure_png(figure) if suffix == ".png" else figure_svg(figure) for figure in figures]
