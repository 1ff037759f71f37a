"""``fabricsim sheet`` as its users meet it."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.cli.commands.sheet import pictures as sheet_pictures
from fabricsim.cli.commands.sheet import words as sheet_words
from fabricsim.design.floats.faults import faults
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.render import build_yarns, draw_side
from fabricsim.render.basics.files import figure_image
from fabricsim.render.handouts.handout import MARGIN, SHEET, Column, Handout, column_width, common_scale, handout_figure
from fabricsim.render.layout.paper import DPI
from fabricsim.study.forecast.sweep import Step, sweep
from tests.cli.remembered import remembered
from tests.render.fabrics import CHECK, fabric
from tests.support.little import assert_refused, little

ROWS = ("..bbbb..", ".b....b.", "..bbbb..", "........")
SCENE = little(ROWS, title="Little <check> & $x^2$ of Zoë", floats="longest_gap = 3", case="round")


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(SCENE)
    return path


@pytest.fixture(autouse=True, scope="module")
def solved_once() -> Iterator[None]:
    with remembered(sheet_pictures, "sweep"):
        yield


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> Scene:
    path = tmp_path_factory.mktemp("scene") / "check.toml"
    path.write_text(SCENE)
    return read_scene(path)


@pytest.fixture(scope="module")
def steps(scene: Scene) -> tuple[Step, ...]:
    return sweep(scene, "repeat", (-0.08, 0.1, 0.3)).steps


def _sheet(*words: object) -> int:
    return main(["sheet", *map(str, words), "--draft"])


def test_it_is_one_page_of_a4_with_letters_as_letters(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _sheet(path) == 0
    assert capsys.readouterr().out == (
        f"The handout is in {Path('sheets') / 'check.pdf'}: one page of A4, to be printed at 100 %.\n"
    )
    data = Path("sheets/check.pdf").read_bytes()
    assert _sheet(path, "--out", "again.pdf") == 0
    assert Path("again.pdf").read_bytes() == data
    assert data.count(b"/Type /Page ") + data.count(b"/Type /Page\n") == 1
    box = re.search(rb"/MediaBox \[ ([\d. ]+) \]", data)
    assert box is not None
    # A4 in points, 72 to the inch: ISO 216 and ISO 32000
    assert np.allclose([float(v) for v in box[1].split()], [0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72], atol=0.01)
    assert b"/FontFile2" in data
    drawn = b"".join(_inflated(part) for part in re.findall(rb"stream\r?\n(.*?)endstream", data, re.S))
    assert b" Tj" in drawn or b" TJ" in drawn


def _inflated(part: bytes) -> bytes:
    try:
        return zlib.decompressobj().decompress(part)
    except zlib.error:
        return b""


def test_a_picture_of_it_is_as_large_as_the_paper(path: Path) -> None:
    assert _sheet(path, "--out", "it.png") == 0
    with Image.open("it.png") as picture:
        # to the last whole pixel
        assert np.allclose(picture.size, (210 / 25.4 * 300, 297 / 25.4 * 300), atol=1.0)


WRONG = {
    ("--out", "it.svg"): "--out: given 'it.svg'; allowed: a file that ends in .pdf or .png; name it it.pdf",
    ("--tight", "0.2"): "--tight, --right, --loose: given 0.2, 0.1, 0.3; allowed: three slacks that rise; such as "
    "-0.08, 0.1 and 0.3",
    ("--loose", "much"): "--loose: given 'much'; allowed: a fraction above -1, at most 1; -0.05 is 5 % too tight",
}


@pytest.mark.parametrize("words", WRONG, ids=" ".join)
def test_what_cannot_be_made_is_said_in_one_line(
    words: tuple[str, ...], path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert_refused(("sheet", path, *words), WRONG[words], path, capsys, whole=True)


def test_without_floats_there_is_nothing_to_hand_out(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(little(["........"]))
    line = "SCENE: given check.toml, a fabric without floats; allowed: a chart with two yarns in a row"
    assert_refused(("sheet", "check.toml"), line, path, capsys)


def test_the_words_follow_the_numbers(steps: tuple[Step, ...]) -> None:
    loose, right, tight = steps
    numbers = dict(sheet_words.figures(tight))
    widths = tight.measures.widths
    assert numbers["Width"] == f"{100 * widths.width:.1f} cm, {100 * widths.overall:.1f} % narrower"
    assert widths.overall > 0.03
    assert numbers["Pull"].startswith(f"{tight.measures.pull.taut} of {len(tight.rest.floats)} floats taut, hardest ")
    assert "it draws in" in sheet_words.verdict(tight)
    assert dict(sheet_words.figures(right))["Width"].endswith("none lost")
    assert dict(sheet_words.figures(right))["Pull"] == f"none of {len(right.rest.floats)} floats"
    assert "stretches 10 % before floats go taut" in sheet_words.verdict(right)
    assert "snag" in sheet_words.verdict(loose)
    assert sheet_words.heading("Tight", -0.08) == "Tight: 8 % too short"
    assert sheet_words.heading("Right", 0.0) == "Right: no slack"


def test_the_ways_name_the_longest_float_and_those_over_the_limit(scene: Scene, steps: tuple[Step, ...]) -> None:
    rest = steps[0].rest
    over = faults(rest.floats, scene.limits)
    said = " ".join(sheet_words.ways(scene, rest.mesh.floats, over))
    span = 5 * 100 * scene.gauge.stitch_width  # behind four stitches of one round, and between four of others
    assert f"behind 4 stitches: {span:.1f} cm" in said
    assert f"takes {1.05 * span:.1f} to {1.15 * span:.1f} cm" in said
    assert f"{len(over)} floats here pass your limit of 3 stitches" in said
    assert "safe" not in " ".join(sheet_words.foot()).lower().split()


def _handout(columns: int) -> Handout:
    column = Column("A heading", (("Width", "12.3 cm, 4.5 % narrower"),) * 4, "A verdict of some words. " * 3)
    return Handout(
        "Title", "About", (column,) * columns, "Ways", ("A way with many words in it. " * 8,) * 5, ("Foot. " * 40,)
    )


@pytest.mark.parametrize(("rows", "case"), [(CHECK, "round"), (("ab", "ba") * 20, "swatch")])
def test_pictures_and_words_fit_on_the_sheet_and_keep_clear_of_each_other(rows: tuple[str, ...], case: str) -> None:
    """Nothing is drawn in the margins; between the last picture and the numbers there is white paper."""
    models = [build_yarns(fabric(rows, case, across=3, slack=slack), "draft") for slack in (-0.05, 0.1, 0.3)]
    handout = _handout(3)
    per_px = common_scale(handout, models, ("face", "back"))
    pictures = [
        [draw_side(model, side, metres_per_px=per_px, ground=(255, 255, 255)) for model in models]
        for side in ("face", "back")
    ]
    assert all(p.image.width * 25.4 / DPI <= column_width(3) + 0.1 for row in pictures for p in row)
    sheet = np.asarray(figure_image(handout_figure(handout, pictures)).convert("L"))
    inked = np.nonzero(sheet < 250)
    mm = 25.4 / DPI
    assert min(inked[0].min(), inked[1].min()) * mm > MARGIN - 1
    assert SHEET[1] - inked[0].max() * mm > MARGIN - 4.0  # feet of letters
    assert SHEET[0] - inked[1].max() * mm > MARGIN - 1


def test_small_fabric_is_shown_no_larger_than_life() -> None:
    model = build_yarns(fabric(("ab", "ba"), "swatch"), "draft")
    assert common_scale(_handout(3), [model] * 3, ("face",)) == pytest.approx(0.0254 / DPI, rel=2e-3)
