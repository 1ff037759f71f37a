"""Rows of the chart that are worked otherwise than the rest, in a knitter's words."""

from __future__ import annotations

from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.shares import share_said
from fabricsim.design.counted.needles import moved
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.row_bands import RowBand


def rows_said(scene: Scene, first: int, last: int) -> str:
    """Return rows of the chart, from 1: ``rounds 3 to 9 of the chart``."""
    word = row_word(scene)
    return f"{word} {first} of the chart" if first == last else f"{word}s {first} to {last} of the chart"


def needles_said(scene: Scene, sizes: int) -> str:
    """Return needles so many sizes larger, or below 0 smaller: ``on 5 mm needles in place of 4.5``, in sizes alone
    where nobody says which the gauge's are."""
    now = scene.gauge.needle_mm
    other = None if now is None else moved(now, sizes)
    if now is not None and other is not None:
        return f"on {other:g} mm needles in place of {now:g}"
    return f"on needles {count(abs(sizes), 'size')} {'larger' if sizes > 0 else 'smaller'}"


def band_said(scene: Scene, band: RowBand) -> str:
    """Return how a band is worked: ``floats 3 % looser, on needles 1 size larger``."""
    said = []
    if band.looser:
        said.append(f"floats {share_said(abs(band.looser))} {'looser' if band.looser > 0.0 else 'tighter'}")
    if band.needle_sizes:
        said.append(needles_said(scene, band.needle_sizes))
    return listed(said) or "as all others"


def bands_said(scene: Scene) -> list[str]:
    """Return a sentence for every band: ``Rounds 3 to 9 of the chart: floats 3 % looser than elsewhere.``"""
    made = []
    for band in sorted(scene.bands, key=lambda one: one.first):
        rows = rows_said(scene, band.first, band.last)
        made.append(f"{rows[0].upper()}{rows[1:]} otherwise than the rest: {band_said(scene, band)}.")
    return made
