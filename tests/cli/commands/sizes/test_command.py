"""The sizes command, for people, programs and spreadsheets."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.design.scene.read import demo_scene, scene_hash
from fabricsim.design.sizes.every_size import without_forecast
from fabricsim.study.forecast import forecast
from tests.support.little import RINGS, assert_refused, little


def write(
    tmp_path: Path, item: str = "hat", sizes: str = "", worked: str = "round", rows: tuple[str, ...] = RINGS
) -> Path:
    path = tmp_path / "little.toml"
    head = f'item = "{item}"\n' if item else ""
    path.write_text(head + little(rows, worked=worked) + f"[sizes]\n{sizes}\n", encoding="utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    assert main(["sizes", *map(str, words)]) == 0
    return capsys.readouterr().out


def words_of(line: str) -> list[str]:
    return line.split()


def lines(out: str) -> list[list[str]]:
    return [line.split() for line in out.splitlines()]


def test_for_people(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sizes = 'bodies = ["woman", 49.5]\nrib_fewer_percent = 10'
    out = said(capsys, write(tmp_path, sizes=sizes), "--no-forecast")
    # 55 cm less 4 % is 52.8 cm: 16 or 17 repeats of 6 stitches at 19 to 10 cm make 50.5 or 53.7
    assert words_of("woman 92 17 102 8 x 12") in lines(out)  # 6 wedges of 17 would be no whole repeats
    assert words_of("woman 55.0 52.8 53.7 +0.9 -2.4") in lines(out)
    assert "One repeat more or less makes 3.2 cm.\n" in out
    assert "[102 sts]\n" in out
    assert "    Before the crown, one plain round: *k15, k2tog; rep from * to end. [96 sts]\n" in out
    assert "Body sizes: 49.5 cm yours; woman seen in tables, which differ by up to 3.5 cm.\n" in out


def test_the_scenes_that_come_with_it_work_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    for words in ((), ("scenes/hat_band.toml",)):
        out = said(capsys, *words, "--no-forecast")
        assert "woman" in out
        assert "Does it go over the head?" in out


def test_the_forecast_is_the_default_and_says_what_it_is_at(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, "child mittens", 'bodies = ["child"]')
    assert main(["sizes", str(path), "--json"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["forecast"]
    assert f"bringing pieces to rest: up to {forecast.PIECES} ...\n" in err
    assert "bringing to rest: tube of 36 stitches, forecast (1 of 2) ...\n" in err


def test_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    out = json.loads(said(capsys, "--no-forecast", "--json"))
    scene = demo_scene()
    known = without_forecast(scene)
    assert (out["schema_version"], out["command"], out["scene_hash"]) == (1, "sizes", scene_hash(scene))
    assert [one["size"] for one in out["sizes"]] == ["2 years", "child", "woman", "man"]
    for told, one in zip(out["sizes"], known.sizes, strict=True):
        assert one.counted is not None
        assert told["counted"]["stitches"] == one.counted.stitches
        assert told["counted"]["finished_cm"] == pytest.approx(100 * one.counted.finished)
        assert told["counted"]["off_cm"] == pytest.approx(told["counted"]["finished_cm"] - told["wanted_cm"])
        assert told["counted"]["crown"]["rounds"][-1]["stitches"] == told["counted"]["crown"]["wedges"]


def test_for_a_spreadsheet_and_into_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shown = said(capsys, "--no-forecast", "--csv")
    table = list(csv.DictReader(io.StringIO(shown)))
    assert [one["stitches"] for one in table] == ["84", "96", "96", "108"]
    assert table[0]["off_cm"] == "-2.83"
    path = tmp_path / "sizes.csv"
    assert said(capsys, "--no-forecast", "--out", path) == f"Written to {path}.\n"
    assert path.read_text(encoding="utf-8") == shown


def test_ways_out_where_the_step_is_too_coarse(capsys: pytest.CaptureFixture[str]) -> None:
    out = " ".join(said(capsys, "--no-forecast").split())
    assert "child and woman come to the same 96 stitches." in out
    assert (
        "woman: 2.3 cm narrower than wanted. Would fit: 96 stitches at a gauge of 18.2 to 10 cm; or 108 "
        "stitches at a gauge of 20.5 to 10 cm; or 1 plain stitch after each of 8 repeats, 104 stitches, 54.7 cm."
    ) in out


def test_no_count_fits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wide = ("b" + "." * 99,) * 2
    path = write(tmp_path, "baby mittens", "", rows=wide)
    out = " ".join(said(capsys, path).split())
    assert "baby - - no count fits" in out
    assert "baby: no count fits: one repeat alone makes 52.6 cm, 11.1 cm is wanted. Try a narrower chart" in out
    assert "no open floats (line them)" in out
    table = list(csv.DictReader(io.StringIO(said(capsys, path, "--csv"))))
    assert (table[0]["stitches"], table[0]["why_not"]) == ("", "one repeat alone makes 52.6 cm")


def test_flat_rows_and_right_edges(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, write(tmp_path, sizes='bodies = ["woman"]', worked="flat"), "--no-forecast")
    assert words_of("woman 102 17 104 8 x 12") in lines(out)
    assert "After the rib, one plain row: k25, m1, k51, m1, k26. [104 sts]" in out


def test_without_an_item(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, item="")
    told = f"{path}: item: given no item; allowed: hat, baby hat, mittens, "
    for options in ((), ("--no-forecast",), ("--json",)):
        assert_refused(["sizes", path, *options], told, path, capsys)


def test_nothing_is_ever_called_safe(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for item in ("baby hat", "baby socks", "mittens"):
        assert "safe" not in said(capsys, write(tmp_path, item), "--no-forecast").lower()


@pytest.mark.parametrize(("item", "bodies"), [("baby hat", "38"), ("mittens", '"baby"')])
def test_babies_get_a_caution_by_item_or_by_body(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], item: str, bodies: str
) -> None:
    assert "no open floats" in said(capsys, write(tmp_path, item, f"bodies = [{bodies}]"), "--no-forecast")
    assert "no open floats" not in said(capsys, write(tmp_path, "hat", "bodies = [56]"), "--no-forecast")
