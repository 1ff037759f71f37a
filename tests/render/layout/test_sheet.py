"""Pages and plots."""

from __future__ import annotations

import io
import subprocess
import sys

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from fabricsim import units
from fabricsim.errors import InputError
from fabricsim.fabric.mesh import LEFT, RIGHT
from fabricsim.render import build_yarns, draw, draw_side
from fabricsim.render.basics.letters import TITLE, font, shortened
from fabricsim.render.basics.palette import PAPER
from fabricsim.render.layout.sheet import page, picture_width, scale_length
from fabricsim.render.plots.shape import pucker_map, width_profile
from fabricsim.render.trace.camera import Camera
from fabricsim.render.trace.model import Timings
from fabricsim.render.trace.views import Picture
from tests.render.fabrics import CHECK, GAUGE, MOTIF, fabric, ripples, scene_of


def picture(width: int = 600, height: int = 400, metres_per_px: float = 0.0002) -> Picture:
    noise = np.random.default_rng(0).integers(0, 256, (height, width, 3)).astype(np.uint8)
    return Picture(Image.fromarray(noise, "RGB"), metres_per_px, "face", "face", Timings(0.0, 0.0))


def test_nothing_is_written_on_the_fabric() -> None:
    one = picture()
    sheet = np.asarray(page([one], scene_of(MOTIF)))
    fabric_pixels = np.asarray(one.image)
    first = fabric_pixels[0]
    found = [
        (y, x)
        for y in range(sheet.shape[0] - 400)
        for x in range(sheet.shape[1] - 600)
        if (sheet[y, x : x + 3] == first[:3]).all() and (sheet[y : y + 400, x : x + 600] == fabric_pixels).all()
    ]
    assert len(found) == 1
    top, left = found[0]
    outside = sheet.copy()
    outside[top : top + 400, left : left + 600] = PAPER
    # title above, side and scale and yarns below, nothing beside
    assert (outside[:top] != PAPER).any()
    assert (outside[top + 400 :] != PAPER).any()
    assert (outside[top : top + 400] == PAPER).all()


@pytest.mark.parametrize("wide", [150, 200, 255, 256, 257, 400, 700, 1199, 1200, 1201])
def test_a_page_is_exactly_as_wide_as_asked_for(wide: int) -> None:
    assert page([picture(picture_width(wide), 50)], scene_of(MOTIF), width_px=wide).width == wide


@pytest.mark.parametrize("wide", [250, 400, 701])
def test_a_drawing_is_exactly_as_wide_as_asked_for(wide: int) -> None:
    assert draw(fabric(CHECK, "swatch", across=2), width_px=wide, quality="draft").width == wide


def test_a_narrow_picture_stands_in_the_middle_of_its_page() -> None:
    one = picture(100, 300)
    sheet = np.asarray(page([one], scene_of(MOTIF), width_px=501))
    rows = [y for y in range(len(sheet) - 300) if (sheet[y : y + 300, 200:300] == np.asarray(one.image)).all()]
    assert len(rows) == 1


def test_a_page_without_a_width_leaves_the_same_paper_at_both_sides() -> None:
    sheet = np.asarray(page([picture(600), picture(600)], scene_of(MOTIF)))
    covered = np.nonzero((sheet[300] != PAPER).any(axis=1))[0]
    assert covered[0] == pytest.approx(sheet.shape[1] - 1 - covered[-1], abs=1)
    assert covered[0] == pytest.approx(0.036 * sheet.shape[1], abs=1)


def test_pictures_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="1222 pixels wide don't fit on a page of 1221"):
        page([picture(600), picture(600)], scene_of(MOTIF), width_px=1221)


def test_the_scale_bar_has_its_length() -> None:
    one = picture(metres_per_px=0.0002)  # 12 cm wide: the bar may be 2.64 cm, so it is 2 cm or 100 px
    sheet = np.asarray(page([one], scene_of(MOTIF))).astype(int)
    dark = sheet.sum(axis=2) < 250
    runs = [len(run) for row in dark[455:] for run in "".join("#" if d else " " for d in row).split()]
    assert max(runs) == pytest.approx(100, abs=3)


