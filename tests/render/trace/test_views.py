"""Where pictures are taken from, how large they are, and what lies behind the fabric."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render import build_yarns, draw_side, page
from fabricsim.render.basics import memory
from fabricsim.render.basics.files import image_png
from fabricsim.render.trace import views
from fabricsim.render.trace.camera import Camera, Scale, facing, lying, turned
from fabricsim.render.trace.model import Focus, YarnModel
from fabricsim.render.trace.paint import Paint, as_dyed
from fabricsim.render.trace.trace import TraceStage, trace
from fabricsim.render.trace.views import camera_for
from tests.render.fabrics import CHECK, MOTIF, PLAIN, fabric, ripples
from tests.render.looking import seen, unlit

ASLANT = "three-quarter"


@pytest.fixture(scope="module")
def swatch() -> Equilibrium:
    return fabric(MOTIF, "swatch", across=2, slack=0.05, bend=ripples(0.003, 0.05, 0.06))


@pytest.fixture(scope="module")
def flat(swatch: Equilibrium) -> YarnModel:
    return build_yarns(swatch, "draft")


def test_axes_are_square_and_right_handed() -> None:
    for axes in (turned(0.4, 0.6), lying(0.5, 0.9), lying(0.5, 0.9, -1.0), facing(np.array([0.3, 1, 2]), np.eye(3)[1])):
        assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-15)
        assert np.linalg.det(axes) == pytest.approx(1.0, abs=1e-14)


def test_fabric_seen_as_it_lies_becomes_the_plain_view_when_looked_at_from_straight_above() -> None:
    assert np.allclose(lying(0.0, 0.0), turned(0.0, 0.0), atol=1e-15)
    assert np.allclose(lying(0.0, 0.0, -1.0), turned(np.pi, 0.0), atol=1e-15)


@pytest.mark.parametrize("side", ["face", "back"])
def test_a_three_quarter_view_shows_all_of_the_fabric_from_its_own_side(side: str, flat: YarnModel) -> None:
    camera = camera_for(flat, side, Scale(300), ASLANT)
    place = flat.strands.x_pc @ camera.axes_ac.T
    left, right, bottom, top = camera.frame_a
    assert left < place[:, 0].min() < place[:, 0].max() < right
    assert bottom < place[:, 1].min() < place[:, 1].max() < top
    towards = camera.axes_ac[2, 2] * (1.0 if side == "face" else -1.0)
    assert 0.3 < towards < 0.9  # its own side, and well off the straight view
    # the lower edge of the fabric is the near one
    assert camera.axes_ac[2, 1] < -0.3


def test_the_inside_of_a_tube_shows_its_floats_aslant_too() -> None:
    tube = unlit(fabric(MOTIF, "round", across=3, slack=0.0))
    inside, outside = (camera_for(tube, side, Scale(300), ASLANT) for side in ("back", "face"))
    assert outside.cut_c is None
    # cut square to where the camera stands, as seen from above
    assert inside.cut_c @ inside.axes_ac[0] == pytest.approx(0.0, abs=1e-15)
    assert inside.cut_c @ inside.axes_ac[2] > 0.5
    assert seen(tube, inside).carried > 0.2 > seen(tube, outside).carried


@pytest.mark.parametrize("case", ["swatch", "repeat", "round"])
@pytest.mark.parametrize("side", ["face", "back"])
def test_a_close_up_has_its_stitch_in_the_middle(case: str, side: str) -> None:
    equilibrium = fabric(CHECK, case, across=6, up=3, slack=0.0)
    stitch = 3 * equilibrium.mesh.stitches // 2 + 1
    model = unlit(equilibrium, focus=Focus(stitch, 5))
    camera = camera_for(model, side, Scale(200), "close-up")
    node = model.focus_n
    assert model.tiling.origin_n[node] == stitch
    place = camera.axes_ac @ model.tiling.x_nc[node]
    middle = 0.5 * (camera.frame_a[:2].sum(), camera.frame_a[2:].sum())[0], 0.5 * camera.frame_a[2:].sum()
    assert np.allclose(place[:2], middle, atol=camera.metres_per_px)
    assert camera.frame_a[1] - camera.frame_a[0] == pytest.approx(5 * model.tiling.width)
    looked_at = seen(model, camera)
    assert looked_at.gaps < 0.005
    if side == "face":
        tall, wide = looked_at.yarn_hw.shape
        patch = looked_at.yarn_hw[tall // 2 - 3 : tall // 2 + 3, wide // 2 - 3 : wide // 2 + 3]
        assert (patch == model.tiling.yarn_n[node]).mean() > 0.5
    else:
        assert looked_at.carried > 0.2


def test_a_close_up_is_a_part_of_the_whole_picture() -> None:
    """The same stitches, whichever yarn is built around them; only the flat sides of coarse yarn lie otherwise."""
    equilibrium = fabric(MOTIF, "swatch", across=2, up=2, slack=0.05)
    stitch = int(np.nonzero((equilibrium.mesh.row_n == 8) & (equilibrium.mesh.column_n == 12))[0][0])
    near, whole = (unlit(equilibrium, focus=focus) for focus in (Focus(stitch, 7), None))
    camera = camera_for(near, "face", Scale(280), "close-up")
    assert (seen(near, camera).yarn_hw == seen(whole, camera).yarn_hw).mean() > 0.98


def test_a_close_up_without_a_focus_is_refused(flat: YarnModel) -> None:
    with pytest.raises(ValueError, match="focus"):
        camera_for(flat, "face", Scale(200), "close-up")


@pytest.mark.parametrize("angle", ["straight", ASLANT])
def test_a_scale_is_kept_to_the_last_bit(angle: str, flat: YarnModel) -> None:
    metres_per_px = 0.0254 / 97.0
    camera = camera_for(flat, "face", Scale(metres_per_px=metres_per_px), angle)
    assert camera.metres_per_px == pytest.approx(metres_per_px, rel=1e-14)
    assert (camera.frame_a[3] - camera.frame_a[2]) / camera.height_px == pytest.approx(metres_per_px, rel=1e-14)


def test_life_size_in_print_is_life_size(swatch: Equilibrium, flat: YarnModel) -> None:
    """As wide on the picture, in dots at its own resolution, as the yarn is in metres."""
    dpi = 60.0
    picture = draw_side(flat, "face", metres_per_px=0.0254 / dpi, ground=None)
    opaque = np.asarray(picture.image)[..., 3] > 128
    columns = np.nonzero(opaque.any(axis=0))[0]
    wide = 0.0254 * (columns[-1] - columns[0] + 1) / dpi
    tubes = flat.tubes
    true = np.ptp(tubes.vertex_vc[:, 0]) * tubes.scale
    assert wide == pytest.approx(true, abs=2 * 0.0254 / dpi)


def test_a_scale_is_one_of_two() -> None:
    for both in ((None, None), (200, 0.001)):
        with pytest.raises(ValueError, match="scale"):
            Scale(*both)


def test_grounds_lie_behind_the_fabric_and_change_nothing_on_it(flat: YarnModel) -> None:
    white, black, none = (
        np.asarray(draw_side(flat, "face", width_px=200, ground=ground).image).astype(int)
        for ground in ((255, 255, 255), (0, 0, 0), None)
    )
    opaque = none[..., 3] == 255
    assert opaque.mean() > 0.3
    assert np.array_equal(white[opaque], black[opaque])
    assert np.abs(none[opaque][:, :3] - white[opaque]).max() <= 1
    corner = (0, 0)
    assert white[corner].tolist() == [255, 255, 255]
    assert black[corner].tolist() == [0, 0, 0]
    assert none[corner][3] == 0


def test_a_transparent_picture_laid_on_white_is_the_picture_on_white(flat: YarnModel) -> None:
    """Light adds up in linear light; laid over in sRGB, as viewers do, edges may be off by a shade."""
    white = np.asarray(draw_side(flat, "face", width_px=240, ground=(255, 255, 255)).image).astype(int)
    over = Image.new("RGBA", (white.shape[1], white.shape[0]), (255, 255, 255, 255))
    over.alpha_composite(draw_side(flat, "face", width_px=240, ground=None).image)
    off = np.abs(np.asarray(over)[..., :3].astype(int) - white)
    opaque = np.asarray(draw_side(flat, "face", width_px=240, ground=None).image)[..., 3]
    assert off[(opaque == 255) | (opaque == 0)].max() <= 1
    assert off.mean() < 3.0


def test_a_repeat_has_no_ground_to_show() -> None:
    picture = draw_side(build_yarns(fabric(PLAIN), "draft"), "face", width_px=200, ground=None)
    assert np.asarray(picture.image)[..., 3].min() == 255


def test_a_wide_draft_is_drawn_smaller_and_enlarged(flat: YarnModel, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []

    def noted(stage: TraceStage, camera: Camera, samples: int) -> object:
        asked.append(camera.width_px)
        return trace(stage, camera, samples)

    monkeypatch.setattr(views, "trace", noted)
    monkeypatch.setattr(views, "SHRUNK_ABOVE", 119)
    small, wide = (draw_side(flat, "face", width_px=width).image for width in (119, 120))
    assert asked == [119, 120 // flat.level.shrink]
    assert (small.width, wide.width) == (119, 120)
    assert wide.height == camera_for(flat, "face", Scale(120)).height_px


def test_another_paint_changes_colours_and_nothing_else(flat: YarnModel) -> None:
    tubes = flat.tubes
    dyed = as_dyed(flat.equilibrium.scene, tubes)
    swapped = flat.painted(Paint(dyed.rgb_k3[::-1], tubes.yarn_g))
    one, other, back = (
        np.asarray(draw_side(model, "face", width_px=200, ground=None).image)
        for model in (flat, swapped, swapped.painted(dyed))
    )
    assert np.array_equal(one[..., 3], other[..., 3])
    assert np.array_equal(one, back)
    assert (one[..., :3] != other[..., :3]).any(axis=2).mean() > 0.5


def test_a_picture_too_large_for_the_memory_is_refused_in_one_line(
    flat: YarnModel, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(memory, "free_memory", lambda: 1 << 20)
    with pytest.raises(InputError, match=r"400 x .* pixels, which take .* GB; allowed: .* fewer dots per inch"):
        draw_side(flat, "face", width_px=400)
    with pytest.raises(InputError, match="65500 pixels to a side"):
        draw_side(flat, "face", width_px=70_000)


def test_memory_is_known() -> None:
    assert 1 << 24 < memory.free_memory() < 1 << 50


def test_a_page_may_have_another_paper(flat: YarnModel) -> None:
    picture = draw_side(flat, "face", width_px=300, ground=(255, 255, 255))
    sheet = np.asarray(page(flat, [picture], paper=(255, 255, 255)))
    assert (sheet[0] == 255).all()
    assert (sheet[:, 0] == 255).all()


def test_a_file_says_how_large_it_is_in_print() -> None:
    import io

    said = Image.open(io.BytesIO(image_png(Image.new("RGB", (20, 10)), 300.0))).info["dpi"]
    assert said == pytest.approx((300.0, 300.0), abs=0.02)  # which PNG holds in whole pixels a metre
    assert "dpi" not in Image.open(io.BytesIO(image_png(Image.new("RGB", (20, 10))))).info
