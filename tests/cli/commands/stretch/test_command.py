"""The stretch command, for people, programs and spreadsheets, and its picture."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.cli.commands.stretch.data import grams
from fabricsim.render.plots.stretch import Pulled, stretch_curves
from fabricsim.study.stretch import stretching
from tests.cli.remembered import remembered
from tests.support.little import assert_refused, little

CHECKS = ("bb..", "..bb")
ASKED = ("--load", 4, "--load", 12)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.toml"
    path.write_text(little(CHECKS, floats="slack = 0.06\nshort_mm = 0"), encoding="utf-8")
    return path


def said(words: list[object], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["stretch", *(str(word) for word in words)]) == 0
    return capsys.readouterr().out


@pytest.fixture(autouse=True, scope="module")
def solved_once() -> Iterator[None]:
    with remembered(stretching, "stretching"):
        yield


def test_for_people(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = " ".join(said([scene, *ASKED], capsys).split())
    assert "Across, it stretches 6.0 % before the first floats go taut; by 12 N/m (61 g hung from each 5 cm" in told
    assert "Up, its floats stay slack: by 12 N/m it is" in told
    assert "plain fabric would be" in told.lower()
    assert "half and twice as stiff as reckoned, and slack 3 % less and more" in told
    assert "safe" not in told.lower()


def test_a_draft_of_tight_floats_has_no_likely_range(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = " ".join(said([scene, "--slack", "-0.03", "--load", 8, "--draft"], capsys).split())
    assert "Across, all its floats are taut as it lies, which holds it back: by 8 N/m (41 g hung" in told
    assert "Up, all its floats are taut as it lies, but go slack as it narrows: by 8 N/m it is" in told
    assert "likely" not in told.lower()


def test_for_programs_and_spreadsheets(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    read = json.loads(said([scene, *ASKED, "--json"], capsys))
    assert read["command"] == "stretch"
    assert read["floats"] == 4
    for along in ("across", "up"):
        told = read[along]["at"]
        assert [one["load_N_per_m"] for one in told] == [0.5, 4.0, 12.0]
        for one in told:
            likely = one["stretch_percent"]
            assert likely["low"] < likely["nominal"] < likely["high"]
            assert one["from_pretension_percent"] <= likely["nominal"] <= one["plain_stretch_percent"] + 1e-6
            assert one["other_way_percent"] < 0.0
            assert one["grams_on_strip"] == pytest.approx(one["load_N_per_m"] * 0.05 / 9.81 * 1000)
    assert read["across"]["first_float_taut_percent"]["nominal"] == pytest.approx(6.0, abs=1e-4)
    assert read["up"]["first_float_taut_percent"] == {"low": None, "nominal": None, "high": None}
    lines = list(csv.DictReader(io.StringIO(said([scene, *ASKED, "--csv"], capsys))))
    for one in read["across"]["at"]:
        line = next(
            line
            for line in lines
            if (line["pulled"], line["fabric"], float(line["load_N_per_m"]))
            == ("across", "with floats", one["load_N_per_m"])
        )
        assert float(line["stretch_percent"]) == pytest.approx(one["stretch_percent"]["nominal"], abs=1e-6)
    assert {(line["pulled"], line["fabric"]) for line in lines} == {
        (along, fabric) for along in ("across", "up") for fabric in ("with floats", "plain")
    }
    assert max(float(line["load_N_per_m"]) for line in lines) == 12.0


def test_grams_in_words() -> None:
    """20 N/m on 5 cm is a newton, the weight of 102 g."""
    assert grams(20.0) == pytest.approx(101.94, abs=0.01)


def test_the_picture_and_a_file(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plots, out = scene.parent / "curves.png", scene.parent / "told.txt"
    told = said([scene, *ASKED, "--plots", plots, "--out", out], capsys)
    assert told == f"Written to {out}.\n"
    assert f"The curves are in {plots}." in out.read_text(encoding="utf-8")
    with Image.open(plots) as picture:
        assert picture.width > 1000
        assert len(picture.convert("RGB").getcolors(100_000) or ()) > 20


def test_both_ways_are_drawn_at_one_scale() -> None:
    load = np.linspace(0.0, 20.0, 5)
    short = Pulled("across", load, 0.01 * load / 20.0, 0.5 * load / 20.0, None, None, (0.005, 10.0))
    long = Pulled("up", load, 0.3 * load / 20.0)
    across, up = stretch_curves([short, long], 0.05).axes[:2]
    assert across.get_xlim() == up.get_xlim()
    assert across.get_ylim() == up.get_ylim()
    assert 50.0 < across.get_xlim()[1] < 55.0
    drawn = [line.get_xydata() for line in across.lines]
    np.testing.assert_allclose(drawn[-1], [[0.5, 10.0]])
    np.testing.assert_allclose(drawn[1][-1], [1.0, 20.0])
    assert len(up.lines) == 1


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--load", "0"], "--load: given 0; allowed: 0.1 to 50 newtons per metre of width; 20 is a firm pull"),
        (["--load", "nan"], "--load: given nan; allowed: 0.1 to 50 newtons"),
        (["--load", "5", "--load", "1e9"], "--load: given 1e+09; allowed: 0.1 to 50 newtons"),
        (["--plots", "curves.jpg"], "--plots: given 'curves.jpg'; allowed: a file that ends in .png or .svg or .pdf"),
        (["--json", "--csv"], "--csv: given together with --json; allowed: one of the two"),
        (["--slack", "-2"], "--slack: given -2"),
    ],
)
def test_bad_input_is_one_line(scene: Path, options: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert_refused(["stretch", scene, *options], line, scene, capsys)
