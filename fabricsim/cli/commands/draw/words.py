"""What ``draw`` says of its picture."""

from __future__ import annotations

from pathlib import Path

from fabricsim.cli.commands.draw.options import DrawOptions
from fabricsim.cli.commands.draw.pictures import Drawing
from fabricsim.cli.words.pins import pins_said
from fabricsim.lengths import long, long_number
from fabricsim.units import INCH


def words(options: DrawOptions, made: Drawing, file: Path, unit: str) -> list[str]:
    """Return what was drawn and how large it comes out."""
    wide, tall = made.size_px
    name = made.name.split(";")[0]
    lines = [f"{name[0].upper()}{name[1:]}: {file}, {wide} x {tall} pixels.", *made.said, *pins_said(made.loose)]
    if made.at is not None:
        row, stitch = made.at
        lines.append(f"In its middle is stitch {stitch} of {unit} {row}.")
    if options.size.dpi is not None:
        dpi = options.size.dpi
        lines.append(
            f"Printed at 100 % ({dpi:g} dots per inch) it is {long_number(wide * INCH / dpi)} x "
            f"{long(tall * INCH / dpi)} large"
            + (", the fabric as large as in the hand." if options.size.life_size else ".")
        )
    return lines
