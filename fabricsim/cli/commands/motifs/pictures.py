"""The best and the worst motifs drawn as fabric, and all of them on one page."""

from __future__ import annotations

from fabricsim.cli.commands.motifs.words import MotifsTold, asked_said, called, laws_said, quarters_said, why_said
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.study.compare.order import ends_of
from fabricsim.study.motifs.mapping import at_rest

DRAWN = 4
"""Motifs of either end that are drawn (chosen: two lines of a page)."""
ACROSS = 24
"""Stitches up and across that a motif is repeated to for its picture, about (chosen: a hand's breadth)."""


def pictures(told: MotifsTold) -> bytes:
    """Return face and back of the best and of the worst as a PNG, all at one scale."""
    from fabricsim.render.basics.files import page_png
    from fabricsim.render.handouts.multiples import Shown, multiples_page

    best, worst = ends_of([one for one in told.found if one[1]["at_rest"]], DRAWN)
    shown = []
    for said, ends in (("best", best), ("worst", worst)):
        for motif, row in ends:
            rest = at_rest(told.asked.scene_of(motif, ACROSS)).equilibrium
            shown.append(
                Shown(
                    rest,
                    f"{said}: {called(motif, told.scene)}",
                    f"{row['draw_in_percent']:.1f} % narrower, {why_said(row)}",
                )
            )
    return page_png(multiples_page(shown, f"Small motifs: the best and the worst of {len(told.found)}", columns=DRAWN))


def page_of(told: MotifsTold) -> str:
    """Return a page with every motif, the best first."""
    from fabricsim.render.handouts.motif_page import MotifCard, motif_page

    scene = told.scene
    cards = [
        MotifCard(
            name=called(motif, scene),
            chart_ij=motif.chart_ij,
            figures=()
            if not row["at_rest"]
            else (
                ("narrower", f"{row['draw_in_percent']:.1f} %"),
                ("pucker", f"{row['pucker_mm']:.1f} mm"),
                ("longest float", str(row["longest_gap_stitches"])),
            ),
            why=why_said(row),
        )
        for motif, row in told.found
    ]
    lead = [asked_said(told), *laws_said(told.found), *quarters_said(told.found), CAUTION]
    colours = (scene.yarns[0].colour, scene.yarns[1].colour)
    return motif_page(f"Small motifs in {scene.yarns[0].name} and {scene.yarns[1].name}", lead, cards, colours)
