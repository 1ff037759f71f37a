"""What is drawn, by name: plots, charts, sections and pages from made-up numbers, and made-up fabrics yarn by yarn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from matplotlib.figure import Figure
from PIL import Image

from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.design.catches.plan import plan_of
from fabricsim.design.floats.on_paper import charted_piece, charted_repeat
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.fabric.mesh import RIGHT
from fabricsim.render.basics.files import figure_image
from fabricsim.render.basics.options import Angle, Side
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.chart.back_map import catch_map
from fabricsim.render.chart.schematic import SchematicPart, schematic_figure
from fabricsim.render.chart.sheet import chart_figures, chart_layout, in_grey, size_lines
from fabricsim.render.chart.swatches import in_other_eyes
from fabricsim.render.handouts.handout import handout_figure
from fabricsim.render.handouts.motion import Caption, FilmCanvas, frame
from fabricsim.render.layout.sheet import page
from fabricsim.render.plots.costs import CostedFloat, CostsShown, costs_figure
from fabricsim.render.plots.shape import pucker_map, width_profile
from fabricsim.render.plots.slack_curves import SlackCurve, curves_figure
from fabricsim.render.plots.stretch import Pulled, stretch_curves
from fabricsim.render.plots.variation import VarianceShares, variation_figure
from fabricsim.render.section.bare import section_pictures
from fabricsim.render.section.figure import section_figure
from fabricsim.render.section.geometry import section_of
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.float_colours import pucker_paint, tension_paint
from fabricsim.render.trace.model import Focus
from fabricsim.render.trace.views import camera_for, draw_side
from tests.design.scenes import YARNS, scene
from tests.render.fabrics import CHECK, MOTIF, ONE_WAY, THREE, fabric, ripples, scene_of
from tests.render.handouts.test_handout import PICTURES, SAID
from tests.render.layout.test_sheet import picture
from tests.render.looking import seen, unlit
from tests.render.plots.spread import spread
from tests.render.plots.test_shape import grid
from tests.render.plots.test_stretch import ACROSS, UP

FIGURE_DPI = 60
"""Dots per inch: small, and letters can still be read."""
SHOWN = np.array([*PAPER, 30, 30, 30, 236, 230, 216, 39, 83, 107, 180, 83, 42], dtype=np.uint8).reshape(-1, 3)
"""Colours of paper, of the dark between stitches, and of three yarns."""
CARRIED = 40
"""How much darker floats are shown."""


def small(figure: Figure) -> Image.Image:
    made = figure_image(figure)
    share = FIGURE_DPI / figure.dpi
    return made.resize((round(made.width * share), round(made.height * share)), Image.Resampling.BOX)


# ---- plots ---------------------------------------------------------------------------------------

ROUNDS = np.arange(14)
NARROW = 0.47 - 0.03 * np.sin(ROUNDS / 3.0) ** 2


def costs() -> Image.Image:
    rows = ((0, 1, 0, 0, 2, 0, 0), (1, 1, 0, 0, 0, 0, 1), (0, 0, 2, 2, 0, 1, 0))
    floats = [CostedFloat(0, 1, 3, 1, 0.1), CostedFloat(0, 4, 3, 2, 0.5), CostedFloat(1, 1, 4, 1, 0.4)]
    squares = {(0, 2): (0.004, 1), (1, 0): (-0.001, 0), (2, 5): (0.0008, 2)}
    shown = CostsShown(rows, ["#ffffff", "#27536b", "#b4532a"], floats, {0: 0.6, 1: 0.4}, squares, "round")
    return small(costs_figure(shown, "What its floats cost"))


def map_of_pucker() -> Image.Image:
    place, beside = grid(9, 14)
    height = 2.5e-3 * np.sin(place[:, 0] / 0.008) * np.cos(place[:, 1] / 0.006)
    return small(pucker_map(place, beside, height, title="How far it puckers"))


def map_of_a_repeat() -> Image.Image:
    place, beside = grid(5, 4)
    shift = np.zeros((20, 4, 2), dtype=int)
    ends = np.arange(3, 20, 4)
    beside[ends, RIGHT], shift[ends, RIGHT] = ends - 3, (1, 0)
    turned = np.column_stack([place[:, 0], place[:, 1] + 0.1 * place[:, 0]])
    return small(pucker_map(turned, beside, 0.3 * place[:, 0], period_a=np.array([0.02, 0.02]), shift_n42=shift))


def profile() -> Image.Image:
    figure = width_profile(
        NARROW, 0.505, low_r=NARROW - 0.01, high_r=NARROW + 0.006, row_word="round", title="Round by round"
    )
    return small(figure)


def curves() -> Image.Image:
    slack = [-10.0, -6.0, -3.0, 0.0, 5.0]
    made = [
        SlackCurve(f"setting {k}", slack, (9.0 - k, 5.0, None, 1.0, 0.0), (4.0, 2.0, 1.0 + 0.1 * k, 0.2, 0.1))
        for k in range(3)
    ]
    return small(curves_figure(made, "Two hats compared", "Slack"))


def stretch() -> Image.Image:
    up = Pulled("Up", UP.load_p, np.array([0.0, 0.05]))
    return small(stretch_curves([ACROSS, up], 0.05, "Hat band"))


def variation() -> Image.Image:
    draws = np.random.default_rng(5).normal(size=(2, 80))
    spreadings = [spread("narrower, per cent", 7.0 + draws[0], 6.2), spread("pucker, mm", 4 + draws[1], 4.0)]
    percent = np.array([[70.0, 25.0, 5.0], [20.0, 30.0, 60.0]])
    bars = VarianceShares(["slack", "gauge", "curl"], ["draw-in", "pucker"], percent, np.full((2, 3), 6.0))
    return small(variation_figure(spreadings, bars, "Knitted many times over"))


# ---- charts --------------------------------------------------------------------------------------

FLECKED = ["A......A..AAAA", "A...B.....B.AA", "..A..A..A..A..", "AB...........A"]
THIRD = {"symbol": "B", "name": "rust", "colour": "#8a3b12", "tex": 500}


def charted(worked: str = "round", **chart: int) -> Scene:
    floats = {"longest_gap": 5, "longest_cm": 9.0, "catches": [{"row": 1, "stitch": 3}]}
    return scene(FLECKED, yarns=(*YARNS, THIRD), worked=worked, floats=floats, **chart)


def sheet(worked: str, *, piece: bool = False, grey: bool = False, sizes: bool = False) -> Image.Image:
    of = charted(worked, across=3, up=2)
    chart = charted_piece(of) if piece else charted_repeat(of)
    made, _ = sheet_of(of, chart, square=not piece, marks=grey)
    if sizes:
        made = replace(made, sizes=size_lines((("S", 14), ("M", 28), ("L", 42))))
    made = in_grey(made) if grey else made
    return small(next(iter(chart_figures(made, chart, chart_layout(made, chart)))))


def in_parts() -> Image.Image:
    """The second of several sheets."""
    random = np.random.default_rng(3)
    of = scene(["".join(random.choice([".", "A"], 90)) for _ in range(80)])
    chart = charted_repeat(of)
    made, _ = sheet_of(of, chart, square=False, marks=False)
    _, second, *_ = chart_figures(made, chart, chart_layout(made, chart))
    return small(second)


def back_map(worked: str) -> Image.Image:
    of = charted(worked, across=2)
    return small(catch_map(of, plan_of(of)))


def eyes() -> Image.Image:
    return small(in_other_eyes(charted()))


def schematic() -> Image.Image:
    parts = [SchematicPart("rib", 0.04, 0.20, 0.20), SchematicPart("", 0.06, 0.22, 0.24)]
    parts.append(SchematicPart("crown", 0.08, 0.24, 0.03))
    return small(schematic_figure(parts, "48.0 cm round"))


# ---- sections and pages --------------------------------------------------------------------------


def section(case: Case) -> Image.Image:
    rest = fabric(MOTIF, case, across=1 if case == "repeat" else 3, slack=-0.06, squeeze=0.94)
    return figure_image(section_figure(section_of(rest, 3), width_px=700, title="Seen edge on", dpi=FIGURE_DPI))


def bare_section() -> Image.Image:
    rest = fabric(MOTIF, "round", across=2, slack=-0.03, squeeze=0.97)
    (made,) = section_pictures([section_of(rest, 3)], 1.2e-4, 420, 318.0, 0.1)
    return made


def handout() -> Image.Image:
    return small(handout_figure(SAID, PICTURES))


def film() -> Image.Image:
    canvas = FilmCanvas(600, 556, 60, 0.5e-3)
    caption = Caption(("slack -5.0 %", "20.1 cm wide", "8.0 % narrower"), 0.24, 0.2)
    return frame(Image.new("RGB", (556, 60), "teal"), canvas, caption, "A piece: face")


def laid_out() -> Image.Image:
    scale = tension_paint(unlit(fabric(MOTIF, slack=-0.1)))[1]
    one = replace(picture(300, 200), image=Image.new("RGB", (300, 200), "teal"))
    return page([one, one], scene_of(THREE), title="A title", width_px=900, scale=scale)


# ---- yarn ----------------------------------------------------------------------------------------


def look(
    rows: tuple[str, ...], case: Case, side: Side, angle: Angle = "straight", *, slack: float = 0.05, wave: float = 0.0
) -> Image.Image:
    """Which yarn every pixel shows, darker where it is a float: what is before what, and nothing of light."""
    bend = ripples(wave, 0.03, 0.024) if wave else None
    focus = Focus(27, 5.0) if angle == "close-up" else None
    model = unlit(fabric(rows, case, across=2 if case == "swatch" else 4, slack=slack, bend=bend), focus=focus)
    found = seen(model, camera_for(model, side, Scale(320), angle))
    place = np.where(found.yarn_hw == -2, 0, found.yarn_hw + 2)
    shown = SHOWN[place].astype(int) - CARRIED * found.carried_hw[..., None]
    return Image.fromarray(np.clip(shown, 0, 255).astype(np.uint8))


def painted(by_pull: bool) -> Image.Image:
    model = unlit(fabric(MOTIF, "swatch", across=2, slack=-0.04, squeeze=0.96, bend=ripples(1e-3, 0.04, 0.03)))
    paint, _ = tension_paint(model) if by_pull else pucker_paint(model)
    return draw_side(model.painted(paint), "back" if by_pull else "face", width_px=320).image


DRAWINGS: dict[str, Callable[[], Image.Image]] = {
    "costs": costs,
    "pucker": map_of_pucker,
    "pucker_of_a_repeat": map_of_a_repeat,
    "profile": profile,
    "curves": curves,
    "stretch": stretch,
    "variation": variation,
    "sheet_round": partial(sheet, "round"),
    "sheet_flat_sizes": partial(sheet, "flat", piece=True, sizes=True),
    "sheet_grey": partial(sheet, "round", grey=True),
    "sheet_in_parts": in_parts,
    "back_round": partial(back_map, "round"),
    "back_flat": partial(back_map, "flat"),
    "eyes": eyes,
    "schematic": schematic,
    "section_repeat": partial(section, "repeat"),
    "section_swatch": partial(section, "swatch"),
    "section_round": partial(section, "round"),
    "section_bare": bare_section,
    "handout": handout,
    "film": film,
    "page": laid_out,
    "yarn_face": partial(look, MOTIF, "repeat", "face"),
    "yarn_back_tight": partial(look, THREE, "repeat", "back", slack=-0.05),
    "yarn_back_loose": partial(look, ONE_WAY, "swatch", "back", slack=0.25),
    "yarn_face_edges": partial(look, ONE_WAY, "swatch", "face", wave=1.5e-3),
    "yarn_tube_back": partial(look, MOTIF, "round", "back", slack=-0.03),
    "yarn_tube_aside": partial(look, CHECK, "round", "face", "three-quarter"),
    "yarn_above": partial(look, CHECK, "round", "face", "above"),
    "yarn_aside": partial(look, THREE, "swatch", "back", "three-quarter", wave=2e-3),
    "yarn_near": partial(look, MOTIF, "repeat", "back", "close-up"),
    "pull": partial(painted, True),
    "pucker_painted": partial(painted, False),
}
