"""``fabricsim change`` as its users meet it: what it writes is forecast anew, and is what was told."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.cli.commands.change.pictures import picture
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.scene.read import read_scene
from fabricsim.render.handouts.multiples import EDGE, LEAST_WIDE
from fabricsim.study.change import ways
from fabricsim.study.change.aims import Aims, TriedScene
from fabricsim.study.change.found_ways import Changing
from fabricsim.study.forecast.forecast import forecast
from fabricsim.units import MM
from tests.cli.made_up import forecast_of, measures_of, rest_of, scene_of
from tests.support.little import assert_refused, little

ROWS = ("b......", ".bb...b", "b..bb..")


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little(ROWS, across=4, floats="slack = -0.05 # mine\nlongest_gap = 4"))
    return path


def test_a_written_way_is_what_was_told(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["change", str(path), "--may-lose", "2", "--write", "new.toml", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["as_it_is"]["floats_over_limit"] > 0
    way = next(one for one in said["ways"] if one["found"] and not one["misses"])
    new = read_scene("new.toml")
    assert not faults(floats(new), new.limits)
    assert "# mine" in Path("new.toml").read_text()
    found = forecast(new, band=False, branch=False).measures  # as preview --draft has it
    assert found.widths.overall == pytest.approx(0.01 * way["draw_in_percent"], abs=1e-6)
    assert found.pucker.peak_to_valley / MM == pytest.approx(way["pucker_mm"], abs=1e-3)


def test_all_ways_are_drawn_beside_the_scene(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fabricsim.render.handouts.multiples.WIDE", 300)
    scene = scene_of()
    now = TriedScene(scene, forecast_of(rest := rest_of(scene), measures_of(rest)), 0)
    with Image.open(io.BytesIO(picture(Changing(scene, now, Aims())))) as drawn:
        assert drawn.width == 2 * EDGE + LEAST_WIDE
        assert len(drawn.convert("RGB").getcolors(1 << 20) or ()) > 100  # yarn, not paper alone


def test_ctrl_c_keeps_what_was_found(
    path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    usual, asked = ways.search, []

    def until_stopped(*given, **more):  # type: ignore[no-untyped-def]
        asked.append(1)
        if len(asked) > 1:
            raise KeyboardInterrupt
        return usual(*given, **more)

    monkeypatch.setattr(ways, "search", until_stopped)
    assert main(["change", str(path), "--may-lose", "40", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["stopped"]
    assert [one["kind"] for one in said["ways"]] == ["carrying"]


def test_what_is_met_needs_no_change(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["change", str(path), "--may-lose", "40", "--long-floats"]) == 0
    assert "Nothing to change." in capsys.readouterr().out


def test_where_no_float_may_stay_open_only_the_width_is_looked_after(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = path.read_text().replace("longest_gap = 4\n", "")
    path.write_text(text.replace('worked = "round"', 'worked = "round"\nitem = "baby mittens"', 1))
    assert main(["change", str(path), "--may-lose", "40"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "line the piece" in said
    assert "Nothing to change." in said


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--may-lose", "-1"], "--may-lose: given -1; allowed: 0 to 50 per cent"),
        (["--pick", "2"], "--pick: given without --write; allowed: with --write NEW.toml"),
        (["--pick", "6", "--write", "n.toml"], "--pick: given 6; allowed: 1 to 5"),
        (["--size", "woman"], "--size: given 'woman'; allowed: with --over head, hand, arm or leg"),
        (["--over", "head", "--case", "swatch"], "--over: given 'head' with the case 'swatch'; allowed: a tube"),
        (["--over", "foot"], "--over: given 'foot'; allowed: head, hand, arm, leg, board"),
        (["--picture", "a.svg"], "--picture: given 'a.svg'; allowed: a file that ends in .png"),
    ],
)
def test_what_can_not_be_is_refused(
    path: Path, capsys: pytest.CaptureFixture[str], words: list[str], line: str
) -> None:
    assert_refused(["change", path, *words], line, path, capsys)
