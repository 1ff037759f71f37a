"""The pictures of a lesson: of one size, at one scale, plain edges marked, from pictures that nobody traced."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.basics.palette import GREY, PAPER, rgb
from fabricsim.render.basics.scale import round_end
from fabricsim.render.handouts import lesson_pictures
from fabricsim.render.handouts.lesson_pictures import BARE, BESIDE, DASH, album, hardest, plain_width
from tests.render.fabrics import GAUGE, MOTIF, fabric
from tests.render.looking import unlit

WIDE_PX = 300
HIGH = {"face": 90, "back": 70}
"""Heights of the blocks that stand for pictures, pixels."""


def rests() -> list[Equilibrium]:
    return [fabric(MOTIF, slack=slack, squeeze=squeeze) for slack, squeeze in ((0.1, 1.0), (0.05, 1.0), (-0.1, 0.92))]


@pytest.fixture
def no_tracing(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, float, bool]]:
    """Half-clear blocks, as wide as the fabric, in place of pictures; what was asked for is listed."""
    asked: list[tuple[str, float, bool]] = []

    def drawn(model: Any, side: str, metres_per_px: float, ground: Any) -> Any:
        assert ground is None
        wide = round(float(model.equilibrium.period_a[0]) / metres_per_px)
        asked.append((side, metres_per_px, model.painted_over))
        shade = {"face": (200, 0, 0), "back": (0, 200, 0)}[side] if not model.painted_over else (0, 0, 200)
        return SimpleNamespace(image=Image.new("RGBA", (wide, HIGH[side]), (*shade, 255)))

    def build(rest: Equilibrium, quality: str) -> Any:
        assert quality == "draft"
        model = unlit(rest)
        own = SimpleNamespace(
            equilibrium=rest, tiling=model.tiling, strands=model.strands, painted_over=False, own=model
        )
        own.painted = lambda paint: SimpleNamespace(**{**vars(own), "painted_over": True})
        return own

    def paint(model: Any, greatest: float) -> tuple[None, Any]:
        return None, SimpleNamespace(greatest=greatest)

    monkeypatch.setattr(lesson_pictures, "draw_side", drawn)
    monkeypatch.setattr(lesson_pictures, "build_yarns", build)
    monkeypatch.setattr(lesson_pictures, "_lighter", lambda model: model)
    monkeypatch.setattr(lesson_pictures, "_scale", lambda model, width: WIDTH_M / width)
    monkeypatch.setattr(lesson_pictures, "tension_paint", paint)
    return asked


WIDTH_M = 24 * GAUGE.stitch_width


def test_all_are_of_one_size_at_one_scale_with_the_fabric_in_the_middle(
    no_tracing: list[tuple[str, float, bool]],
) -> None:
    heard: list[int] = []
    made = album(rests(), WIDE_PX, heard.append)
    assert heard == [0, 1, 2]
    assert made.metres_per_px == pytest.approx(WIDTH_M / (WIDE_PX - 2 * BESIDE))
    assert {scale for _, scale, _ in no_tracing} == {made.metres_per_px}
    # the second lies as the first does, so that its face need not be drawn again
    assert [(side, over) for side, _, over in no_tracing] == [
        ("face", False), ("back", False), ("back", True),
        ("back", False), ("back", True),
        ("face", False), ("back", False), ("back", True),
    ]  # fmt: skip
    sizes = {view.size for step in made.steps for view in (step.face, step.back, step.pull)}
    (size,) = sizes
    assert size[1] == 90  # of the tallest
    assert {step.section.width for step in made.steps} == {size[0]}
    for step, wide in zip(made.steps, (1.0, 1.0, 0.92), strict=True):
        for view, high, shade in (
            (step.face, 90, (200, 0, 0)),
            (step.back, 70, (0, 200, 0)),
            (step.pull, 70, (0, 0, 200)),
        ):
            rows, columns = np.nonzero((np.asarray(view) == shade).all(axis=2))
            across = round(12 * GAUGE.stitch_width * wide / made.metres_per_px)
            assert columns.max() + 1 - columns.min() == across
            assert columns.min() == (size[0] - across) // 2
            assert (rows.min(), rows.max() + 1) == ((90 - high) // 2, (90 - high) // 2 + high)
    assert made.colours.greatest == round_end(max(map(hardest, rests())))  # type: ignore[attr-defined]


def test_broken_lines_mark_how_wide_the_plain_fabric_is(no_tracing: list[tuple[str, float, bool]]) -> None:
    made = album(rests(), WIDE_PX)
    view = np.asarray(made.steps[-1].face).astype(int)
    plain = plain_width(unlit(rests()[0])) / made.metres_per_px
    assert view.shape[1] == round(plain) + 2 * BESIDE
    for x in (round(0.5 * (view.shape[1] - plain)), round(0.5 * (view.shape[1] + plain) - 1)):
        line = (view[:, x] == rgb(GREY)).all(axis=1)
        assert line[:DASH].all()
        assert not line[DASH : DASH + BARE].any()
        assert line[DASH + BARE : 2 * DASH + BARE].all()
        assert (view[:, x - 1] == PAPER).all()
        assert (view[:, x + 1] == PAPER).all()


def test_how_wide_the_plain_fabric_is() -> None:
    tight = fabric(MOTIF, "swatch", slack=-0.1, squeeze=0.9)
    loose = fabric(MOTIF, "swatch", slack=0.1)
    assert plain_width(unlit(tight)) == pytest.approx(plain_width(unlit(loose)), rel=0.02)
    drawn = np.ptp(unlit(loose).strands.x_pc[:, 0]) + unlit(loose).strands.thickness
    assert plain_width(unlit(loose)) == pytest.approx(drawn)
    repeat = plain_width(unlit(fabric(MOTIF, slack=-0.1, squeeze=0.9)))
    assert repeat == pytest.approx(plain_width(unlit(fabric(MOTIF, slack=0.1))))
    assert repeat / (12 * GAUGE.stitch_width) == pytest.approx(round(repeat / (12 * GAUGE.stitch_width)))


def test_the_hardest_pull_is_that_of_taut_floats_alone() -> None:
    tight = fabric(MOTIF, slack=-0.1, squeeze=0.95)
    assert hardest(tight) == pytest.approx(float(tight.tension_f.max()))
    assert hardest(tight) > 0.0
    assert hardest(replace(tight, tension_f=np.zeros_like(tight.tension_f))) == 0.0
    assert hardest(fabric(("aaaa",) * 2)) == 0.0


def test_what_is_worn_stands_on_one_line_at_the_scale_of_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    scales: list[float] = []

    def drawn(model: Any, side: str, metres_per_px: float) -> Image.Image:
        assert side == "face"
        scales.append(metres_per_px)
        return Image.new("RGBA", (round(model.wide / metres_per_px), model.tall), (200, 0, 0, 255))

    def build(rest: Any, quality: str) -> Any:
        return SimpleNamespace(worn_on=lambda form: SimpleNamespace(wide=rest, tall=form))

    monkeypatch.setattr(lesson_pictures, "build_yarns", build)
    monkeypatch.setattr(lesson_pictures, "_lighter", lambda model: model)
    monkeypatch.setattr(lesson_pictures, "_scale", lambda model, width: model.wide / width)
    monkeypatch.setattr(lesson_pictures, "_drawn", drawn)
    worn: Any = [(0.20, 90), (0.15, 70)]
    first, second = lesson_pictures.pictures_worn(worn, WIDE_PX)
    assert scales == [0.20 / (WIDE_PX - 2 * BESIDE)] * 2
    assert first.size == second.size == (WIDE_PX, 90)
    for sheet, wide, tall in ((first, 1.0, 90), (second, 0.75, 70)):
        rows, columns = np.nonzero((np.asarray(sheet) == (200, 0, 0)).all(axis=2))
        across = round((WIDE_PX - 2 * BESIDE) * wide)
        assert (np.ptp(columns) + 1, np.ptp(rows) + 1, rows.max()) == (across, tall, 89)
        assert columns.min() == (WIDE_PX - across) // 2
