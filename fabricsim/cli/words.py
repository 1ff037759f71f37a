"""Words that several commands share."""

from __future__ import annotations

from fabricsim.design.scene import Scene

CAUTION = (
    "Caution: a float can snag, and a thread round a tiny finger or toe can cut off blood unseen, so things "
    "for baby hands and feet get no open floats (line them). How long a float may be is for the rules that "
    "hold where the item is sold, and for you as the maker, to say."
)


def count(number: int, word: str) -> str:
    """Return ``number`` and ``word``, in the plural where it belongs: ``3 stitches``."""
    plural = word + ("es" if word.endswith("ch") else "s")
    return f"{number:,} {word if number == 1 else plural}"


def row_word(scene: Scene) -> str:
    """Return what the knitter of ``scene`` calls a row: a round, in the round."""
    return "round" if scene.worked == "round" else "row"
