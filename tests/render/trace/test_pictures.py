"""What the pictures show: colours where the chart has them, floats behind, the same picture every time."""

from __future__ import annotations

import os
import signal

import numpy as np
import pytest

from fabricsim.render import build_yarns, draw, draw_side, page
from fabricsim.render.trace import forked as bands
from fabricsim.render.trace.camera import Scale, windowed
from fabricsim.render.trace.model import DRAFT, USUAL_PX, LevelOfDetail, YarnModel, level_for
from fabricsim.render.trace.occlusion import openness
from fabricsim.render.trace.shade import Light, shade, softened
from fabricsim.render.trace.trace import first_hits, sample_places, trace
from fabricsim.render.trace.views import camera_for
from fabricsim.render.yarn.tubes import Spot, spots
from tests.render.fabrics import CHECK, GAUGE, MOTIF, PLAIN, THREE, cylinder, fabric, mirror_twins, ripples
from tests.render.looking import seen, unlit


@pytest.fixture(scope="module")
def motif() -> YarnModel:
    return build_yarns(fabric(MOTIF, slack=-0.02), "draft")


@pytest.mark.parametrize("rows", [MOTIF, CHECK, THREE], ids=["motif", "check", "three"])
def test_the_face_shows_each_colour_as_often_as_the_chart(rows: tuple[str, ...]) -> None:
    equilibrium = fabric(rows, slack=0.0)
    model = unlit(equilibrium)
    face = seen(model, camera_for(model, "face", Scale(600)))
    grid = equilibrium.scene.chart_grid()
    for which in np.unique(grid):
        assert face.share(which) == pytest.approx((grid == which).mean(), abs=0.02)
    assert face.gaps < 0.005
    assert face.carried <= 0.01


def test_each_stitch_shows_its_own_colour_in_its_middle(motif: YarnModel) -> None:
    camera = camera_for(motif, "face", Scale(480))
    yarn = seen(motif, camera).yarn_hw
    grid = motif.equilibrium.scene.chart_grid()
    left, _, bottom, _ = motif.tiling.window_a
    right = 0
    for row in range(1, 17):
        for column in range(1, 23):
            x = (column + 0.5 + 0.22) * GAUGE.stitch_width  # the middle of the right leg
            y = (row + 0.5) * GAUGE.row_height
            pixel = int(y / camera.metres_per_px), int(x / camera.metres_per_px)
            right += yarn[camera.height_px - 1 - pixel[0], pixel[1]] == grid[row % 8, column % 12]
    assert right == 16 * 22
    assert left == pytest.approx(-0.5 * GAUGE.stitch_width)
    assert bottom == pytest.approx(-0.5 * GAUGE.row_height)


def test_the_back_shows_the_floats(motif: YarnModel) -> None:
    assert seen(motif, camera_for(motif, "face", Scale(480))).carried <= 0.01
    assert seen(motif, camera_for(motif, "back", Scale(480))).carried > 0.25


def test_plain_fabric_shows_no_floats_on_either_side() -> None:
    model = unlit(fabric(PLAIN))
    for side in ("face", "back"):
        assert seen(model, camera_for(model, side, Scale(300))).carried == 0.0


def test_a_mirrored_chart_gives_the_mirrored_picture(motif: YarnModel) -> None:
    mirrored = unlit(fabric(tuple(row[::-1] for row in MOTIF), slack=-0.02))
    for side in ("face", "back"):
        one = seen(motif, camera_for(motif, side, Scale(480))).yarn_hw
        other = seen(mirrored, camera_for(mirrored, side, Scale(480))).yarn_hw
        # the flats of the tubes are turned another way round, which shows at the rims
        assert (one == other[:, ::-1]).mean() > 0.97


def test_a_mirrored_swatch_gives_the_mirrored_picture_with_its_edges() -> None:
    one, other = (unlit(piece) for piece in mirror_twins())
    width, height = GAUGE.stitch_width, GAUGE.row_height
    for side in ("face", "back"):
        pictures = []
        for model, lowest in ((one, 2), (other, 1)):
            axes = camera_for(model, side, Scale(480)).axes_ac
            # edges and all, from the first row of the chart to its last
            window = np.array([-2 * width, 13 * width, (lowest - 0.5) * height, (lowest + 5.5) * height])
            pictures.append(seen(model, windowed(axes, window, Scale(480))).yarn_hw)
        # the flats of the tubes are turned another way round, which shows at the rims
        assert (pictures[0] == pictures[1][:, ::-1]).mean() > 0.97


