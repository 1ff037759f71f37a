"""``rounds`` in large print, as a file."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.words.counts import row_word
from fabricsim.design.counted.rounds import WorkedRow
from fabricsim.design.scene.model import Scene


def large_print(scene: Scene, rows: Sequence[WorkedRow], suffix: str) -> bytes:
    """Return the file in large print."""
    from fabricsim.render.handouts.large_print import LargePrint, large_print_html, large_print_pdf

    named = words.names(scene)
    said = [words.row_in_words(one, named, row_word(scene)) for one in rows]
    text = LargePrint(
        scene.title,
        tuple(words.bound(sentence) for sentence in words.before_reading(scene, rows)),
        tuple((head, words.bound(todo)) for head, todo in said),
    )
    return large_print_pdf(text) if suffix == ".pdf" else large_print_html(text).encode()
