"""A section as it is drawn: to scale, with its words beside the fabric."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from fabricsim.render.basics.files import figure_image
from fabricsim.render.basics.palette import HAIR
from fabricsim.render.section.figure import OUTLINE, RING, section_figure
from fabricsim.render.section.geometry import CrossSection, section_of
from fabricsim.render.section.layers import float_colour
from fabricsim.render.yarn.loop_form import YARN_THICKNESS
from tests.render.fabrics import GAUGE, MOTIF, PLAIN, THREE, fabric

SCENES = Path(__file__).parents[3] / "scenes"
W = GAUGE.stitch_width
INK = (44, 42, 40)


def pixels(figure: Figure) -> np.ndarray:
    return np.asarray(figure_image(figure)).astype(int)


def longest_run(dark_w: np.ndarray) -> int:
    return max((len(run) for run in "".join("#" if d else " " for d in dark_w).split()), default=0)


@pytest.mark.parametrize("metres_per_px", [1e-4, 2.5e-4])
def test_a_centimetre_in_the_figure_is_a_centimetre(metres_per_px: float) -> None:
    section = section_of(fabric(MOTIF, slack=-0.05, squeeze=0.95), 3)
    figure = section_figure(section, metres_per_px=metres_per_px, title="To scale")
    image = pixels(figure)
    dark = np.abs(image - INK).max(axis=2) < 40
    # the scale bar is the longest dark line at the foot; it is a round length
    foot = dark[-60 * image.shape[1] // 600 :, : image.shape[1] // 2]
    bar = max(longest_run(row) for row in foot) * metres_per_px
    round_lengths = np.array([0.005, 0.01, 0.02, 0.05])
    assert np.abs(bar - round_lengths).min() <= 3.0 * metres_per_px
    # the yarn itself, from the left to the right end of what is shown
    middle = max(figure.axes[0].lines, key=lambda line: len(line.get_xdata()))
    level, stitch = image.shape[0] - middle.get_ydata()[0], W / metres_per_px
    band = image[round(level - 0.6 * stitch) : round(level - 0.15 * stitch)]  # on the face side of that line
    across = np.flatnonzero((np.abs(band - (247, 244, 238)).max(axis=2) > 12).any(axis=0))
    assert (across[-1] + 1 - across[0]) * metres_per_px == pytest.approx(section.now, abs=4.0 * metres_per_px)


def test_yarn_is_drawn_as_thick_as_it_is() -> None:
    section = section_of(fabric(THREE, slack=0.05), 1)
    figure = section_figure(section, metres_per_px=1e-4, dpi=200)
    _, floats, _ = figure.axes[0].collections
    drawn = max(floats.get_linewidths()) / 72.0 * 200 * 1e-4
    assert drawn == pytest.approx(section.thickness, rel=1e-9)
    for layer in figure.axes[0].collections:  # each strand twice: its outline, and itself within
        wide_k = np.asarray(layer.get_linewidths())
        np.testing.assert_allclose(wide_k[1::2], wide_k[::2] * (1.0 - 2.0 * OUTLINE))
        assert (np.asarray(layer.get_colors())[::2, :3] == np.asarray(layer.get_colors())[0, :3]).all()
        for outer, inner in zip(layer.get_segments()[::2], layer.get_segments()[1::2], strict=True):
            np.testing.assert_array_equal(outer, inner)
    assert section.thickness == pytest.approx(YARN_THICKNESS * W)


def test_a_figure_is_as_wide_as_asked_for_and_has_one_scale_both_ways() -> None:
    section = section_of(fabric(MOTIF, slack=0.05), 3)
    for wide in (500, 1200, 1777):
        figure = section_figure(section, width_px=wide)
        image = pixels(figure)
        assert image.shape[1] == wide
        (left, right), (low, high) = figure.axes[0].get_xlim(), figure.axes[0].get_ylim()
        assert (right - left, high - low) == (image.shape[1], image.shape[0])


def test_nothing_is_written_on_the_fabric() -> None:
    for case, across in (("repeat", 1), ("swatch", 2), ("round", 4)):
        section = section_of(fabric(MOTIF, case, across=across, slack=-0.05), 3)
        figure = section_figure(section, width_px=900, title="A title that may be long")
        figure.draw_without_rendering()
        low, high = section.height
        per_px = (section.extent[1] - section.extent[0]) / drawn_width(figure, section)
        collections = figure.axes[0].collections
        paths = np.concatenate([path.vertices for lines in collections for path in lines.get_paths()])
        level = paths[:, 1].max() + 0.5 * section.thickness / per_px
        bottom = level - (high - low) / per_px
        for text in figure.axes[0].texts:
            if not text.get_text():
                continue
            box = text.get_window_extent()
            inside = paths[(paths[:, 0] > box.x0) & (paths[:, 0] < box.x1)]
            clear = len(inside) == 0 or not ((inside[:, 1] > box.y0) & (inside[:, 1] < box.y1)).any()
            assert clear, text.get_text()
            assert box.x0 > 0
            assert box.x1 < 900
            assert box.y0 > 0
        assert bottom > 0


def test_the_yarn_of_a_very_slack_float_is_drawn_within_the_figure() -> None:
    section = section_of(fabric(("a" * 15 + "b" + "a" * 14,) * 3, slack=0.5), 1)
    assert section.floats[section.hardest].yarn_length > 1.4 * section.plain
    for figure in (section_figure(section, width_px=800), section_figure(section, metres_per_px=3e-4)):
        wide = figure.axes[0].get_xlim()[1]
        x = np.concatenate([line.get_xdata() for line in figure.axes[0].lines])
        assert x.min() > 0.03 * wide
        assert x.max() < 0.97 * wide


def drawn_width(figure: Figure, section: CrossSection) -> float:
    """Return how wide the middle line is drawn, px, from stitch to stitch as far as it is shown."""
    lines = [line.get_xdata() for line in figure.axes[0].lines if len(line.get_xdata()) > 20]
    middle = max(lines, key=np.ptp)
    shown = section.line_kc[(section.line_kc[:, 0] >= section.extent[0]) & (section.line_kc[:, 0] <= section.extent[1])]
    return float(np.ptp(middle) / np.ptp(shown[:, 0]) * (section.extent[1] - section.extent[0]))


def words(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.axes[0].texts if text.get_text()]


def test_the_words_say_what_shortens() -> None:
    tight = section_of(fabric(MOTIF, slack=-0.1, squeeze=0.9), 1)
    one = tight.floats[tight.hardest]
    assert words(section_figure(tight, title="Juniper")) == [
        "just long enough",
        f"{100 * one.width:.2f} cm now",
        f"{100 * one.yarn_length:.2f} cm of yarn",
        f"{100 * one.span:.2f} cm in plain fabric",
        f"{100 * 24 * W * 0.9:.1f} cm now, 10.0 % narrower",
        f"{100 * 24 * W:.1f} cm in plain fabric",
        "Juniper",
        "Row 2 seen edge on, from below: face up, floats at the back",
        "2 cm",
        *("20 %", "10 %", "0", "slack floats: yarn to spare"),
    ]
    taut = words(section_figure(section_of(fabric(MOTIF, "round", across=4, slack=-0.08), 1)))
    assert {"pulls 8 cN", "Round 2 seen edge on, from below: outside up, floats inside", "taut: pull"} <= set(taut)
    named = words(section_figure(section_of(fabric(MOTIF, slack=0.08), 1), name="Rib, round 2"))
    assert "Rib, round 2 seen edge on, from below: face up, floats at the back" in named
    loose = words(section_figure(section_of(fabric(MOTIF, slack=0.08), 1)))
    assert "at rest 8 % to spare" in loose
    assert f"{100 * 24 * W:.1f} cm now, no narrower" in loose
    assert "just long enough" in words(section_figure(section_of(fabric(MOTIF, slack=0.0), 1)))


def test_fabric_without_floats_is_drawn_too() -> None:
    for case in ("repeat", "swatch", "round"):
        section = section_of(fabric(PLAIN, case, across=1 if case == "repeat" else 3), 4)
        assert section.hardest is None
        assert section.floats == ()
        assert pixels(section_figure(section, width_px=600)).shape[1] == 600


def test_a_vector_figure_has_the_same_scale() -> None:
    figure = section_figure(section_of(fabric(MOTIF), 1), width_px=900, dpi=150)
    buffer = io.BytesIO()
    figure.savefig(buffer, format="svg")
    assert b'width="432pt"' in buffer.getvalue()  # 900 px at 150 to the inch of 72 points


def test_the_whole_round_is_drawn_small_with_every_float_a_chord_in_its_colour() -> None:
    section = section_of(fabric(MOTIF, "round", across=4, slack=-0.08), 1)
    greatest = 0.2
    figure = section_figure(section, width_px=1200, greatest=greatest)
    chords = [one for one in figure.axes[0].lines if one.get_linewidth() == pytest.approx(3.6 * 72.0 / figure.dpi)]
    every = (*section.beyond, *section.floats)
    assert section.beyond
    assert len(chords) == len(every)
    radius = float(np.linalg.norm(section.line_kc, axis=1).max())
    small = 0.5 * RING / radius
    middle = np.mean([[line.get_xdata().mean(), line.get_ydata().mean()] for line in round_lines(figure)], axis=0)
    for line, one in zip(chords, every, strict=True):
        assert line.get_color() == pytest.approx(tuple(float_colour(one, greatest)))
        path_kc = np.column_stack([line.get_xdata(), line.get_ydata()])
        way = (one.line_kc[0] - one.line_kc[-1])[:2] * small
        np.testing.assert_allclose(path_kc[0] - path_kc[-1], way, atol=0.03 * RING)  # slack floats bow
        assert np.linalg.norm(path_kc - middle, axis=1).max() < 0.5 * RING + 2.0


def round_lines(figure: Figure) -> list:  # type: ignore[type-arg]
    """Return the line of the whole round."""
    thin = 2.0 * 72.0 / figure.dpi
    return [
        one for one in figure.axes[0].lines
        if one.get_linewidth() == pytest.approx(thin) and to_rgb(one.get_color()) != to_rgb(HAIR)
        and len(one.get_xdata()) > 20
    ]  # fmt: skip
