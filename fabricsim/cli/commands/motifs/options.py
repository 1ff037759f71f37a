"""What may be asked of ``motifs``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from fabricsim.cli.shell.advice_options import AdviceOptions
from fabricsim.cli.shell.cluster import check_workers
from fabricsim.cli.shell.outputs import Output, said_of, suffix_of
from fabricsim.errors import InputError

MOST_SIDE = 8
"""Rows or stitches of a motif at the most: 16 squares in two lines (derived)."""
USUAL_SIDE, USUAL_MOST, MOST_MOTIFS = 6, 200, 10_000
"""Rows and stitches up to which motifs are looked at, and how many, unless asked for otherwise; and at the most
(chosen: a minute, and an hour)."""


@dataclass(frozen=True, kw_only=True)
class MotifsOptions(AdviceOptions):
    """Up to how many ``rows`` and ``stitches``, at ``most`` how many of them, whether only the ``symmetric`` ones;
    where the answer (``out``) and a ``page`` go; who works on it. Raises ``InputError`` for what can't be."""

    kinds: ClassVar[tuple[str, ...]] = (".png",)
    drawn_by: ClassVar[str] = "--pictures"
    rows: int = USUAL_SIDE
    stitches: int = USUAL_SIDE
    most: int = USUAL_MOST
    symmetric: bool = False
    out: Path | None = None
    page: Path | None = None
    processes: int | None = None
    cluster: str | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        check_workers(self.processes, self.cluster)
        for option, number, least, most in (
            ("--rows", self.rows, 1, MOST_SIDE),
            ("--stitches", self.stitches, 2, MOST_SIDE),
            ("--most", self.most, 1, MOST_MOTIFS),
        ):
            if not least <= number <= most:
                raise InputError(option, str(number), f"{least} to {most:,}", "give a number between")
        if len(self.scene.yarns) < 2:
            raise InputError("SCENE", "one yarn", "a scene of two yarns or more", "name one: the motifs take its first")
        if self.page is not None:
            with said_of("--page"):
                suffix_of(self.page, (".html",))

    @property
    def kept(self) -> Path | None:
        """Where rows are kept as they come: beside the file for the answer, if there is to be one."""
        return self.out.with_name(self.out.name + ".rows") if self.out is not None else None

    @property
    def files(self) -> list[Output]:
        """What is written beside the answer."""
        return [*super().files, Output(self.page, "--page")]
