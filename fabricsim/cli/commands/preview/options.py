"""What may be asked of ``preview``."""

from __future__ import annotations

from dataclasses import dataclass

from fabricsim.cli.shell.options import Load
from fabricsim.design.scene.worn_on import On


@dataclass(frozen=True)
class PreviewOptions:
    """In which ``load`` case, from how many random ``starts`` besides the usual two, drawn how wide (None: as usual); a
    ``draft`` has coarse pictures and no likely range. ``on`` what it is put on, if anything, and on which ``size`` of
    it."""

    load: Load
    draft: bool = False
    starts: int = 0
    width_px: int | None = None
    on: On | None = None
    size: str | None = None