def test_face_and_back_of_flat_fabric_are_mirror_views_of_one_outline() -> None:
    model = unlit(fabric(MOTIF, "swatch", slack=-0.05))
    face, back = (camera_for(model, side, Scale(300)) for side in ("face", "back"))
    assert face.metres_per_px == pytest.approx(back.metres_per_px)
    one, other = (trace(model.stage, camera, 1)[..., 3] for camera in (face, back))
    assert (one == other[:, ::-1]).mean() > 0.99


def test_the_number_of_processes_does_not_change_a_picture(motif: YarnModel, monkeypatch: pytest.MonkeyPatch) -> None:
    camera = camera_for(motif, "back", Scale(160))
    pictures = []
    for processes in (1, 2, 3):
        monkeypatch.setattr("fabricsim.render.trace.trace.processes_for", lambda _, n=processes: n)
        pictures.append(trace(motif.stage, camera, 4))
    assert (pictures[0] == pictures[1]).all()
    assert (pictures[0] == pictures[2]).all()


def test_the_same_fabric_gives_the_same_bytes() -> None:
    pieces = (fabric(CHECK, "swatch", across=2, slack=0.05) for _ in range(2))
    one, other = (draw(piece, "back", width_px=300, quality="draft") for piece in pieces)
    assert one.tobytes() == other.tobytes()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_band_lost_with_its_process_is_done_again() -> None:
    here = os.getpid()

    def work(first: int, end: int, rows: np.ndarray) -> None:
        if os.getpid() != here:
            os._exit(9)
        rows[:] = np.arange(first, end)[:, None]

    assert (bands.fill((50, 2), work, 3)[:, 1] == np.arange(50)).all()


def test_every_process_does_its_own_share_whatever_ctrl_c_does() -> None:
    def work(_first: int, _end: int, rows: np.ndarray) -> None:
        rows[:] = os.getpid(), signal.getsignal(signal.SIGINT) is signal.SIG_IGN

    done = bands.fill((50, 2), work, 3)
    beside = done[done[:, 0] != np.float32(os.getpid())]
    assert len(np.unique(done[:, 0])) == 3
    assert beside[:, 1].all()
    assert not done[done[:, 0] == np.float32(os.getpid()), 1].any()


def test_light_is_finite_and_openness_a_share(motif: YarnModel) -> None:
    skin = motif.stage.skin
    assert skin.open_gk.min() > 0.0
    assert skin.open_gk.max() <= 1.0
    light = trace(motif.stage, camera_for(motif, "face", Scale(200)), 4)
    assert np.isfinite(light).all()
    assert light.min() >= 0.0


def test_yarn_is_shaded_in_numbers_of_4_bytes(motif: YarnModel) -> None:
    # those of 8 would take twice as long, and a picture depend on how it is cut into bands
    skin, camera = motif.stage.skin, camera_for(motif, "face", Scale(200))
    spot = Spot(np.arange(50), np.full(50, 0.3, np.float32), np.linspace(0.0, 6.2, 50, dtype=np.float32))
    axes = camera.axes_ac.astype(np.float32)
    for yarn_px in (3.0, 20.0):
        looks = shade(skin, spot, Light(axes[2], axes[1], axes[2]), yarn_px)
        assert {one.dtype for one in (looks.sky_mc, looks.key_mc, looks.out_mc, looks.facing_m)} == {np.dtype("f4")}


def test_heads_are_darker_than_legs_where_yarn_is_baked(motif: YarnModel) -> None:
    tubes, strands = motif.stage.skin.tubes, motif.strands
    baked = openness(motif.stage.rays, tubes, 16, 1)
    outer = baked.max(axis=1)
    body = ~strands.link_p
    front, back = body & (strands.x_pc[:, 2] > 0.2 * GAUGE.stitch_width), body & (strands.x_pc[:, 2] < 0)
    assert outer[front].mean() > outer[back].mean()


def test_the_back_of_a_tube_is_its_inside() -> None:
    model = unlit(fabric(MOTIF, "round", across=3, slack=-0.05))
    depth = model.strands.x_pc[:, 2]
    for side, front in (("face", True), ("back", False)):
        camera = camera_for(model, side, Scale(240))
        hits, _ = first_hits(model.stage, camera)
        met = hits.triangle_m >= 0
        spot = spots(model.stage.skin.tubes, hits.triangle_m[met], hits.u_m[met], hits.v_m[met])
        seen_depth = depth[spot.ring_m]
        assert met.mean() > 0.3
        if front:
            assert (seen_depth > 0).mean() > 0.6
        else:
            assert seen_depth.max() < 0.5 * GAUGE.stitch_width  # nothing of the near half
    faces = [camera_for(model, side, Scale(240)) for side in ("face", "back")]
    assert faces[0].metres_per_px == faces[1].metres_per_px


