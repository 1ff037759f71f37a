"""``rounds`` in large print, as a file."""

from __future__ import annotations

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.rows import bound
from fabricsim.design.piece.model import WholePiece


def large_print(piece: WholePiece, suffix: str) -> bytes:
    """Return the file in large print."""
    from fabricsim.render.handouts.large_print import LargePrint, large_print_html, large_print_pdf

    text = LargePrint(
        words.title(piece),
        tuple(bound(sentence) for sentence in words.before_reading(piece)),
        tuple((one.head, bound(one.todo)) for one in words.in_full(piece)),
    )
    return large_print_pdf(text) if suffix == ".pdf" else large_print_html(text).encode()
