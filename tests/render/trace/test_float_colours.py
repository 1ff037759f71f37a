"""Colours that say how hard floats pull: their order, their sameness, and whether the colour-blind can tell them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, ImageCms

from fabricsim import units
from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import pucker, pull
from fabricsim.render import build_yarns
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.basics.scale import STEPS, float_scale, pull_colours, round_end, slack_colours, step_of
from fabricsim.render.layout.legend import BAR_WIDE
from fabricsim.render.layout.sheet import page
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.float_colours import MOST_SQUEEZED, NEUTRAL, SQUEEZED, pucker_paint, squeezed, tension_paint
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.paint import Paint
from fabricsim.render.trace.trace import first_hits
from fabricsim.render.trace.views import camera_for, draw_side
from fabricsim.render.yarn.tubes import spots
from tests.render.fabrics import MOTIF, PLAIN, fabric, ripples
from tests.render.layout.test_sheet import picture
from tests.render.looking import unlit

# G. M. Machado, M. M. Oliveira, L. A. F. Fernandes 2009, IEEE Trans. Vis. Comput. Graph. 15(6), 1291: full severity, in
# linear light (memory; each keeps grey grey)
BLIND = {
    "none": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
LAB = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB")


def lab(rgb_k3: np.ndarray, blind: str = "none") -> np.ndarray:
    """Return CIELAB (k, 3) of sRGB colours as they look to the colour-blind."""
    share = np.asarray(rgb_k3, dtype=float) / 255.0
    light = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4) @ BLIND[blind].T
    light = np.clip(light, 0.0, 1.0)
    seen = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    image = Image.fromarray(np.rint(255.0 * seen).astype(np.uint8)[None])
    code = np.asarray(ImageCms.applyTransform(image, LAB))[0].astype(float)
    a_b = np.where(code[:, 1:] > 127, code[:, 1:] - 256, code[:, 1:])  # signed bytes
    return np.column_stack([code[:, 0] / 2.55, a_b])


def apart(one_k3: np.ndarray, other_k3: np.ndarray) -> np.ndarray:
    return np.asarray(np.linalg.norm(one_k3 - other_k3, axis=-1))


def test_the_simulation_keeps_grey_and_confuses_what_it_should() -> None:
    for matrix in BLIND.values():
        np.testing.assert_allclose(matrix.sum(axis=1), 1.0, atol=2e-6)
    red_green = np.array([[200.0, 60.0, 60.0], [120.0, 110.0, 60.0]])
    assert apart(*lab(red_green)) > 2.5 * apart(*lab(red_green, "protanopia"))
    np.testing.assert_allclose(lab(np.array([[255.0, 255.0, 255.0], [0.0, 0.0, 0.0]]))[:, 0], [100.0, 0.0], atol=0.5)


@pytest.mark.parametrize("blind", BLIND)
def test_steps_of_the_scale_stay_apart_to_every_eye(blind: str) -> None:
    # seven steps of a pull and four of slack, as many as anyone reads off; 2.3 is just noticeable (Mahy 1994, memory)
    pulls = lab(pull_colours()[np.linspace(0, STEPS - 1, 7).astype(int)], blind)
    slack = lab(slack_colours()[np.linspace(0, STEPS - 1, 4).astype(int)], blind)
    assert apart(pulls[1:], pulls[:-1]).min() > 6.0
    assert apart(slack[1:], slack[:-1]).min() > 6.0
    assert (np.diff(pulls[:, 0]) < 0.0).all()
    assert (np.diff(slack[:, 0]) < 0.0).all()
    # taut from slack, and either from the fabric, squeezed or not
    assert apart(pulls[:, None], slack[None]).min() > 15.0
    for colour in (NEUTRAL, SQUEEZED):
        stitch = lab(colour[None], blind)
        assert apart(pulls, stitch).min() > 15.0
        assert apart(slack, stitch).min() > 9.0
    assert apart(lab(NEUTRAL[None], blind), lab(SQUEEZED[None], blind)).min() > 20.0


def uneven(slack: float = -0.03) -> Equilibrium:
    """A fabric whose floats pull differently, one part of them slack."""
    equilibrium = fabric(MOTIF, slack=slack)
    tension_f = equilibrium.tension_f * np.where(np.arange(len(equilibrium.tension_f)) % 3, 1.0, 0.0)
    return replace(equilibrium, tension_f=tension_f)


@pytest.fixture(scope="module")
def model() -> YarnModel:
    return build_yarns(uneven(), "draft")


def of_floats(model: YarnModel, paint: Paint) -> tuple[np.ndarray, np.ndarray]:
    """Return the float of each carried ring, as numbered in the equilibrium, and its colour."""
    carried = model.tubes.float_g >= 0
    return model.tiling.origin_f[model.tubes.float_g[carried]], paint.rgb_k3[paint.which_g[carried]]


def test_every_ring_of_a_float_has_the_colour_of_its_pull(model: YarnModel) -> None:
    equilibrium = model.equilibrium
    paint, _ = tension_paint(model)
    float_g, rgb_g3 = of_floats(model, paint)
    assert len(paint.which_g) == len(model.tubes.x_gc)
    taut_f = pull(equilibrium).taut_f
    assert set(float_g.tolist()) == set(range(len(taut_f)))
    light_g = lab(rgb_g3)[:, 0]
    order = np.argsort(equilibrium.tension_f[float_g[taut_f[float_g]]], kind="stable")
    assert (np.diff(light_g[taut_f[float_g]][order]) <= 0.0).all()  # the harder, the darker
    end = round_end(float(equilibrium.tension_f.max()))
    pulls_k3 = pull_colours()[step_of(equilibrium.tension_f[float_g], end)]
    np.testing.assert_array_equal(rgb_g3[taut_f[float_g]], pulls_k3[taut_f[float_g]])
    assert len(np.unique(rgb_g3[taut_f[float_g]], axis=0)) == len(np.unique(equilibrium.tension_f[taut_f].round(12)))
    # what doesn't pull is blue
    idle = rgb_g3[~taut_f[float_g]]
    assert len(idle)
    assert (idle[:, 2] > idle[:, 0] + 20.0).all()


def test_the_more_slack_the_deeper_the_blue() -> None:
    light = []
    for slack in (0.0, 0.04, 0.12, 0.2, 0.5):
        loose = unlit(fabric(MOTIF, slack=slack))
        paint, scale = tension_paint(loose)
        _, rgb_g3 = of_floats(loose, paint)
        assert len(np.unique(rgb_g3, axis=0)) == 1
        light.append(lab(rgb_g3[:1])[0, 0])
        assert "slack" in scale.label
        assert scale.ticks[0][1] == "20 %"
    assert light[0] > light[1] > light[2] > light[3] == light[4]


def test_copies_of_a_repeat_are_coloured_alike(model: YarnModel) -> None:
    paint, _ = tension_paint(model)
    float_g, rgb_g3 = of_floats(model, paint)
    copies = model.tubes.float_g[model.tubes.float_g >= 0]
    for f in np.unique(float_g):
        assert len(np.unique(rgb_g3[float_g == f], axis=0)) == 1
    assert len(np.unique(copies)) > 2 * len(np.unique(float_g))


def test_one_greatest_pull_gives_one_colour_in_every_fabric(model: YarnModel) -> None:
    other = unlit(fabric(MOTIF, "swatch", slack=-0.09))
    greatest = 0.03
    colours = []
    for one in (model, other):
        paint, scale = tension_paint(one, greatest=greatest)
        float_g, rgb_g3 = of_floats(one, paint)
        taut_g = pull(one.equilibrium).taut_f[float_g]
        pull_g = one.equilibrium.tension_f[float_g[taut_g]]
        assert scale.ticks[-1] == (1.0, "3 cN")
        colours += list(zip(pull_g, lab(rgb_g3[taut_g])[:, 0], strict=True))
    assert max(pull for pull, _ in colours) > greatest
    colours.sort()
    light = np.array([light for _, light in colours])
    assert (np.diff(light) <= 0.0).all()
    assert light.min() == lab(pull_colours()[-1:])[0, 0]


def test_stitches_that_a_taut_float_squeezes_are_tinted_by_how_narrow_they_are() -> None:
    tight = fabric(MOTIF, slack=-0.2, squeeze=0.9)
    share_n = squeezed(tight)
    node_f2, gap_f = tight.mesh.floats.node_f2, tight.mesh.floats.gap_f
    held = np.zeros((8, 12), dtype=bool)
    for (left, _), gap in zip(node_f2.tolist(), gap_f.tolist(), strict=True):
        held[left // 12, (left % 12 + np.arange(gap + 2)) % 12] = True
    np.testing.assert_allclose(share_n, np.where(held.ravel(), 0.1, 0.0), atol=1e-12)
    assert 0 < held.sum() < held.size or held.all()
    loose = fabric(MOTIF, slack=0.3, squeeze=0.9)
    assert not squeezed(loose).any()
    wide = fabric(MOTIF, "swatch", slack=-0.2, squeeze=1.1)
    assert not squeezed(wide).any()
    paint, scale = tension_paint(unlit(tight))
    assert [text for text, _ in scale.others] == [f"stitches {100 * MOST_SQUEEZED:g} % narrower than plain"]
    first, last = paint.rgb_k3[0], paint.rgb_k3[STEPS - 1]
    assert apart(first, SQUEEZED) > 50.0
    np.testing.assert_allclose(last, SQUEEZED)
    assert tension_paint(unlit(loose))[1].others == ()


@pytest.mark.parametrize("case", ["swatch", "repeat"])
def test_only_what_is_at_a_taut_float_is_tinted(case: str) -> None:
    rows = ("aaaaaaaaaaaa", "aaaabaaabaaa", "aaaaaaaaaaaa")
    model = unlit(fabric(rows, case, slack=-0.2, squeeze=0.9))
    paint, _ = tension_paint(model)
    stitch = model.tubes.float_g < 0
    tinted = (paint.which_g % STEPS > 0)[stitch]
    row = model.tiling.row_n[model.tubes.stitch_g[stitch]] % 3
    assert tinted[row == 1].all()
    assert not tinted[row != 1].any()


def test_fabric_without_floats_is_refused_in_one_clear_line() -> None:
    with pytest.raises(InputError, match=r"this fabric has no floats") as refused:
        tension_paint(unlit(fabric(PLAIN)))
    assert "\n" not in str(refused.value)
    assert str(refused.value).startswith("A made-up piece: given")


def float_pixels(model: YarnModel, width_px: int) -> np.ndarray:
    """Return the float that every pixel of the back shows, as numbered in the equilibrium, -1 for others."""
    camera = camera_for(model, "back", Scale(width_px))
    hits, _ = first_hits(model.stage, camera)
    met = hits.triangle_m >= 0
    spot = spots(model.tubes, hits.triangle_m[met], hits.u_m[met], hits.v_m[met])
    shown = np.full(len(met), -1)
    number_f = np.append(model.tiling.origin_f, -1)
    shown[met] = number_f[model.tubes.float_g[spot.ring_m]]
    return shown.reshape(camera.height_px, camera.width_px)


def test_the_colours_in_the_picture_are_those_of_the_scale(model: YarnModel) -> None:
    equilibrium = model.equilibrium
    paint, _ = tension_paint(model)
    picture = np.asarray(draw_side(model.painted(paint), "back", width_px=600).image)
    shown = float_pixels(model, 600)
    taut_f = pull(equilibrium).taut_f
    end = round_end(float(equilibrium.tension_f.max()))
    seen, meant = [], []
    for f in np.unique(shown[shown >= 0]).tolist():
        if (shown == f).sum() < 300:
            continue
        seen.append(np.median(picture[shown == f], axis=0))
        own = pull_colours()[step_of(equilibrium.tension_f[f], end)] if taut_f[f] else slack_colours()[0]
        meant.append((equilibrium.tension_f[f], own))
    seen_lab, meant_lab = lab(np.array(seen)), lab(np.array([own for _, own in meant]))
    pulls = np.array([tension for tension, _ in meant])
    assert len(seen) > 8
    assert len(np.unique(pulls.round(9))) > 3
    # light changes how light a colour is, hardly its hue: warm stays warm, blue blue
    hue = np.degrees(np.arctan2(seen_lab[:, 2], seen_lab[:, 1]) - np.arctan2(meant_lab[:, 2], meant_lab[:, 1]))
    assert np.abs((hue + 180.0) % 360.0 - 180.0)[pulls > 0].max() < 15.0
    assert (seen_lab[pulls == 0][:, 2] < 0.0).all()
    # and the order is right: the harder a float pulls, the darker, by the median of all that pull as hard
    levels = np.unique(pulls[pulls > 0].round(9))
    light = [np.median(seen_lab[np.abs(pulls - level) < 1e-8, 0]) for level in levels]
    assert (np.diff(light) < 0.0).all()
    # read off against the scale, a float is within a sixth of it
    scale_lab = lab(pull_colours())
    for colour, pulled in zip(seen_lab[pulls > 0], pulls[pulls > 0], strict=True):
        read = apart(scale_lab, colour).argmin() / (STEPS - 1)
        assert read == pytest.approx(pulled / end, abs=1 / 6)


def test_pucker_is_painted_in_the_colours_of_its_map() -> None:
    model = build_yarns(fabric(MOTIF, "swatch", across=2, bend=ripples(0.0032, 0.05, 0.04)), "draft")
    height_n = pucker(model.equilibrium).height_n
    paint, scale = pucker_paint(model)
    height_g = height_n[model.tiling.origin_n[model.tubes.stitch_g]]
    order = np.argsort(height_g, kind="stable")
    assert (np.diff(paint.which_g[order]) >= 0).all()
    rgb_g3 = paint.rgb_k3[paint.which_g]
    high, low = rgb_g3[height_g.argmax()], rgb_g3[height_g.argmin()]
    assert high[0] > high[2] + 60.0
    assert low[2] > low[0] + 60.0
    flat, _ = pucker_paint(unlit(fabric(MOTIF)))
    np.testing.assert_allclose(flat.rgb_k3[flat.which_g], 247.0, atol=2.0)  # the white of the map
    assert [text for _, text in scale.ticks][2] == "0"
    assert scale.ticks[-1][1].startswith("+")
    end_mm = float(scale.ticks[-1][1].removesuffix(" mm"))
    assert end_mm - 0.5 < np.abs(height_n).max() / units.MM <= end_mm
    wide, _ = pucker_paint(model, end=10 * units.MM)
    assert np.ptp(wide.which_g) < np.ptp(paint.which_g)


@pytest.mark.parametrize(
    ("newtons", "end"), [(0.0, 0.0), (0.0175, 0.02), (0.01, 0.01), (0.03077, 0.04), (0.0101, 0.012), (0.9, 1.0)]
)
def test_scales_end_at_round_pulls(newtons: float, end: float) -> None:
    assert round_end(newtons) == pytest.approx(end)


@pytest.mark.parametrize("wide", [700, 1200, 2400])
def test_a_scale_of_colours_takes_the_place_of_the_yarns_beside_the_fabric(model: YarnModel, wide: int) -> None:
    scene, scale = model.equilibrium.scene, float_scale(0.02)
    one = picture(round(0.9 * wide), wide // 4)
    sheet = np.asarray(page([one], scene, width_px=wide, scale=scale)).astype(int)
    foot = sheet[wide // 4 + round(96 * wide / 1200) :]
    # every colour of the scale stands at the foot, in order, each as wide as the others
    middle = next(row for row in foot if (row == np.rint(scale.colours_k3[0])).all(axis=1).any())
    starts = [np.flatnonzero((np.abs(middle - np.rint(c)) <= 0).all(axis=1)) for c in scale.colours_k3[:: STEPS // 4]]
    places = [float(start.mean()) for start in starts]
    assert (np.diff(places) > 0.0).all()
    assert (places[-1] - places[0]) / (BAR_WIDE * wide / 1200) == pytest.approx(1.0 - 1 / 8, abs=0.01)
    # and no yarn's name or end of yarn: only the colours of the scale are colourful
    for yarn in scene.yarns:
        assert not (foot == yarn.rgb).all(axis=2).any()
    # the fabric is as it was
    tall, broad = np.asarray(one.image).shape[:2]
    left = (wide - broad) // 2
    head = round(96 * wide / 1200)
    np.testing.assert_array_equal(sheet[head : head + tall, left : left + broad], np.asarray(one.image))


def test_the_last_line_of_a_scale_fits_on_the_page(model: YarnModel) -> None:
    others = (("stitches narrower than plain", (196, 128, 150)),)
    for scale in (float_scale(0.02), float_scale(0.0), replace(float_scale(0.02), others=others)):
        sheet = np.asarray(page([picture(650, 100)], model.equilibrium.scene, width_px=700, scale=scale))
        assert (sheet[-4:] == PAPER).all()
        assert (sheet[100:, -8:] == PAPER).all()
    assert (sheet == others[0][1]).all(axis=2).any()


def test_the_scale_of_heights_is_marked_in_its_middle_and_at_its_quarters(model: YarnModel) -> None:
    paint, scale = pucker_paint(model, end=0.002)
    assert scale.ticks == ((0.0, "−2 mm"), (0.25, "−1 mm"), (0.5, "0"), (0.75, "+1 mm"), (1.0, "+2 mm"))
    assert scale.ends == ("to the back", "to the face")
    assert len(paint.which_g) == len(model.tubes.x_gc)
