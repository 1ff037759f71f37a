"""What may be asked of ``model``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from fabricsim.cli.shell.options import Load, one_of
from fabricsim.errors import InputError

if TYPE_CHECKING:
    from fabricsim.render.solid.yarn import Detail

Of = Literal["yarn", "surface"]


@dataclass(frozen=True)
class ModelOptions:
    """A fabric in its ``load`` case as a 3-D file: ``of`` its yarn, in some ``detail`` or what the file bears (None),
    or of its surface."""

    load: Load
    of: Of = "yarn"
    detail: Detail | None = None

    @classmethod
    def in_words(cls, load: Load, of: str, detail: str | None) -> ModelOptions:
        """Return what was asked for in words; raises ``InputError``."""
        which: Of = one_of("--of", of, get_args(Of))
        if detail is None:
            return cls(load, which)
        if which == "surface":
            raise InputError("--detail", "with --of surface", "with --of yarn only", "leave one of them out")
        from fabricsim.render.solid.yarn import Detail

        return cls(load, which, one_of("--detail", detail, get_args(Detail)))