def test_fabric_is_closed_where_it_is_bent_and_puckered() -> None:
    for bend in (cylinder(0.04), ripples(0.004, 0.06, 0.05)):
        model = unlit(fabric(PLAIN, "swatch", across=2, up=2, bend=bend))
        for side in ("face", "back"):
            assert seen(model, camera_for(model, side, Scale(300))).gaps < 0.005


def test_a_picture_is_as_wide_as_asked_and_knows_its_scale(motif: YarnModel) -> None:
    picture = draw_side(motif, "face", width_px=350)
    assert picture.image.width == 350
    assert picture.metres_per_px * 350 == pytest.approx(24 * GAUGE.stitch_width)
    assert picture.timings.build > 0
    assert picture.timings.bake > 0
    assert picture.timings.trace > 0


def test_a_very_tall_piece_is_fitted_in() -> None:
    model = build_yarns(fabric(("ab", "ba"), "swatch", up=12), "draft")
    image = draw_side(model, "face", width_px=200).image
    assert image.width == 200
    assert image.height <= 300
    pixels = np.asarray(image)
    assert (pixels[0] == pixels[0, 0]).all()  # paper all round
    assert (pixels[:, 0] == pixels[0, 0]).all()


def test_bright_light_stays_below_white_and_keeps_its_hue() -> None:
    light = np.array([[0.2, 0.3, 0.1], [3.0, 1.5, 0.75]], dtype=np.float32)
    soft = softened(light)
    np.testing.assert_allclose(soft[0], light[0], rtol=1e-6)
    assert soft[1].max() < 1.0
    np.testing.assert_allclose(soft[1] / soft[1, 0], light[1] / light[1, 0], rtol=1e-6)


@pytest.mark.parametrize("count", [1, 4, 9])
def test_samples_share_no_row_or_column_of_a_pixel(count: int) -> None:
    place = sample_places(count)
    assert place.shape == (count, 2)
    for axis in range(2):
        np.testing.assert_allclose(np.sort(place[:, axis]), (np.arange(count) + 0.5) / count, rtol=1e-6)


def test_full_quality_draws_finer_yarn_than_a_draft() -> None:
    full, draft = (build_yarns(fabric(("ab", "ba"), "swatch", across=3), quality) for quality in ("full", "draft"))
    assert len(full.stage.skin.tubes.triangle_tv) > 3 * len(draft.stage.skin.tubes.triangle_tv)
    pictures = [draw_side(model, "face", width_px=240) for model in (full, draft)]
    assert pictures[0].image.height == pytest.approx(pictures[1].image.height, abs=2)  # outlines differ a little
    one, other = (np.asarray(one.image, float) for one in pictures)
    tall = min(len(one), len(other))
    apart = np.abs(one[:tall] - other[:tall]).mean()
    assert apart < 16  # of 255: the same fabric, more roughly
    assert page(full, pictures[:1]).width > 240


def test_larger_pictures_are_drawn_more_finely_as_far_as_memory_goes() -> None:
    small, usual = level_for("full", 3510, 600), level_for("full", 3510)
    assert small == usual
    assert (level_for("full", 3510, 2400).steps, level_for("full", 3510, 2400).sides) == (30, 7)
    assert level_for("full", 40_000, 1e5) == level_for("full", 40_000)
    assert level_for("draft", 100, 1e5).shrink == 2


def test_yarn_is_as_fine_as_the_picture_that_is_asked_for_needs(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[int, float]] = []

    def level(quality: str, stitches: int, width_px: float) -> LevelOfDetail:
        asked.append((stitches, width_px))
        return DRAFT

    monkeypatch.setattr("fabricsim.render.trace.model.level_for", level)
    piece = fabric(PLAIN, "swatch")
    for size in (None, Scale(4800), Scale(metres_per_px=GAUGE.stitch_width / 50)):
        assert build_yarns(piece, size=size).level == DRAFT
    # in print by the pixels from the middle of the first stitch to that of the last
    assert asked == [(64, USUAL_PX), (64, 4800), (64, pytest.approx(7 * 50))]
