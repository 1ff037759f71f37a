"""Lengths in words, in centimetres and in inches: against the definition of the inch, and in what commands say."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fabricsim import lengths
from fabricsim.cli import main
from fabricsim.design.scene.read import read_scene, scene_hash
from fabricsim.errors import InputError
from fabricsim.render.layout.sheet import scale_length

SCENES = Path(__file__).parents[1] / "scenes"
PACKAGE = Path(lengths.__file__).parent
METRIC = re.compile(r"\b(cm|mm|metres?|centimetres?)\b|\d m\b")
COUNTING = (["floats"], ["catches"], ["yarn"], ["rounds"], ["sizes", "--no-forecast"], ["difficulty"])


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    lengths.speak("cm")
    yield
    lengths.speak("cm")


def test_centimetres_are_said_as_ever() -> None:
    assert lengths.long(0.495) == "49.5 cm"
    assert lengths.long(0.0042, 2) == "0.42 cm"
    assert lengths.long_plain(0.025) == "2.5 cm"
    assert lengths.fine(0.0004) == "0.4 mm"
    assert lengths.fine_plain(0.003) == "3 mm"
    assert lengths.gauge_said(19.0, 25.5) == "19 stitches and 25.5 rows to 10 cm"


def test_an_inch_is_25_4_mm_and_a_yard_36_of_them() -> None:
    lengths.speak("inch")
    assert lengths.long(0.508) == "20.0 in"
    assert lengths.long(0.0254) == "1.00 in"
    assert lengths.long_number(-0.00635, signed=True) == "-0.25"
    assert lengths.long_plain(0.0254 * 0.75) == "0.75 in"
    assert lengths.fine(0.00254) == "0.10 in"
    assert lengths.fine_plain(0.001) == "0.04 in"
    assert lengths.far_per_unit() == pytest.approx(36 * 0.0254, rel=1e-15)
    assert lengths.gauge_said(20 / 1.016, 27 / 1.016, "round") == "20 stitches and 27 rounds to 4 inches"


@pytest.mark.parametrize(("units", "unit"), [("cm", 0.01), ("inch", 0.0254)])
def test_the_scale_bar_is_a_round_number_of_the_unit(units: lengths.Units, unit: float) -> None:
    lengths.speak(units)
    for most in (0.004, 0.03, 0.0254, 0.077, 0.31):
        found = scale_length(most)
        assert most / 2.5 <= found <= most * (1 + 1e-9)
        assert f"{found / unit:.6e}"[0] in "125"
        assert float(f"{found / unit:.6e}".split("e")[0]) % 1.0 == 0.0


def metric(inches: str) -> str:
    """Return the text of the scene in inches as one in cm, by arithmetic of its own."""
    text = inches.replace('units = "inch"\n', "").replace("stitches = 20", f"stitches = {round(20 / 4 / 2.54 * 10, 9)}")
    text = text.replace("rows = 27", f"rows = {round(27 / 4 / 2.54 * 10, 9)}")
    text = text.replace("longest_inch = 1", "longest_cm = 2.54")
    text = text.replace("yards_per_100_g = 220", f"metres_per_100_g = {220 * 0.9144}")
    return text.replace(
        '"woman", 22.5, { name = "my brother", inch = 23.5 }', '"woman", 57.15, { name = "my brother", cm = 59.69 }'
    )


def test_a_scene_in_inches_is_the_same_scene(tmp_path: Path) -> None:
    path = SCENES / "in_inches.toml"
    twin = tmp_path / "twin.toml"
    twin.write_text(metric(path.read_text(encoding="utf-8")), encoding="utf-8")
    one, other = read_scene(path), read_scene(twin)
    assert scene_hash(one) == scene_hash(other)
    assert one.gauge.stitch_width == pytest.approx(0.0254 / 5, rel=1e-9)
    assert one.yarns[0].ball_length == pytest.approx(110 * 0.9144)


def numbers(said: Any) -> Any:
    """Return the keys and numbers of JSON, without its sentences and names, which are words."""
    if isinstance(said, dict):
        return {key: numbers(value) for key, value in said.items()}
    if isinstance(said, list):
        return [numbers(value) for value in said]
    return None if isinstance(said, str) else said


@pytest.mark.parametrize("words", COUNTING, ids=lambda words: words[0])
def test_every_word_is_in_inches_and_data_are_not(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twin = tmp_path / "twin.toml"
    twin.write_text(metric((SCENES / "in_inches.toml").read_text(encoding="utf-8")), encoding="utf-8")
    said = {}
    for path in (SCENES / "in_inches.toml", twin):
        assert main([words[0], str(path), *words[1:]]) == 0
        told = capsys.readouterr().out
        assert main([words[0], str(path), *words[1:], "--json"]) == 0
        said[path] = told, capsys.readouterr().out
    (inches, data), (cm, same) = said.values()
    assert not METRIC.search(inches)
    assert not re.search(r"\d\.\d+ in\b|\binch|\byards", cm.replace("in inches", ""))
    assert numbers(json.loads(data)) == numbers(json.loads(same))


def test_pictures_say_inches(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from matplotlib.figure import Figure

    written: list[str] = []
    draw = Figure.draw

    def noting(figure: Figure, *args: object, **how: object) -> None:
        written.extend(text.get_text() for text in figure.findobj(lambda one: hasattr(one, "get_text")))  # type: ignore[attr-defined]
        draw(figure, *args, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(Figure, "draw", noting)
    assert main(["chart", str(SCENES / "in_inches.toml"), "--out", str(tmp_path / "it.png")]) == 0
    assert any("20 across, 27 up to 4 inches" in text for text in written)
    assert any("limit of 1\u00a0in" in text or "limit of 1 in" in text for text in written)


@pytest.mark.parametrize("room", ["cli", "render"])
def test_nobody_else_turns_metres_into_words(room: str) -> None:
    """But for data, whose keys name their unit, and options and print, which are in cm and mm by their names."""
    wrong = [
        f"{path.relative_to(PACKAGE)}:{number}"
        for path in sorted((PACKAGE / room).rglob("*.py"))
        if path.name not in ("data.py", "options.py")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if re.search(r"/ (units\.)?(CM|MM)\b[^\n]*\} ?(cm|mm)\b|to 10 cm", line) and "range_mm" not in line
        if "typer" not in line and '"""' not in line and "_settings(" not in line and "self." not in line
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("longest_inch = 1", "longest_inch = 1\nlongest_cm = 2", "both longest_inch and longest_cm"),
        ("inch = 23.5", "inch = 23.5, cm = 60", "both inch and cm"),
        ('units = "inch"', 'units = "inches"', "allowed: 'cm' or 'inch'"),
    ],
)
def test_what_is_said_twice_or_wrong_is_refused(old: str, new: str, line: str, tmp_path: Path) -> None:
    path = tmp_path / "it.toml"
    path.write_text((SCENES / "in_inches.toml").read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(line)):
        read_scene(path)
