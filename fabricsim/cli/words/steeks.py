"""A steek in words: where its stitches are, and how it is secured, cut and turned in. All of it is common practice."""

from __future__ import annotations

from fabricsim.cli.words.counts import count
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.model import Scene

CUT_ONCE = (
    "Caution: what is cut can't be put together again. Secure the steek first, and try all of it on a swatch with a "
    "steek, in the same yarn: slippery yarns, as of cotton, silk or superwash wool, may run whatever is done."
)


def steek_counted(scene: Scene) -> str:
    """Return what the counts hold: ``, 7 of them for the steek``; nothing without one."""
    return f", {scene.steek.stitches} of them for the steek" if scene.steek is not None else ""


def steek_said(scene: Scene) -> list[str]:
    """Return where the stitches for cutting are, and what is different there; nothing without a steek."""
    if scene.steek is None:
        return []
    right, left = scene.beside
    turns = ""
    if most := longest_in_steek(scene):
        turns = (
            f" In rounds of several colours their yarns take turns, stitch by stitch, in {scene.steek.pattern}, so "
            f"that no float there passes behind more than {count(most, 'stitch')}. These floats count against no "
            "limit, and what is forecast is the piece cut open, without them."
        )
    return [
        f"The steek, stitches for cutting: the first {right} of every round and the last {left}. They are in all "
        f"counts here and in the yarn, but no part of the width.{turns}",
        "The rounds begin in the middle of the steek: join and break yarns there, and leave their ends hanging, since "
        "they are cut off with it. The step from round to round lies there too, so that no line of the pattern is "
        "broken.",
    ]


def longest_in_steek(scene: Scene) -> int:
    """Return behind how many stitches a float within the steek passes at most."""
    return max((one.gap for one in floats(scene) if one.kind == "steek"), default=0)


def steek_opened(scene: Scene) -> list[str]:
    """Return how it is secured and cut, and what becomes of its edges; nothing without a steek."""
    if scene.steek is None:
        return []
    middle = scene.steek.stitches % 2 == 1
    beside = "stitch 2 and up the last stitch" if middle else "stitch 1 and up the last stitch"
    cut = "the middle of stitch 1" if middle else "between stitch 1 and the last stitch"
    return [
        CUT_ONCE,
        f"Secure it: with sewing thread, in small stitches by machine or in backstitch by hand, sew up {beside} of all "
        "rounds, from cast-on to bind-off and back, through every strand; or crochet up both, taking each stitch with "
        "the one beside it.",
        f"Cut it: lay a card inside, so that nothing else is cut, and with small sharp scissors cut {cut} of the "
        "rounds, from cast-on to bind-off, strand by strand, never through the sewing.",
        "Turn its edges in: bands are picked up along the line between steek and chart. Then turn each half of the "
        "steek to the inside along that line and sew it down loosely over its raw edge.",
    ]