@pytest.mark.parametrize(
    ("most", "wanted"), [(0.0264, 0.02), (0.05, 0.05), (0.0499, 0.02), (0.1, 0.1), (0.3, 0.2), (0.0071, 0.005)]
)
def test_scale_bars_have_round_lengths(most: float, wanted: float) -> None:
    assert scale_length(most) == pytest.approx(wanted)


def test_only_yarns_in_use_are_in_the_key() -> None:
    scene = scene_of(MOTIF)
    only = scene.model_copy(update={"yarns": (*scene.yarns, scene.yarns[0].model_copy(update={"symbol": "z"}))})
    assert page([picture()], scene, title="x").tobytes() == page([picture()], only, title="x").tobytes()


def test_many_long_yarn_names_take_more_rows() -> None:
    scene = scene_of(("abc", "bca"))
    names = ["Very long name of a yarn, undyed", "Another name that is quite as long", "And a third one, longer still"]
    long = scene.model_copy(
        update={
            "yarns": tuple(
                yarn.model_copy(update={"name": name}) for yarn, name in zip(scene.yarns, names, strict=True)
            )
        }
    )
    assert page([picture()], long).height > page([picture()], scene).height


def test_pictures_of_two_scales_do_not_share_a_page() -> None:
    with pytest.raises(ValueError, match="scale"):
        page([picture(), picture(metres_per_px=0.0003)], scene_of(MOTIF))


def test_titles_are_cut_and_find_a_font_that_has_their_letters() -> None:
    assert shortened("short", 20, TITLE, 500) == "short"
    cut = shortened("a title that has no end " * 9, 20, TITLE, 300)
    assert cut.endswith("…")
    assert font(cut, 20, TITLE).getlength(cut) <= 300
    assert font("Plain", 20, TITLE).getname()[0] == "STIXGeneral"
    assert font("Ⴀ\ua640", 20, TITLE).getname()[0] == "DejaVu Serif"


def test_a_pucker_map_lays_every_stitch_once_and_is_white_at_zero() -> None:
    equilibrium = fabric(MOTIF, "swatch", across=2, bend=ripples(0.0032, 0.05, 0.04))
    height = equilibrium.x_nc[:, 2]
    figure = pucker_map(equilibrium.x_nc[:, :2], equilibrium.mesh.neighbour_n4, height, title="A $5 map_of")
    (cells,) = figure.axes[0].collections
    assert len(cells.get_paths()) == len(height)
    low, high = cells.get_clim()
    assert low == -high
    assert high >= 1e3 * np.abs(height).max()
    assert np.allclose(cells.cmap(cells.norm(0.0))[:3], 1.0, atol=0.04)
    np.testing.assert_allclose(cells.get_array(), 1e3 * height)
    # the cells of flat places tile: their areas, in cm2, add up to that of the fabric
    area = sum(polygon_area(path.vertices[:4]) for path in cells.get_paths())
    assert area == pytest.approx(len(height) * GAUGE.stitch_width * GAUGE.row_height * 1e4, rel=1e-6)
    figure.savefig(io.BytesIO())


def cell_areas(figure: Figure) -> list[float]:
    """Return the areas of the map's cells, as shares of a stitch at rest."""
    stitch = GAUGE.stitch_width * GAUGE.row_height / units.CM**2
    return [polygon_area(path.vertices[:4]) / stitch for path in figure.axes[0].collections[0].get_paths()]


def test_the_map_of_a_repeat_has_no_torn_cells_and_is_flat_where_the_fabric_is() -> None:
    repeat = fabric(MOTIF)
    figure = pucker_map(
        repeat.x_nc[:, :2],
        repeat.mesh.neighbour_n4,
        repeat.x_nc[:, 2],
        period_a=repeat.period_a,
        shift_n42=repeat.mesh.shift_n42,
    )
    assert cell_areas(figure) == pytest.approx(np.ones(8 * 12))
    assert figure.axes[0].collections[0].get_clim() == (-1.0, 1.0)
    figure.savefig(io.BytesIO())


