"""What is said of the colours of a scene to people."""

from __future__ import annotations

from collections.abc import Sequence

from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.counts import listed, row_word
from fabricsim.design.floats.meeting import with_motifs_below
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.wording import quoted
from fabricsim.render.basics.eyes import Eye
from fabricsim.render.chart.telling_apart import CLEAR, LOST, MUDDY, Apart, Compared

EYES: dict[Eye, str] = {"protan": "red-blind", "deutan": "green-blind", "tritan": "blue-blind"}
"""What kinds of colour-blind eyes are called."""


def tell(page: Page, scene: Scene, found: Sequence[Compared]) -> None:
    """Print the yarns that meet, what to know of them and what to do."""
    page.say(scene.title, bold=True, wrap=True)
    if not found:
        page.say("One yarn only: there is nothing to tell apart.")
        return
    page.table(
        Table(
            "Yarns that meet, as they are",
            {
                "yarns": "left",
                "touch": "right",
                "lightness": "right",
                "gap": "right",
                "in grey": "left",
                "contrast": "right",
                "difference": "right",
            },
            [
                [
                    _names(scene, one),
                    f"{one.meeting.beside + one.meeting.above:,} times",
                    f"{one.lightness[0]:.1f} and {one.lightness[1]:.1f}",
                    f"{one.usual.gap:.1f}",
                    one.verdict,
                    f"{one.contrast:.1f} to 1",
                    f"{one.usual.difference:.0f}",
                ]
                for one in found
            ],
            bold={number for number, one in enumerate(found) if one.verdict == "muddy"},
        )
    )
    page.table(
        Table(
            "What is left of gap and difference to the colour-blind",
            {"yarns": "left", **dict.fromkeys(EYES.values(), "left")},
            [[_names(scene, one), *(_left(one.blind[eye]) for eye in EYES)] for one in found],
            bold={number for number, one in enumerate(found) if any(eye.lost for eye in one.blind.values())},
        )
    )
    for one in found:
        for sentence in _sentences(scene, one):
            page.say(sentence, wrap=True)
    for sentence in (*_to_write(scene, found), *_meaning(found)):
        page.say(sentence, wrap=True)


def _names(scene: Scene, one: Compared) -> str:
    return f"{scene.yarns[one.meeting.one].name} and {scene.yarns[one.meeting.other].name}"


def _left(apart: Apart) -> str:
    return f"{apart.gap:.0f} and {apart.difference:.0f}" + (", hard to tell" if apart.lost else "")


def _sentences(scene: Scene, one: Compared) -> list[str]:
    """Return what to know and to do about two yarns."""
    said, names = [], _names(scene, one)
    if one.verdict == "muddy":
        said.append(f"{names}: muddy in grey. Make one lighter or darker if the pattern is to be read from afar.")
    lost = [name for eye, name in EYES.items() if one.blind[eye].lost]
    if one.usual.lost:
        said.append(f"{names}: hard to tell apart for anybody.")
    elif lost:
        said.append(f"{names}: hard to tell apart for {listed(lost)} eyes.")
    return [*said, _dominance(scene, one)]


def _dominance(scene: Scene, one: Compared) -> str:
    """Return which of the two is carried below, and which should be."""
    two, names, unit = one.meeting, _names(scene, one), row_word(scene)
    if two.together == 0:
        return f"{names}: never in one {unit}, so neither is carried below the other."
    if two.below is None:
        return f"{names}: carried above a third yarn wherever they share a {unit}; keep one order and never swap."
    other = two.other if two.below == two.one else two.one
    below, above = scene.yarns[two.below].name, scene.yarns[other].name
    carried = f"{names}: {below} is carried below, so it stands out more"
    if two.motif is None:
        return f"{carried}. They share their {unit}s about evenly: choose the one to stand out, and never swap."
    fewer = min(two.stitches_of_one, two.stitches_of_other) / (two.stitches_of_one + two.stitches_of_other)
    motif = f"makes the motif ({100 * fewer:.0f} % of the stitches of both)"
    if two.motif == two.below:
        return f"{carried}, and it {motif}: good as it is; never swap."
    return f"{carried}; but {above} {motif}. Carry {above} below {below} for a clear motif, and never swap."


def _to_write(scene: Scene, found: Sequence[Compared]) -> list[str]:
    """Return what to write in the scene so that every motif lies below its ground; nothing if it is so already."""
    order = with_motifs_below(scene.strands_from_below, [one.meeting for one in found])
    if order == scene.strands_from_below:
        return []
    symbols = [quoted(scene.symbols[yarn]) for yarn in order]
    said = symbols[0] if len(symbols) == 2 else f"[{', '.join(symbols)}]"
    return [f"For that write below = {said} under [floats]; nothing else in the scene need change."]


def _meaning(found: Sequence[Compared]) -> list[str]:
    """Return what the numbers mean."""
    said = [
        f"Lightness runs from 0, black, to 100, white (CIELAB). A gap of {CLEAR:g} is clear in grey, one "
        f"under {MUDDY:g} muddy (a rule of thumb).",
        "Contrast is 1 to 1 for none and 21 to 1 for black on white (WCAG 2.2).",
        f"Difference counts hue as well (CIE 1976): 2 is just seen side by side; under {LOST:g}, with no clear gap, "
        "stitches run into each other.",
        "Colours on a screen are not those of the yarn: look at the skeins by daylight, and at a grey photo of them.",
    ]
    if any(one.meeting.below is not None for one in found):
        said.insert(
            3,
            "Carried below: what floats.below says, else the yarn listed first in the scene; so it is in all pictures "
            "and words. It changes neither the main colour nor the plain rows.",
        )
    return said
