"""Letters that our own fonts lack: drawn with a font of this machine that has them, else named in one line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from matplotlib.font_manager import fontManager

from fabricsim.cli import main
from fabricsim.render.basics.files import figure_image
from fabricsim.render.basics.letters import PLOTTED, TEXT, font, font_with, printable
from fabricsim.render.layout.paper import DPI, Paper, blank
from tests.support.little import little

LETTER = "\N{CJK UNIFIED IDEOGRAPH-7DE8}"


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Path]:
    """A machine with a font whose only letter is a full block."""
    pen = TTGlyphPen(None)
    for step, place in (("moveTo", (0, 0)), ("lineTo", (0, 800)), ("lineTo", (1000, 800)), ("lineTo", (1000, 0))):
        getattr(pen, step)(place)
    pen.closePath()
    built = FontBuilder(1000, isTTF=True)
    built.setupGlyphOrder([".notdef", "block"])
    built.setupCharacterMap({ord(LETTER): "block"})
    built.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "block": pen.glyph()})
    built.setupHorizontalMetrics({".notdef": (1000, 0), "block": (1000, 0)})
    built.setupHorizontalHeader(ascent=800, descent=-200)
    built.setupNameTable({"familyName": "Block of Tests", "styleName": "Regular"})
    built.setupOS2()
    built.setupPost()
    path = tmp_path / "block.ttf"
    built.save(path)
    known = list(fontManager.ttflist)
    font_with.cache_clear()
    fontManager.addfont(path)
    yield path
    fontManager.ttflist[:] = known
    font_with.cache_clear()


def test_a_font_of_the_machine_stands_in(machine: Path) -> None:
    assert printable(f"a{LETTER}", PLOTTED) == f"a{LETTER}"
    assert font_with(LETTER) == ("Block of Tests", machine)
    assert font(LETTER, 20.0, TEXT).getname()[0] == "Block of Tests"
    figure = blank((30.0, 15.0))
    Paper(figure, (30.0, 15.0)).write(5.0, 10.0, LETTER, 20.0, "#000000")
    rows, columns = np.nonzero(np.asarray(figure_image(figure)).max(axis=2) < 100)
    side = 20.0 / 72.0 * DPI  # a block as wide as the letters are high, of 0.8 of that
    assert np.ptp(columns) == pytest.approx(side, abs=3)
    assert np.ptp(rows) == pytest.approx(0.8 * side, abs=3)
    assert len(rows) > 0.98 * np.ptp(rows) * np.ptp(columns)  # all ink: no box with a sign in it


@pytest.mark.parametrize("words", [["chart", "--out", "it.pdf"], ["catches", "--map", "it.svg"]])
def test_what_no_font_has_is_named_once(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    strange = "\U00017000"  # of Tangut, a script of the 11th century
    assert font_with(strange) is None
    scene = little(("b.......",), title=f"{strange}{strange} and more")
    Path("scene.toml").write_text(scene, encoding="utf-8")
    assert main([words[0], "scene.toml", *words[1:]]) == 0
    said = capsys.readouterr().err
    assert said.count(f"no font on this machine has {strange}, which") == 1
    Path("scene.toml").write_text(scene.replace(strange, ""), encoding="utf-8")
    assert main([words[0], "scene.toml", *words[1:]]) == 0
    assert "no font" not in capsys.readouterr().err