@pytest.mark.parametrize(("rows", "across", "up"), [(MOTIF, 2, 1), (MOTIF, 1, 5), (("ab", "ab"), 3, 30)])
def test_the_map_of_an_unrolled_tube_has_no_torn_cells_however_tall_it_is(
    rows: tuple[str, ...], across: int, up: int
) -> None:
    mesh = fabric(rows, "round", across=across, up=up).mesh
    assert up == 1 or mesh.rows * GAUGE.row_height > 2 * mesh.stitches * GAUGE.stitch_width
    neighbour = mesh.neighbour_n4.copy()
    neighbour[mesh.column_n == 0, LEFT] = neighbour[mesh.column_n == mesh.stitches - 1, RIGHT] = -1
    unrolled = np.column_stack([mesh.column_n * GAUGE.stitch_width, mesh.row_n * GAUGE.row_height])
    assert cell_areas(pucker_map(unrolled, neighbour, np.zeros(len(unrolled)))) == pytest.approx(np.ones(len(unrolled)))


def test_the_map_of_the_smallest_swatch_has_whole_cells() -> None:
    small = fabric(("ab", "ba"), "swatch")
    figure = pucker_map(small.x_nc[:, :2], small.mesh.neighbour_n4, small.x_nc[:, 2])
    assert cell_areas(figure) == pytest.approx(np.ones(4))


def polygon_area(corner_k2: np.ndarray) -> float:
    x, y = corner_k2.T
    return 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))


def test_a_width_profile_shows_rows_upwards_with_its_band_and_the_plain_width() -> None:
    width = 0.2 - 0.01 * np.sin(np.linspace(0, np.pi, 30))
    figure = width_profile(width, 0.2, low_r=width - 0.004, high_r=width + 0.002, title="Width")
    axes = figure.axes[0]
    plain, forecast = axes.lines
    np.testing.assert_allclose(forecast.get_xdata()[1:-1], 100 * width)
    assert forecast.get_ydata().tolist() == [0.5, *range(1, 31), 30.5]  # rows reach to their edges
    np.testing.assert_allclose(plain.get_xdata(), 20.0)
    left, right = axes.get_xlim()
    assert left < 100 * (width - 0.004).min()
    assert right > 100 * (width + 0.002).max()
    assert len(axes.collections) == 1
    assert axes.get_ylabel() == "row"
    tube = width_profile(width, 0.2, row_word="round").axes[0]
    assert len(tube.collections) == 0
    assert tube.get_ylabel() == "round"
    figure.savefig(io.BytesIO())


def test_a_single_row_shows_as_a_line() -> None:
    _, forecast = width_profile(np.array([0.19]), 0.2).axes[0].lines
    assert np.ptp(forecast.get_ydata()) == 1.0


def test_a_range_of_nothing_is_not_shown() -> None:
    width = np.full(5, 0.2)
    assert len(width_profile(width, 0.2, low_r=width, high_r=width).axes[0].collections) == 0


def test_a_camera_measures_in_metres() -> None:
    camera = Camera(np.eye(3), np.array([-0.1, 0.1, 0.0, 0.1]), 400, 200)
    assert camera.metres_per_px == pytest.approx(0.0005)


@pytest.mark.parametrize(
    ("asked", "line"),
    [
        ({"side": "front"}, "side: given 'front'; allowed: face, back; name one of them"),
        ({"quality": "fine"}, "quality: given 'fine'; allowed: full, draft; name one of them"),
    ],
)
def test_an_unknown_side_or_quality_is_refused_before_any_work(
    asked: dict[str, str], line: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    equilibrium = fabric(CHECK)
    monkeypatch.setattr("fabricsim.render.trace.model.tiled", lambda _: pytest.fail("drawing has begun"))
    with pytest.raises(InputError) as refused:
        draw(equilibrium, **asked)
    assert str(refused.value) == line


def test_both_steps_of_a_drawing_refuse_unknown_words_too() -> None:
    equilibrium = fabric(CHECK)
    with pytest.raises(InputError, match="quality"):
        build_yarns(equilibrium, "fine")
    with pytest.raises(InputError, match="side"):
        draw_side(build_yarns(equilibrium, "draft"), "front")


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = (
        "import sys, fabricsim.render\n"
        "heavy = {'matplotlib', 'PIL', 'embreex', 'scipy', 'trimesh', 'numpy'} & set(sys.modules)\n"
        "sys.exit(', '.join(sorted(heavy)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
